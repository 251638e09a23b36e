"""Steps in the frame's outer line, where one core part stands past another at their joint. (y, v), mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, SLIVER

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from .joint import joints
from .joint_end import JointEnd, ends
from .outer_line import NOTCH_LEAST, Proud, closed

_INSIDE = 2 * SLIVER  # mm from a part's edge at which it is asked whether there is wood of it


class OuterStep(NamedTuple):
    """`part` is proud of the outer line of `shy` where they butt: its corner there stands past it."""

    part: Part
    shy: Part
    proud: Proud


def steps(frame: Frame, assembly: Assembly, least: float) -> Iterator[OuterStep]:
    """The steps of more than `least` mm, joint by joint.

    Measured square to the outer edge of the part that is shy. Where a part runs on past the other by NOTCH_LEAST
    or more, that is its shape or a notch, and no step; where a joint ends at the inside of the frame or in a
    notch, there is no outer line.
    """
    found = [end for joint in joints(frame) for end in ends(joint)]
    if not found:
        return
    past = [_on(end, first, least) for end in found for first in (True, False)]
    parts = [part.shape for end in found for part in (end.joint.first, end.joint.second)]
    goes_on = shapely.intersects_xy(parts, np.array(past)).reshape(-1, 2)
    for end, (first, second) in zip(found, goes_on.tolist(), strict=True):
        if first != second:
            step = _step(end, frame, assembly, first=first)
            if step is not None and step.proud.by > least + COINCIDENT:
                yield step


def _on(end: JointEnd, first: bool, by: float) -> tuple[float, float]:
    """The place `by` mm past the end, just inside the edge of the first part or the second."""
    at, into = end.of(first=first)
    y, v = at + by * end.out + _INSIDE * into
    return float(y), float(v)


def _step(end: JointEnd, frame: Frame, assembly: Assembly, *, first: bool) -> OuterStep | None:
    """The step of the first part or the second past the other; None where it is none of the outer line."""
    joint = end.joint
    proud, shy = (joint.first, joint.second) if first else (joint.second, joint.first)
    run = shapely.LineString([_on(end, first, 0.0), _on(end, first, NOTCH_LEAST)])
    pieces = shapely.get_parts(shapely.intersection(run, proud.shape))
    length = max((p.length for p in pieces if p.distance(shapely.Point(run.coords[0])) <= SLIVER), default=0.0)
    at, _ = end.of(first=first)
    corners = shapely.get_coordinates(proud.shape)
    off = np.hypot(*(corners - at - length * end.out).T)
    corner = corners[np.argmin(off)] if off.min() <= 2 * _INSIDE else at + length * end.out
    outside = shapely.distance(closed(frame, assembly).boundary, shapely.Point(corner)) <= _INSIDE
    if length >= NOTCH_LEAST - COINCIDENT or not outside:
        return None
    other, _ = end.of(first=not first)
    _, out = end.outline(first=not first)
    by = float((corner - other) @ out)
    return OuterStep(part=proud, shy=shy, proud=Proud(by=by, at=_point(corner), foot=_point(corner - by * out)))


def _point(values: NDArray[np.float64]) -> tuple[float, float]:
    return float(values[0]), float(values[1])

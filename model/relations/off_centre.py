"""What a designer puts off the centreline on purpose: lone parts, holes and cut-outs, and boards joined beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.tolerances import COINCIDENT

from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.outline import Outline
from ..geometry.plane import mirrored
from .joints.joint import Joint, gap_of, joints

_A_LITTLE = 25.0
"""mm; what lies no further off the centreline was to lie on it. Common practice, no source."""

_OF_ITS_WIDTH = 0.2
"""share; nor what lies off by no more of its own width: a floor, a transom. Common practice, no source."""

_WHOLE = 0.9  # share of boards joined off the centre that their mirror image covers, or a side is missing


class OffCentre(NamedTuple):
    """A part, or a hole or cut-out in it of this `shape`, whose middle lies `off` mm to port of the centreline."""

    part: Part
    shape: shapely.Polygon
    off: float


def lone(part: Part) -> OffCentre | None:
    """A part over the centreline whose middle lies well off it; None if it does not."""
    return _well_off(part, part.drawn_shape)


def lone_openings(part: Part) -> list[OffCentre]:
    """Holes of a part over the centreline, and cut-outs that reach over it, well off it and with no image in the part.

    A notch to one side has to have an image: it may have been forgotten.
    """
    outer = shapely.Polygon(part.drawn_shape.exterior)
    cut_outs = shapely.get_parts(shapely.difference(shapely.convex_hull(outer), outer)).tolist()
    holes = [shapely.Polygon(ring) for ring in part.drawn_shape.interiors]
    asked = [(each, holes) for each in holes] + [(each, cut_outs) for each in cut_outs if _crosses(each)]
    return [
        off
        for each, like in asked
        if (off := _well_off(part, each)) is not None
        and not any(shapely.dwithin(mirrored(each), other, _A_LITTLE) for other in like if other is not each)
    ]


def without(part: Part, openings: Iterable[OffCentre]) -> Part:
    """The part as if these openings were not cut."""
    shapes = [each.shape for each in openings]
    return _drawn_as(part, shapely.union_all([part.drawn_shape, *shapes])) if shapes else part


def lone_joints(frame: Frame) -> list[Joint]:
    """Joints of the core that are off the centreline and have no image on the other side of it."""
    found = joints(frame)
    lines = [joint.line for joint in found]
    return [
        joint for joint in found if not shapely.dwithin(mirrored(shapely.centroid(joint.line)), lines, _A_LITTLE).any()
    ]


def boards_joined(frame: Frame) -> Iterator[tuple[Part, tuple[Part, ...]]]:
    """Boards that joints off the centre divide, as one part each, the largest with the form of all; and which they are.

    None where one side of what they make together is missing.
    """
    groups: list[set[Part]] = []
    found = lone_joints(frame)
    for joint in found:
        near = [group for group in groups if group & {joint.first, joint.second}]
        groups = [group for group in groups if group not in near]
        groups.append({joint.first, joint.second}.union(*near))
    for group in groups:
        members = tuple(part for part in frame.core if part in group)
        gaps = [gap_of(stretch) for joint in found if joint.first in group for stretch in joint.stretches]
        shut = shapely.buffer(gaps, COINCIDENT, join_style="bevel")
        whole = shapely.union_all([*(part.drawn_shape for part in members), *shut])
        if whole.geom_type == "Polygon" and shapely.intersection(whole, mirrored(whole)).area > _WHOLE * whole.area:
            largest = max(members, key=lambda part: (part.drawn_shape.area, part.name))
            pockets = tuple(pocket for part in members for pocket in part.pockets)
            yield replace(_drawn_as(largest, whole), shape=whole, pockets=pockets), members


def over_joints_of(boards: Iterable[Part], plates: Sequence[Part], frame: Frame) -> set[Part]:
    """Those of the plates that lie over joints without an image between these boards, and over no other."""
    between = [joint for joint in lone_joints(frame) if {joint.first, joint.second} <= set(boards)]
    over = {
        plate: [joint for joint in joints(frame) if shapely.intersects(joint.line, plate.shape)]
        for plate in plates
        if plate.face != "core"
    }
    return {plate for plate, held in over.items() if held and all(joint in between for joint in held)}


def _drawn_as(part: Part, shape: shapely.Polygon) -> Part:
    corners = [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
    outline, *holes = (Outline.of(ring) for ring in corners)
    return replace(part, drawn=outline, holes=tuple(holes))


def _well_off(part: Part, shape: shapely.Polygon) -> OffCentre | None:
    left, _, right, _ = shape.bounds
    off = (left + right) / 2
    return OffCentre(part, shape, off) if abs(off) > max(_A_LITTLE, _OF_ITS_WIDTH * (right - left)) else None


def _crosses(shape: shapely.Polygon) -> bool:
    left, _, right, _ = shape.bounds
    return bool(left < 0.0 < right)

"""Fouls of the parts of a frame with one another, exactly, on prisms in its plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from scrieve.shared.tolerances import JOINT_REACH, exceeds

from ...boat.evidence import Marker, subject
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.overlap import Overlap, deepest, overlaps
from ..joints.joint import joints, leg_joints
from .foul import Foul, as_drawn, plane_evidence, way_out

Pair = tuple[Frame, Part, Part]


def part_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """Parts of one frame that overlap deeper than `limit` (mm) in the plane and along its normal.

    What lies within JOINT_REACH of a joint of two core parts is left to the check of joints, wood left in
    corners to that of corners.
    """
    pairs = [pair for frame in frames for pair in _near(frame, limit)]
    if not pairs:
        return
    common = shapely.intersection([a.shape for _, a, _ in pairs], [b.shape for _, _, b in pairs])
    areas = shapely.area(common)
    # what is deeper than the limit holds a circle of that diameter
    for n in np.flatnonzero(areas > np.pi / 4 * limit * limit):
        frame, a, b = pairs[n]
        first, second = sorted((a, b), key=lambda part: part.name)
        yield from _part_foul(frame, first, second, limit)


def _near(frame: Frame, limit: float) -> list[Pair]:
    """Pairs of parts whose layers and bounds overlap deeper than the limit."""
    parts = frame.parts
    if len(parts) < 2:
        return []
    low, high = np.array([p.low for p in parts]), np.array([p.high for p in parts])
    bounds = shapely.bounds(np.array([p.shape for p in parts], dtype=object))
    least = np.column_stack([bounds[:, :2], low])
    greatest = np.column_stack([bounds[:, 2:], high])
    i, j = np.triu_indices(len(parts), 1)
    deep = np.minimum(greatest[i], greatest[j]) - np.maximum(least[i], least[j])
    return [(frame, parts[i[n]], parts[j[n]]) for n in np.flatnonzero(np.all(deep > limit, axis=1))]


def _part_foul(frame: Frame, first: Part, second: Part, limit: float) -> Iterator[Foul]:
    a, b = as_drawn(first), as_drawn(second)
    overlap = _beside_joints(frame, first, second, a, b)
    low, high = max(first.low, second.low), min(first.high, second.high)
    if overlap is None or not exceeds(min(overlap.depth, high - low), limit):
        return
    (y, v), room = way_out(overlap, a, b)
    way = (y, v, 0.0)
    # parts of one face lie on the same wood and can only give way along it
    if first.face != second.face and high - low < overlap.depth:
        room = high - low
        way = (0.0, 0.0, 1.0 if first.low + first.high > second.low + second.high else -1.0)
    yield Foul.between(
        subject(first),
        subject(second),
        depth=min(overlap.depth, high - low),
        limit=limit,
        at=frame.placement.point(*overlap.at, (low + high) / 2),
        way=frame.placement.vector_to_hull([way])[0],
        room=room,
        frame=frame.number,
        source=first.source,
        evidence=lambda: plane_evidence(Marker(frame=frame), overlap, shapely.intersection(a, b), low, high),
    )


def _beside_joints(frame: Frame, first: Part, second: Part, a: shapely.Geometry, b: shapely.Geometry) -> Overlap | None:
    """The deepest overlap of two parts of shapes `a` and `b`, without what lies about their joints."""
    lines = [j.line for j in (*joints(frame), *leg_joints(frame)) if {first, second} == {j.first, j.second}]
    if not lines:
        return deepest(a, b)
    about = shapely.buffer(shapely.union_all(lines), JOINT_REACH)
    left = []
    for whole in overlaps(a, b):
        rest = deepest(shapely.difference(whole.region, about), whole.region)
        if rest is not None:  # it comes free with all of the region it belongs to
            left.append(replace(rest, region=whole.region, way=whole.way))
    return max(left, key=lambda overlap: (overlap.depth, overlap.at), default=None)

"""Fouls within the plane of a frame, exactly, on prisms: part with part, screw with batten, screw with part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from .assembly import Assembly
from .foul import Foul, as_drawn, way_out
from .frame import Frame
from .joint import joints, leg_joints
from .notch import Crossing
from .overlap import deepest
from .part import Part
from .passing import battens_passing
from .screw import Screw

Pair = tuple[Frame, Part, Part]

_BEYOND = 5.0
"""mm; more than a batten wanders sideways between a frame's outer face and the tip of a screw come through it."""


def part_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """Parts of one frame that overlap deeper than `limit` (mm) in the plane and along its normal.

    Core parts that butt are left to the check of their joint, wood left in corners to that of corners.
    """
    pairs = [pair for frame in frames for pair in _near(frame, limit)]
    if not pairs:
        return
    common = shapely.intersection([a.shape for _, a, _ in pairs], [b.shape for _, _, b in pairs])
    areas = shapely.area(common)
    # what is deeper than the limit holds a circle of that diameter
    for n in np.flatnonzero(areas > np.pi / 4 * limit * limit):
        frame, a, b = pairs[n]
        butts = (*joints(frame), *leg_joints(frame))
        if not any({a, b} == {joint.first, joint.second} for joint in butts):
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
    overlap = deepest(a, b)
    low, high = max(first.low, second.low), min(first.high, second.high)
    if overlap is None or min(overlap.depth, high - low) <= limit:
        return
    (y, v), room = way_out(overlap, a, b)
    way = (y, v, 0.0)
    if high - low < overlap.depth:
        room = high - low
        way = (0.0, 0.0, 1.0 if first.low + first.high > second.low + second.high else -1.0)
    yield Foul.between(
        first.name,
        second.name,
        depth=min(overlap.depth, high - low),
        limit=limit,
        at=frame.placement.point(*overlap.at, (low + high) / 2),
        way=frame.placement.vector_to_hull([way])[0],
        room=room,
        frame=frame.number,
        source=first.source,
    )


def batten_fouls(assembly: Assembly) -> Iterator[Foul]:
    """Screws whose shanks bite deeper than the limit into a batten that passes their frame."""
    limit = assembly.limits["foul"]
    for frame in assembly.frames:
        crossings = battens_passing(frame, assembly)
        if not frame.screws or not crossings:
            continue
        at = np.array([screw.at for screw in frame.screws])
        radius = np.array([screw.size.diameter / 2 for screw in frame.screws])
        for crossing in crossings:
            rings = np.concatenate(list(crossing.rings.values()))
            outside = np.maximum(rings.min(axis=0) - at, at - rings.max(axis=0)).max(axis=1)
            for n in np.flatnonzero(outside < radius + _BEYOND):
                yield from _batten_foul(crossing, frame.screws[n], limit)


def _batten_foul(crossing: Crossing, screw: Screw, limit: float) -> Iterator[Foul]:
    frame, batten = crossing.frame, crossing.batten
    passage = batten.passage(frame.placement, screw.low, screw.high)
    axis = shapely.Point(screw.at)
    foot = shapely.get_coordinates(shapely.shortest_line(passage.exterior, axis))[0]
    outward = np.subtract(screw.at, foot)
    gap = float(np.hypot(*outward))
    if passage.contains(axis):
        gap, outward = -gap, -outward
    depth = screw.size.diameter / 2 - gap
    if depth <= limit:
        return
    if gap == 0.0:
        outward = np.subtract(foot, passage.centroid.coords[0])
    y, v = outward / np.hypot(*outward)
    yield Foul.between(
        screw.name,
        batten.name,
        depth=depth,
        limit=limit,
        at=frame.placement.point(*screw.at, (screw.low + screw.high) / 2),
        way=frame.placement.vector_to_hull([(y, v, 0.0)])[0],
        room=depth,
        frame=frame.number,
        source=screw.source,
    )


def screw_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """Screws that come out of their own wood and, past a space, run into another part of the frame."""
    for frame in frames:
        for screw in frame.screws:
            if not screw.plies or screw.left_beyond >= 0.0:
                continue
            own = {ply.part for ply in screw.plies}
            for part in frame.parts:
                low, high = max(screw.low, part.low), min(screw.high, part.high)
                if part not in own and high - low > limit and shapely.intersects_xy(part.shape, *screw.at):
                    yield _screw_foul(frame, screw, part, low, high, limit)


def _screw_foul(frame: Frame, screw: Screw, part: Part, low: float, high: float, limit: float) -> Foul:
    back = 1.0 if screw.driven_from == "forward" else -1.0
    return Foul.between(
        screw.name,
        part.name,
        depth=high - low,
        limit=limit,
        at=frame.placement.point(*screw.at, (low + high) / 2),
        way=frame.placement.vector_to_hull([(0.0, 0.0, back)])[0],
        room=high - low,
        frame=frame.number,
        source=screw.source,
    )

"""Fouls between things that share no plane: frames with frames, and parts with the rails."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Subject
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.evidence import Marker, rail, subject
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw
from ...boat.solid import Solid, box, screw_solid
from ...boat.solid_overlap import deepest_solid
from ...boat.strongback import Strongback
from ...geometry.overlap import deepest
from ...geometry.segment import closest_points
from .foul import Foul, as_drawn, part_solid, plane_evidence, solid_way_out, space_evidence, way_out
from .passing import RAILS, RailSide, rail_passage

Floats = NDArray[np.float64]
Boxes = tuple[Floats, Floats]

LEG_ON_RAIL = 10.0
"""mm; a leg that overlaps a rail by less is badly placed on it, which `leg-bottom` and `leg-side` say."""


def frame_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """For every two frames that run into one another, the deepest foul of their parts or screws."""
    boxes = [hull_boxes(frame) for frame in frames]
    filled = [n for n, (least, _) in enumerate(boxes) if len(least)]
    if len(filled) < 2:
        return
    around = [(*boxes[n], *screw_boxes(_through(frames[n]), frames[n])) for n in filled]
    least = np.array([np.vstack([parts, screws]).min(axis=0) for parts, _, screws, _ in around])
    greatest = np.array([np.vstack([parts, screws]).max(axis=0) for _, parts, _, screws in around])
    i, j = np.triu_indices(len(filled), 1)
    deep = np.all(np.minimum(greatest[i], greatest[j]) - np.maximum(least[i], least[j]) > limit, axis=1)
    for n in np.flatnonzero(deep):
        aft, forward = filled[i[n]], filled[j[n]]
        found = [
            *_parts_of_two(frames[aft], frames[forward], boxes[aft], boxes[forward], limit),
            *_screws_of_two(frames[aft], frames[forward], limit),
            *_screws_on_parts(frames[aft], frames[forward], boxes[forward], limit),
            *_screws_on_parts(frames[forward], frames[aft], boxes[aft], limit),
        ]
        if found:
            worst = max(found, key=lambda foul: (foul.depth, foul.first.name, foul.second.name))
            yield replace(worst, also=len(found) - 1)


def hull_boxes(frame: Frame) -> tuple[Floats, Floats]:
    """Least and greatest corners (n, 3), hull axes, mm, of boxes around the parts of a frame."""
    bounds = shapely.bounds(np.array([p.shape for p in frame.parts], dtype=object)).reshape(-1, 4)
    w = np.array([(p.low, p.high) for p in frame.parts], dtype=np.float64).reshape(-1, 2)
    v = bounds[:, [1, 3]]
    corners = np.empty((len(bounds), 4, 3))
    for n, (up, out) in enumerate(((0, 0), (0, 1), (1, 0), (1, 1))):
        corners[:, n] = frame.placement.to_hull(np.column_stack([bounds[:, 0], v[:, up], w[:, out]]))
    least, greatest = corners.min(axis=1), corners.max(axis=1)
    greatest[:, 1] = bounds[:, 2]
    return least, greatest


def _parts_of_two(
    aft: Frame, forward: Frame, aft_boxes: tuple[Floats, Floats], forward_boxes: tuple[Floats, Floats], limit: float
) -> Iterator[Foul]:
    low = np.maximum(aft_boxes[0][:, None], forward_boxes[0][None])
    high = np.minimum(aft_boxes[1][:, None], forward_boxes[1][None])
    for m, n in np.argwhere(np.all(high - low > limit, axis=2)):
        one, other = aft.parts[m], forward.parts[n]
        a, b = part_solid(one, aft.placement), part_solid(other, forward.placement)
        yield from _of_solids(one, subject(other), a, b, limit, aft)


def _of_solids(one: Part | Screw, other: Subject, a: Solid, b: Solid, limit: float, frame: Frame) -> Iterator[Foul]:
    """The foul of `one`, of this frame, with the other, if their solids overlap deeper than the limit."""
    overlap = deepest_solid(a, b)
    if overlap is None or not exceeds(overlap.depth, limit):
        return
    yield Foul.between(
        subject(one),
        other,
        depth=overlap.depth,
        limit=limit,
        at=overlap.at,
        way=solid_way_out(overlap, a, b),
        room=overlap.depth,
        frame=frame.number,
        source=one.source,
        evidence=lambda: space_evidence(overlap),
    )


def _screws_of_two(aft: Frame, forward: Frame, limit: float) -> Iterator[Foul]:
    """Screws of two frames that meet."""
    if not aft.screws or not forward.screws:
        return
    (a0, a1, a_radius), (b0, b1, b_radius) = _axes(aft.screws, aft), _axes(forward.screws, forward)
    i, j = (grid.ravel() for grid in np.indices((len(a0), len(b0))))
    on_a, on_b = closest_points(a0[i], a1[i], b0[j], b1[j])
    near = a_radius[i] + b_radius[j] - np.linalg.norm(on_a - on_b, axis=1) > limit
    for n in np.flatnonzero(near):
        one, other = aft.screws[i[n]], forward.screws[j[n]]
        a, b = screw_solid(one, aft.placement), screw_solid(other, forward.placement)
        yield from _of_solids(one, subject(other), a, b, limit, aft)


def _screws_on_parts(screwed: Frame, other: Frame, boxes: Boxes, limit: float) -> Iterator[Foul]:
    """Screws that come out of their own wood into parts, in these boxes, of another frame.

    What is in its own wood meets the parts of another frame only where that wood does.
    """
    screws = _through(screwed)
    low, high = screw_boxes(screws, screwed)
    deep = np.minimum(high[:, None], boxes[1][None]) - np.maximum(low[:, None], boxes[0][None])
    for n, m in np.argwhere(np.all(deep > limit, axis=2)):
        a = screw_solid(screws[n], screwed.placement)
        b = part_solid(other.parts[m], other.placement)
        yield from _of_solids(screws[n], subject(other.parts[m]), a, b, limit, screwed)


def _through(frame: Frame) -> tuple[Screw, ...]:
    """The screws whose tips come through their last ply."""
    return tuple(screw for screw in frame.screws if screw.left_beyond < 0.0)


def _axes(screws: Sequence[Screw], frame: Frame) -> tuple[Floats, Floats, Floats]:
    """Both ends of the axes, hull axes (n, 3), and the radii of the heads, the greatest there are, (n,), mm."""
    radius = np.array([s.size.head_diameter / 2 for s in screws])
    at = np.array([s.at for s in screws]).reshape(-1, 2)
    ends = [
        frame.placement.to_hull(np.column_stack([at, np.array([getattr(s, end) for s in screws])]))
        for end in ("head", "tip")
    ]
    return ends[0], ends[1], radius


def screw_boxes(screws: Sequence[Screw], frame: Frame) -> Boxes:
    """Least and greatest corners (n, 3), hull axes, mm, of boxes around screws of a frame."""
    head, tip, radius = _axes(screws, frame)
    # a disc square to the axis reaches no further along x than its radius times the sine of the rake
    lean = abs(np.sin(frame.placement.rake)), 1.0, np.cos(frame.placement.rake)
    around = radius[:, None] * np.array([lean])
    return np.minimum(head, tip) - around, np.maximum(head, tip) + around


def rail_fouls(assembly: Assembly) -> Iterator[Foul]:
    """Parts that run into a rail of the strongback, legs only where they do so deeper than LEG_ON_RAIL.

    So do screws, where they come out of their own wood.
    """
    strongback = assembly.strongback
    if strongback is None:
        return
    rails = [(side, np.array(strongback.rail(side))) for side in RAILS]
    for frame in assembly.frames:
        if not frame.parts:
            continue
        least, greatest = hull_boxes(frame)
        screws = _through(frame)
        low, high = screw_boxes(screws, frame)
        for side, corners in rails:
            deep = np.minimum(high, corners[1]) - np.maximum(low, corners[0])
            for n in np.flatnonzero(np.all(deep > assembly.limits["foul"], axis=1)):
                a, b = screw_solid(screws[n], frame.placement), box(*strongback.rail(side))
                yield from _of_solids(screws[n], rail(side), a, b, assembly.limits["foul"], frame)
            deep = np.minimum(greatest, corners[1]) - np.maximum(least, corners[0])
            for n in np.flatnonzero(np.all(deep > assembly.limits["foul"], axis=1)):
                part, on_rail = frame.parts[n], _upright_on_rail if frame.placement.rake == 0.0 else _raked_on_rail
                least_told = LEG_ON_RAIL if part.role == "leg" else 0.0
                limit = assembly.limits["foul"]
                fouls = [f for each in part.prisms for f in on_rail(frame, each, strongback, side, limit)]
                worst = max(fouls, key=lambda foul: foul.depth, default=None)
                if worst is not None and worst.depth > least_told:
                    yield worst


def _upright_on_rail(frame: Frame, part: Part, strongback: Strongback, side: RailSide, limit: float) -> Iterator[Foul]:
    """In the frame's plane, where an upright part and a rail are both prisms."""
    passage = rail_passage(strongback, side, frame.placement, part.low, part.high)
    shape = as_drawn(part)
    overlap = None if passage is None else deepest(shape, passage)
    start, end = (corner[0] - frame.placement.station for corner in strongback.rail(side))
    low, high = max(start, part.low), min(end, part.high)
    if overlap is None or not exceeds(min(overlap.depth, high - low), limit):
        return
    (y, v), room = way_out(overlap, shape, passage)
    yield Foul.between(
        subject(part),
        rail(side),
        depth=min(overlap.depth, high - low),
        limit=limit,
        at=frame.placement.point(*overlap.at, (low + high) / 2),
        way=(0.0, y, v),
        room=room,
        frame=frame.number,
        source=part.source,
        evidence=lambda: plane_evidence(Marker(frame=frame), overlap, shapely.intersection(shape, passage), low, high),
    )


def _raked_on_rail(frame: Frame, part: Part, strongback: Strongback, side: RailSide, limit: float) -> Iterator[Foul]:
    a, b = part_solid(part, frame.placement), box(*strongback.rail(side))
    yield from _of_solids(part, rail(side), a, b, limit, frame)

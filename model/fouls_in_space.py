"""Fouls between things that share no plane: frames with frames, and parts with the rails."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import reduce
from operator import add

import numpy as np
import shapely
from numpy.typing import NDArray

from .assembly import Assembly
from .foul import Foul, as_drawn, solid_way_out, way_out
from .frame import Frame
from .overlap import deepest
from .part import Part
from .passing import RAILS, RailSide, rail_passage
from .placement import Placement
from .segment import closest_points
from .solid import Solid, box, prism
from .solid_overlap import SolidOverlap, deepest_solid
from .strongback import Strongback

Floats = NDArray[np.float64]

LEG_ON_RAIL = 10.0
"""mm; a leg that overlaps a rail by less is badly placed on it, which `leg-bottom` and `leg-side` say."""


def frame_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """For every two frames that run into one another, the deepest foul of their parts or screws."""
    boxes = [hull_boxes(frame) for frame in frames]
    filled = [n for n, (least, _) in enumerate(boxes) if len(least)]
    if len(filled) < 2:
        return
    least = np.array([boxes[n][0].min(axis=0) for n in filled])
    greatest = np.array([boxes[n][1].max(axis=0) for n in filled])
    i, j = np.triu_indices(len(filled), 1)
    deep = np.all(np.minimum(greatest[i], greatest[j]) - np.maximum(least[i], least[j]) > limit, axis=1)
    for n in np.flatnonzero(deep):
        aft, forward = filled[i[n]], filled[j[n]]
        found = [
            *_parts_of_two(frames[aft], frames[forward], boxes[aft], boxes[forward], limit),
            *_screws_of_two(frames[aft], frames[forward], limit),
        ]
        if found:
            worst = max(found, key=lambda foul: (foul.depth, foul.first, foul.second))
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
        a, b = part_solid_as_drawn(one, aft.placement), part_solid_as_drawn(other, forward.placement)
        overlap = deepest_solid(a, b)
        if overlap is not None and overlap.depth > limit:
            yield _of_solids(one.name, other.name, overlap, a, b, limit, aft, one)


def part_solid_as_drawn(part: Part, placement: Placement) -> Solid:
    """The part in hull axes, less the wood the cutter leaves in its corners."""
    pieces = [piece for piece in shapely.get_parts(as_drawn(part)) if piece.geom_type == "Polygon"]
    return reduce(add, (prism(piece, part.low, part.high, placement) for piece in pieces))


def _of_solids(
    one: str, other: str, overlap: SolidOverlap, a: Solid, b: Solid, limit: float, frame: Frame, part: Part
) -> Foul:
    return Foul.between(
        one,
        other,
        depth=overlap.depth,
        limit=limit,
        at=overlap.at,
        way=solid_way_out(overlap, a, b),
        room=overlap.depth,
        frame=frame.number,
        source=part.source,
    )


def _screws_of_two(aft: Frame, forward: Frame, limit: float) -> Iterator[Foul]:
    """Screws of two frames whose shafts meet; a shaft is taken with round ends inside its own, never longer."""
    if not aft.screws or not forward.screws:
        return
    (a0, a1, a_radius), (b0, b1, b_radius) = _shafts(aft), _shafts(forward)
    i, j = (grid.ravel() for grid in np.indices((len(a0), len(b0))))
    on_a, on_b = closest_points(a0[i], a1[i], b0[j], b1[j])
    gaps = np.linalg.norm(on_a - on_b, axis=1)
    depths = a_radius[i] + b_radius[j] - gaps
    for n in np.flatnonzero(depths > limit):
        one, other = aft.screws[i[n]], forward.screws[j[n]]
        way = on_a[n] - on_b[n] if gaps[n] > 0.0 else np.cross(a1[i[n]] - a0[i[n]], b1[j[n]] - b0[j[n]])
        size = float(np.linalg.norm(way))
        x, y, z = (on_a[n] + on_b[n]) / 2
        yield Foul.between(
            one.name,
            other.name,
            depth=float(depths[n]),
            limit=limit,
            at=(float(x), float(y), float(z)),
            way=way / size if size > 0.0 else (0.0, 1.0, 0.0),
            room=float(depths[n]),
            frame=aft.number,
            source=one.source,
        )


def _shafts(frame: Frame) -> tuple[Floats, Floats, Floats]:
    """Both ends of the axes, drawn in by the radius, hull axes (n, 3), and the radii (n,), mm."""
    radius = np.array([s.size.diameter / 2 for s in frame.screws])
    at = np.array([s.at for s in frame.screws])
    low, high = np.array([s.low for s in frame.screws]), np.array([s.high for s in frame.screws])
    middle, half = (low + high) / 2, np.maximum((high - low) / 2 - radius, 0.0)
    ends = [frame.placement.to_hull(np.column_stack([at, middle + sign * half])) for sign in (-1.0, 1.0)]
    return ends[0], ends[1], radius


def rail_fouls(assembly: Assembly) -> Iterator[Foul]:
    """Parts that run into a rail of the strongback, legs only where they do so deeper than LEG_ON_RAIL."""
    strongback = assembly.strongback
    if strongback is None:
        return
    rails = [(side, np.array(strongback.rail(side))) for side in RAILS]
    for frame in assembly.frames:
        if not frame.parts:
            continue
        least, greatest = hull_boxes(frame)
        for side, rail in rails:
            deep = np.minimum(greatest, rail[1]) - np.maximum(least, rail[0])
            for n in np.flatnonzero(np.all(deep > assembly.limits["foul"], axis=1)):
                part = frame.parts[n]
                limit = LEG_ON_RAIL if part.role == "leg" else assembly.limits["foul"]
                if frame.placement.rake == 0.0:
                    yield from _upright_on_rail(frame, part, strongback, side, limit)
                else:
                    yield from _raked_on_rail(frame, part, strongback, side, limit)


def _upright_on_rail(frame: Frame, part: Part, strongback: Strongback, side: RailSide, limit: float) -> Iterator[Foul]:
    """In the frame's plane, where an upright part and a rail are both prisms."""
    passage = rail_passage(strongback, side, frame.placement, part.low, part.high)
    shape = as_drawn(part)
    overlap = None if passage is None else deepest(shape, passage)
    start, end = (corner[0] - frame.placement.station for corner in strongback.rail(side))
    low, high = max(start, part.low), min(end, part.high)
    if overlap is None or min(overlap.depth, high - low) <= limit:
        return
    (y, v), room = way_out(overlap, shape, passage)
    yield Foul.between(
        part.name,
        f"{side} rail",
        depth=min(overlap.depth, high - low),
        limit=limit,
        at=frame.placement.point(*overlap.at, (low + high) / 2),
        way=(0.0, y, v),
        room=room,
        frame=frame.number,
        source=part.source,
    )


def _raked_on_rail(frame: Frame, part: Part, strongback: Strongback, side: RailSide, limit: float) -> Iterator[Foul]:
    a, b = part_solid_as_drawn(part, frame.placement), box(*strongback.rail(side))
    overlap = deepest_solid(a, b)
    if overlap is not None and overlap.depth > limit:
        yield _of_solids(part.name, f"{side} rail", overlap, a, b, limit, frame, part)

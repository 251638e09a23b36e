"""Battens that leave their notches straight outwards, which nearly all do: all of a boat's looked at together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from ..boat.frame import Frame
from ..boat.strongback import Strongback
from ..relations.notches.notch import Crossing
from .springing import Opening, outward, rails_at, slim_ring

Floats = NDArray[np.float64]


def straight_out(crossings: Sequence[Crossing], strongback: Strongback | None) -> dict[Crossing, Opening]:
    """The openings of those crossings where the way out square to the batten's side meets nothing of the frame.

    There has to be wood, if not near the batten, in every frame that is crossed.
    """
    if not crossings:
        return {}
    frames = list(dict.fromkeys(crossing.frame for crossing in crossings))
    place = {frame: n for n, frame in enumerate(frames)}
    shapes, spans = _wood(frames, strongback)
    bounds = shapely.bounds(np.array([shape for of_one in shapes for shape in of_one], dtype=object))
    first = np.cumsum([0, *(len(of_one) for of_one in shapes)])
    at = np.array([place[crossing.frame] for crossing in crossings])
    ways = np.array([outward(crossing)[0] for crossing in crossings])
    boxes = np.array([crossing.bounds(min(crossing.rings), max(crossing.rings)) for crossing in crossings])
    count = first[at + 1] - first[at]
    begins = np.cumsum(count) - count
    i = np.repeat(np.arange(len(crossings)), count)
    j = np.arange(len(i)) - begins[i] + first[at[i]]
    # from the near side of the batten's box to the far side of the furthest box at the frame
    near = np.sum(np.where(ways > 0, boxes[:, :2], boxes[:, 2:]) * ways, axis=1)
    far = np.sum(np.where(ways[i] > 0, bounds[j, 2:], bounds[j, :2]) * ways[i], axis=1)
    reach = np.maximum(np.maximum.reduceat(far, begins) - near, 0.0)
    by = ways * reach[:, None]
    least, greatest = np.minimum(boxes[:, :2], boxes[:, :2] + by), np.maximum(boxes[:, 2:], boxes[:, 2:] + by)
    beside = np.all((greatest[i] > bounds[j, :2]) & (least[i] < bounds[j, 2:]), axis=1)
    i, j = i[beside], j[beside]
    sweeps, which = _sweeps(crossings, [spans[n] for n in j], i, by)
    wood = np.array([shape for of_one in shapes for shape in of_one], dtype=object)
    barred = set(i[shapely.intersects(sweeps[which], wood[j])].tolist())
    return {
        crossing: Opening((float(ways[n, 0]), float(ways[n, 1])), float(reach[n]))
        for n, crossing in enumerate(crossings)
        if n not in barred
    }


def _wood(
    frames: Sequence[Frame], strongback: Strongback | None
) -> tuple[list[list[shapely.Geometry]], list[tuple[float, float]]]:
    """The outlines of each frame's parts and of the rails there, and from where to where they reach along w."""
    shapes, spans = [], []
    for frame in frames:
        rails = rails_at(frame, strongback)
        shapes.append([*(part.shape for part in frame.parts), *(rail.shape for rail in rails)])
        spans += [*((part.low, part.high) for part in frame.parts), *((rail.low, rail.high) for rail in rails)]
    return shapes, spans


def _sweeps(
    crossings: Sequence[Crossing], spans: Sequence[tuple[float, float]], which: NDArray[np.intp], by: Floats
) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """What each batten passes over at the levels of what it might meet, once for each; and which of them a pair has."""
    number: dict[tuple[int, tuple[float, float]], int] = {}
    pair = [number.setdefault((n, span), len(number)) for n, span in zip(which.tolist(), spans, strict=True)]
    rings = []
    for n, (low, high) in number:
        ring = np.concatenate([slim_ring(crossings[n], low), slim_ring(crossings[n], high)])
        rings.append(np.concatenate([ring, ring + by[n]]))
    longest = max((len(ring) for ring in rings), default=0)
    filled = [np.concatenate([ring, np.repeat(ring[-1:], longest - len(ring), axis=0)]) for ring in rings]
    if not filled:
        return np.empty(0, dtype=object), np.empty(0, dtype=np.intp)
    return shapely.convex_hull(shapely.linestrings(np.array(filled))), np.array(pair, dtype=np.intp)

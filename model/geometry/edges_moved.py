"""An outline with straight edges of it moved, the edges beside them drawn out or cut short."""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.tolerances import COINCIDENT, JOINT_REACH, PARALLEL, WALL_TURN

from .outline import Outline

Floats = NDArray[np.float64]
Point = tuple[float, float]
Shift = tuple[ArrayLike, ArrayLike, float]

_LINE = 1e-3  # rad; edges that turn less from one another are one, divided


def edges_moved(outline: Outline, shifts: Iterable[Shift]) -> tuple[tuple[Point, Point], ...]:
    """Which corners go from where to where as each edge that lies nearest a point moves along a way by some mm.

    A shift is (a point or several that lie about it, way, mm). The edge stays parallel to itself, as do the edges that
    it ends on; a round between goes along, and so do corners within its line. Empty where there is no such edge near
    the point, or what it ends on does not allow it.
    """
    points = outline.points
    for at, way, by in shifts:
        unit = np.asarray(way, dtype=np.float64) / max(np.hypot(*np.asarray(way)), COINCIDENT)
        moved = _moved(points, outline.bulges, np.mean(np.reshape(at, (-1, 2)), axis=0), unit * by, unit)
        if moved is None:
            return ()
        points = moved
    pairs = zip(outline.points.tolist(), points.tolist(), strict=True)
    return tuple(((a, b), (c, d)) for (a, b), (c, d) in pairs if hypot(c - a, d - b) > COINCIDENT)


def _moved(points: Floats, bulges: Floats, at: Floats, shift: Floats, way: Floats) -> Floats | None:
    runs = np.roll(points, -1, axis=0) - points
    lengths = np.maximum(np.hypot(*runs.T), COINCIDENT)
    along = runs / lengths[:, None]
    share = np.clip(np.sum((at - points) * along, axis=1), 0.0, lengths)
    off = np.hypot(*(points + share[:, None] * along - at).T)
    square = (bulges == 0.0) & (np.abs(along @ way) < np.sin(WALL_TURN)) & (off < JOINT_REACH)
    if not square.any():
        return None
    n = int(np.lexsort((-lengths, np.where(square, np.round(off, 3), np.inf)))[0])
    out, count = points.copy(), len(points)

    def goes_on(edge: int) -> bool:
        return bool(bulges[edge] == 0.0 and along[edge] @ along[n] > 0.0 and abs(_cross(along[edge], along[n])) < _LINE)

    first, last = n, (n + 1) % count
    while goes_on((first - 1) % count) and first != last:
        first = (first - 1) % count
    while goes_on(last) and last != first:
        last = (last + 1) % count
    within = (first + np.arange(1, (last - first) % count)) % count
    out[within] += shift
    for corner, step in ((first, -1), (last, 1)):
        beside = corner if step > 0 else (corner - 1) % count  # the edge, or the round, that it ends on there
        goes = [corner]
        if bulges[beside]:
            goes.append((corner + step) % count)
            beside = (beside + step) % count
            if bulges[beside] or abs(_cross(along[beside], way)) > PARALLEL:
                return None
        turn = _cross(along[beside], along[n])
        if abs(turn) < np.sin(PARALLEL):
            return None
        by = along[beside] * _cross(shift, along[n]) / turn
        if step * float(by @ along[beside]) > lengths[beside] - COINCIDENT:
            return None
        out[goes] += by
    left = np.diff(out[[first, *within, last]], axis=0) @ along[n]
    return out if (left > COINCIDENT).all() else None


def _cross(one: Floats, other: Floats) -> float:
    return float(one[0] * other[1] - one[1] * other[0])

"""Which ways an outline can be moved off for good, past others that stay: exactly, from their corners.

A moving outline runs into a fixed one in just those directions that lead from a point of the one to a
point of the other: to a point of the fixed outline with the moving one taken off (its Minkowski
difference). Seen from where nothing has moved yet that difference fills one arc of directions for
each piece, and its rim is made of pairs of an edge of the one outline and a corner of the other
(Wilson & Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71, 1994).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

Floats = NDArray[np.float64]

TURN = 2.0 * np.pi

_SAME = 1e-9  # rad; arcs that come so near one another meet


def blocked_arcs(moving: shapely.Geometry, fixed: shapely.Geometry) -> Floats:
    """(n, 2) angles, radians: from where counter-clockwise to where `moving` runs into `fixed`, ever so far off.

    Starts lie in [0, 2 pi), ends after them; the arcs are apart from one another. Both may be of several
    pieces, with holes; they must not overlap or touch. Nothing blocks, or is blocked by, what is empty.
    """
    if shapely.is_empty(moving) or shapely.is_empty(fixed):
        return np.empty((0, 2))
    hulls = shapely.convex_hull(moving), shapely.convex_hull(fixed)
    if not shapely.intersects(*hulls):
        # what lies beside one another is as wide seen from there as its hull is
        moving, fixed = hulls
    (a_starts, a_ends), (b_starts, b_ends) = _edges(moving), _edges(fixed)
    sights = [
        _seen(b_starts[None, :] - a_starts[:, None], b_ends[None, :] - a_starts[:, None]),
        _seen(b_starts[:, None] - a_starts[None, :], b_starts[:, None] - a_ends[None, :]),
    ]
    return joined(np.concatenate(sights))


def _edges(shape: shapely.Geometry) -> tuple[Floats, Floats]:
    points, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(shape)), return_index=True)
    same = (ring[1:] == ring[:-1]) & np.any(points[1:] != points[:-1], axis=1)
    return points[:-1][same], points[1:][same]


def _seen(starts: Floats, ends: Floats) -> Floats:
    """The arcs that segments (..., 2) fill, seen from the origin, as `joined` wants them."""
    first = np.arctan2(starts[..., 1], starts[..., 0]).ravel()
    turn = np.arctan2(ends[..., 1], ends[..., 0]).ravel() - first
    turn = (turn + np.pi) % TURN - np.pi
    begins = np.where(turn < 0.0, first + turn, first)
    return np.column_stack([begins, begins + np.abs(turn)])


def joined(arcs: Floats) -> Floats:
    """The same arcs (n, 2), those that meet made one, sorted; one of a full turn where they go all round."""
    if not len(arcs):
        return np.empty((0, 2))
    begins = arcs[:, 0] % TURN
    ends = begins + np.minimum(arcs[:, 1] - arcs[:, 0], TURN)
    over = ends > TURN
    begins = np.concatenate([begins, np.zeros(int(over.sum()))])
    ends = np.concatenate([np.minimum(ends, TURN), ends[over] - TURN])
    order = np.argsort(begins, kind="stable")
    begins, reached = begins[order], np.maximum.accumulate(ends[order])
    parted = np.flatnonzero(begins[1:] > reached[:-1] + _SAME)
    out = np.column_stack([begins[np.concatenate([[0], parted + 1])], reached[np.concatenate([parted, [-1]])]])
    if len(out) > 1 and out[0, 0] <= _SAME and out[-1, 1] >= TURN - _SAME:
        out = np.vstack([out[1:-1], [out[-1, 0], TURN + out[0, 1]]])
    if len(out) == 1 and out[0, 1] - out[0, 0] >= TURN - _SAME:
        return np.array([[0.0, TURN]])
    return out


def free_arcs(blocked: Sequence[Floats]) -> Floats:
    """(n, 2): the arcs between all of these, the directions that none of them blocks; widest first."""
    arcs = joined(np.concatenate([np.empty((0, 2)), *blocked]))
    if not len(arcs):
        return np.array([[0.0, TURN]])
    if arcs[0, 1] - arcs[0, 0] >= TURN:
        return np.empty((0, 2))
    free = np.column_stack([arcs[:, 1], np.roll(arcs[:, 0], -1)])
    free[-1, 1] += TURN
    free -= TURN * np.floor(free[:, :1] / TURN)
    return np.asarray(free[np.lexsort((free[:, 0], np.round(free[:, 0] - free[:, 1], 9)))])


def is_free(angle: float, free: Floats) -> bool:
    """Whether a direction, radians, lies in one of these arcs."""
    return bool(np.any((angle - free[:, 0]) % TURN <= free[:, 1] - free[:, 0] + _SAME))


def contacts(moving: shapely.Geometry, fixed: Iterable[shapely.Geometry], way: Floats) -> Floats:
    """(n,) mm, sorted: how far `moving` has gone along the unit `way` (2,) when a corner meets an edge, either's.

    Between two of these distances next to one another it overlaps the same outlines all along, or none.
    """
    a_starts, a_ends = _edges(moving)
    found = [np.zeros(1)]
    for shape in fixed:
        b_starts, b_ends = _edges(shape)
        found.append(_meets(a_starts, way, b_starts, b_ends))
        found.append(_meets(b_starts, -way, a_starts, a_ends))
    return np.unique(np.concatenate(found))


def _meets(points: Floats, way: Floats, starts: Floats, ends: Floats) -> Floats:
    """How far along `way` from each of the points (n, 2) lie the edges (m, 2) ahead of it: all distances, mm."""
    runs = ends - starts
    across = way[0] * runs[:, 1] - way[1] * runs[:, 0]
    real = np.abs(across) > COINCIDENT
    starts, runs, across = starts[real], runs[real], across[real]
    arms = starts[None] - points[:, None]
    ahead = (arms[..., 0] * runs[:, 1] - arms[..., 1] * runs[:, 0]) / across
    share = (arms[..., 0] * way[1] - arms[..., 1] * way[0]) / across
    return np.asarray(ahead[(ahead > 0.0) & (share >= 0.0) & (share <= 1.0)])

"""How far apart straight shafts are that need not be parallel."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def closest_points(p0: ArrayLike, p1: ArrayLike, q0: ArrayLike, q1: ArrayLike) -> tuple[Floats, Floats]:
    """The points (n, 3) on p0-p1 and on q0-q1 that are closest; of parallel stretches, one such pair.

    Each end is (n, 3), or (3,) for one. Exact to rounding for parallel, touching and crossing segments
    and for those of no length.

    The squared distance is convex over both segments, so it is least either where the lines are
    closest, if that is within both, or at one of the four ends: all five are tried.
    """
    a0, a1, b0, b1 = (np.atleast_2d(np.asarray(end, dtype=np.float64)) for end in (p0, p1, q0, q1))
    a0, a1, b0, b1 = np.broadcast_arrays(a0, a1, b0, b1)
    s, t = _line_shares(a0, a1, b0, b1)
    pairs = [
        (_at(a0, a1, s), _at(b0, b1, t)),
        (a0, _foot(a0, b0, b1)),
        (a1, _foot(a1, b0, b1)),
        (_foot(b0, a0, a1), b0),
        (_foot(b1, a0, a1), b1),
    ]
    gaps = np.array([np.linalg.norm(on_a - on_b, axis=1) for on_a, on_b in pairs])
    best, rows = np.argmin(gaps, axis=0), np.arange(gaps.shape[1])
    return np.array([pair[0] for pair in pairs])[best, rows], np.array([pair[1] for pair in pairs])[best, rows]


def _line_shares(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> tuple[Floats, Floats]:
    """Where along each segment the two lines are closest, kept between 0 and 1.

    By cross products: the usual determinant of dot products loses half the digits where lines are
    nearly parallel.
    """
    a, b, between = a1 - a0, b1 - b0, b0 - a0
    normal = np.cross(a, b)
    square = np.sum(normal * normal, axis=1)
    safe = np.where(square > 0.0, square, 1.0)
    s = np.clip(np.sum(np.cross(between, b) * normal, axis=1) / safe, 0.0, 1.0)
    t = _share(_at(a0, a1, s), b0, b1)
    return _share(_at(b0, b1, t), a0, a1), t


def _share(point: Floats, start: Floats, end: Floats) -> Floats:
    """Where along start-end the foot of `point` lies, between 0 and 1."""
    along = end - start
    square = np.sum(along * along, axis=1)
    safe = np.where(square > 0.0, square, 1.0)
    return np.asarray(np.clip(np.sum((point - start) * along, axis=1) / safe, 0.0, 1.0))


def _foot(point: Floats, start: Floats, end: Floats) -> Floats:
    return _at(start, end, _share(point, start, end))


def _at(start: Floats, end: Floats, share: Floats) -> Floats:
    return np.asarray(start + (end - start) * share[:, None])

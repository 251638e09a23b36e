"""What lies under a point of the picture, and the corner or edge near it that is meant."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .triple import Triple, triple

Kind = Literal["corner", "edge", "face"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picked:
    """A body by number, and the place (hull axes, mm, where the body stands now) that was picked on it."""

    body: int
    at: Triple
    kind: Kind = "face"


def snapped(picked: Picked, points: NDArray[np.float64], edges: NDArray[np.int64], reach: float) -> Picked:
    """The nearest corner of the body within `reach` mm, else the nearest point of an edge, else the same.

    `points` (n, 3) are the body's own where it stands now, `edges` (k, 2) the numbers of their ends.
    """
    if not len(edges):
        return picked
    at = np.array(picked.at)
    corners = points[np.unique(edges)]
    off = np.linalg.norm(corners - at, axis=1)
    if off.min() <= reach:
        return Picked(body=picked.body, at=triple(corners[int(off.argmin())]), kind="corner")
    start, way = points[edges[:, 0]], points[edges[:, 1]] - points[edges[:, 0]]
    square = np.maximum(np.sum(way * way, axis=1), 1e-18)
    share = np.clip(np.sum((at - start) * way, axis=1) / square, 0.0, 1.0)
    feet = start + way * share[:, None]
    off = np.linalg.norm(feet - at, axis=1)
    if off.min() <= reach:
        return Picked(body=picked.body, at=triple(feet[int(off.argmin())]), kind="edge")
    return picked

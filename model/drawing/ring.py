"""Closed chains of segments: their area, their settled form, and whether two are the same."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from ..geometry.outline import Outline

Floats = NDArray[np.float64]


def signed_area(points: Floats, bulges: Floats) -> float:
    """Area inside a closed chain, mm2, arcs at their true shape; negative if it runs clockwise."""
    y, v = points[:, 0] - points[0, 0], points[:, 1] - points[0, 1]
    y2, v2 = _begun_at(y, 1), _begun_at(v, 1)
    area = float(np.sum(y * v2 - y2 * v)) / 2
    curved = np.flatnonzero(bulges)
    if len(curved):
        b = bulges[curved]
        square = (y2[curved] - y[curved]) ** 2 + (v2[curved] - v[curved]) ** 2
        turn = 4 * np.arctan(b)
        radius_square = square * ((1 + b * b) / (4 * b)) ** 2
        area += float(np.sum(radius_square * (turn - np.sin(turn)))) / 2
    return area


def settled(points: Floats, bulges: Floats) -> Outline:
    """The outline of a closed chain, counter-clockwise, begun at its leftmost (of those, lowest) corner.

    However the chain was drawn, the same outline comes out.
    """
    if signed_area(points, bulges) < 0:
        points, bulges = points[::-1], -_begun_at(bulges[::-1], 1)
    first = int(np.lexsort((points[:, 1], points[:, 0]))[0])
    settled_points, settled_bulges = _begun_at(points, first), _begun_at(bulges, first)
    settled_points.setflags(write=False)
    settled_bulges.setflags(write=False)
    return Outline(points=settled_points, bulges=settled_bulges)


def same_region(one: shapely.Geometry, other: shapely.Geometry, tolerance: float) -> bool:
    """Whether the edges of two regions lie within `tolerance` mm of each other everywhere."""
    if max(abs(a - b) for a, b in zip(one.bounds, other.bounds, strict=True)) > tolerance:
        return False
    return bool(shapely.hausdorff_distance(one.boundary, other.boundary) <= tolerance)


def _begun_at(chain: Floats, first: int) -> Floats:
    """The same round, begun at `first`."""
    return np.concatenate([chain[first:], chain[:first]])

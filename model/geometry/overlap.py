"""How deep two outlines overlap, and which way out is shortest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.tolerances import COINCIDENT, SLIVER

from .inscribed import inscribed_circle
from .plane import foot


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """An overlap in the plane: `depth` mm, deepest at `at`; `way` is the unit direction of least width.

    `depth` is the diameter of the greatest circle that lies in the overlap: for the strip where one
    edge runs past another it is the strip's width, however long or crooked the strip. It is exact to
    `COINCIDENT`, so it does not change when both outlines are moved or turned.
    """

    depth: float
    at: tuple[float, float]
    way: tuple[float, float]
    region: shapely.Polygon

    @property
    def across(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The two ends of what is measured: `depth` along `way`, about `at`."""
        (y, v), (dy, dv) = self.at, self.way
        half = self.depth / 2
        return (y - half * dy, v - half * dv), (y + half * dy, v + half * dv)


def deepest(a: shapely.Geometry, b: shapely.Geometry) -> Overlap | None:
    """The deepest overlap of two polygons; None where they only touch, or overlap by less than a sliver."""
    return max(overlaps(a, b), key=lambda o: (o.depth, o.at), default=None)


def overlaps(a: shapely.Geometry, b: shapely.Geometry) -> list[Overlap]:
    """Every overlapping region of two polygons, slivers left out, sorted by place."""
    common = shapely.intersection(a, b)
    out = []
    for piece in shapely.get_parts(common):
        if piece.geom_type != "Polygon" or 2 * piece.area <= SLIVER * piece.length / 2:
            continue
        circle = inscribed_circle(piece)
        depth = 2 * circle.radius
        if depth < SLIVER:
            continue
        out.append(Overlap(depth=depth, at=circle.centre, way=_least_width(piece), region=piece))
    return sorted(out, key=lambda o: o.at)


def nearest_edge(shape: shapely.Polygon, at: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The point (2,) of a polygon's boundary nearest to a place, and the unit way (2,) out of it there.

    On the boundary itself the way is that from a point inside.
    """
    edge = foot(shape.boundary, at)
    way = np.subtract(at, edge)
    if np.hypot(*way) <= COINCIDENT:
        way = edge - shapely.get_coordinates(shape.representative_point())[0]
    elif shape.contains(shapely.Point(at)):
        way = -way
    return edge, way / np.hypot(*way)


def _least_width(piece: shapely.Polygon) -> tuple[float, float]:
    """The unit direction in which the piece is narrowest, y or v positive: square to an edge of its hull."""
    corners = np.asarray(piece.convex_hull.exterior.coords)
    edges = np.diff(corners, axis=0)
    lengths = np.hypot(*edges.T)
    real = lengths > COINCIDENT  # the direction of a shorter edge is rounding
    normals = np.column_stack([-edges[real, 1], edges[real, 0]]) / lengths[real, None]
    heights = normals @ corners.T
    widths = heights.max(axis=1) - heights.min(axis=1)
    alike = normals[widths <= widths.min() + COINCIDENT]
    y, v = max((_onward(way) for way in alike), key=lambda way: (round(way[0], 6), round(way[1], 6)))
    return y, v


def _onward(way: NDArray[np.float64]) -> tuple[float, float]:
    """The direction or its opposite: the one to port, or up where it is neither to port nor to starboard."""
    y, v = (float(c) + 0.0 for c in np.round(way, 12))
    return (y, v) if (y, v) > (0.0, 0.0) else (-y + 0.0, -v + 0.0)

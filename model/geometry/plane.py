"""What is wanted of a plane everywhere: the mirror image on the centreline, discs, the nearest place of an edge."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

_Shape = TypeVar("_Shape", bound=shapely.Geometry)

_IN_LINE = 1e-3  # mm; a corner no further off the line through its neighbours divides no edge: drawings are so rounded


def mirrored(shape: _Shape) -> _Shape:
    """A shape (y, v) as a mirror on the centreline, y = 0, shows it."""
    image: _Shape = shapely.transform(shape, mirrored_points)
    return image


def mirrored_points(points: ArrayLike) -> NDArray[np.float64]:
    """Points (n, 2) or one (2,) as a mirror on the centreline shows them."""
    return np.asarray(points, dtype=np.float64) * (-1.0, 1.0)


def without_needless_corners(shape: shapely.Geometry) -> shapely.Geometry:
    """A polygon or several without the corners that lie within a straight line."""
    # normalized, a ring begins at a corner of its hull: the one where it begins is never left out
    return shapely.simplify(shapely.normalize(shape), _IN_LINE)


def common_area(one: shapely.Geometry, other: shapely.Geometry) -> shapely.MultiPolygon:
    """What two shapes share, without the lines and points along which they only touch."""
    pieces = shapely.get_parts(shapely.intersection(one, other))
    return shapely.MultiPolygon([piece for piece in pieces if piece.geom_type == "Polygon"])


def disc(at: ArrayLike, diameter: float, *, quad_segs: int = 16) -> shapely.Polygon:
    """A round shape about a place (2,), so many straight pieces a quarter."""
    return shapely.Point(at).buffer(diameter / 2, quad_segs=quad_segs)


def foot(shape: shapely.Geometry, at: ArrayLike) -> NDArray[np.float64]:
    """(2,): the place of a shape, or of lines, that is nearest to a place (2,); to one within a polygon that itself."""
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(shape, shapely.Point(at)))[0])

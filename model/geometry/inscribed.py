"""The greatest circle that lies in a polygon.

A circle about a point of the polygon is bounded by the edge nearest to that point, so the greatest one is
about the point whose least distance to the edges is greatest. GEOS's search finds the hill on which that
point lies; the top of the hill is then climbed exactly. The distance to an edge is a convex function and lies
above its tangent plane, so the point that is best for the tangent planes of all edges is at least as good for
the edges themselves: a step there never makes the circle less and never leaves the polygon.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

Floats: TypeAlias = NDArray[np.float64]

_SEARCH = 0.0002  # of area over length, which is half a strip's width; two hills as near in height are one
_LEVEL = COINCIDENT / 1000  # mm in the height of a ridge; of a turn from parallel, nothing
_STEPS = 40  # ways to the top of a hill take two to six steps; more is rounding
_PIVOTS = 200  # a change of tangent planes takes some ten; more is rounding
_ROUNDING = 1e-13  # of the lengths that are added


@dataclass(frozen=True, slots=True, kw_only=True)
class InscribedCircle:
    """A circle in a polygon, in the polygon's units: `radius` about `centre`."""

    radius: float
    centre: tuple[float, float]


@lru_cache(maxsize=1024)  # one overlap is asked for by several checks, and again in every trial
def inscribed_circle(polygon: shapely.Polygon) -> InscribedCircle:
    """The greatest circle in a valid polygon with or without holes.

    In a convex polygon it is exact. In others it is the greatest on its hill, exactly, and another hill
    could be higher by a thousandth of half the polygon's mean width at most. Where several are as great it
    is one of them, in a strip the one halfway along.
    """
    normal = shapely.normalize(polygon)
    origin = shapely.get_coordinates(normal)[0]
    near = shapely.transform(normal, lambda corners: corners - origin)
    edges = _PolygonEdges.of(near)
    if edges.convex:
        start = shapely.get_coordinates(near.centroid)[0]
    else:
        search = _SEARCH * near.area / near.length
        start = shapely.get_coordinates(shapely.maximum_inscribed_circle(near, tolerance=search))[0]
    centre = _halfway(edges, _climb(edges, start))
    y, v = centre + origin
    return InscribedCircle(radius=edges.clear(centre), centre=(float(y), float(v)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _PolygonEdges:
    """The edges of a polygon: (n, 2) starts, (n, 2) unit directions and (n,) lengths; whether it is convex."""

    starts: Floats
    ways: Floats
    lengths: Floats
    convex: bool

    @classmethod
    def of(cls, polygon: shapely.Polygon) -> _PolygonEdges:
        rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(polygon)]
        starts = np.concatenate([ring[:-1] for ring in rings])
        spans = np.concatenate([np.diff(ring, axis=0) for ring in rings])
        lengths = np.hypot(spans[:, 0], spans[:, 1])
        real = lengths > 0
        ways = spans[real] / lengths[real, None]
        ahead = np.roll(ways, -1, axis=0)
        turns = ways[:, 0] * ahead[:, 1] - ways[:, 1] * ahead[:, 0]
        convex = len(rings) == 1 and bool((turns <= _LEVEL).all() or (turns >= -_LEVEL).all())
        return cls(starts=starts[real], ways=ways, lengths=lengths[real], convex=convex)

    def offsets(self, point: Floats) -> Floats:
        """From the nearest point of each edge to a point (2,): (n, 2)."""
        arms = point - self.starts
        along = np.clip(np.sum(arms * self.ways, axis=1), 0.0, self.lengths)
        return np.asarray(arms - along[:, None] * self.ways)

    def clear(self, point: Floats) -> float:
        """From a point (2,) to the nearest edge."""
        return float(np.hypot(*self.offsets(point).T).min())


def _climb(edges: _PolygonEdges, point: Floats) -> Floats:
    """The point (2,) where the circle stops growing, from a point (2,) in the polygon."""
    radius = 0.0
    for _ in range(_STEPS):
        offsets = edges.offsets(point)
        distances = np.hypot(*offsets.T)
        least = float(distances.min())
        if least <= radius * (1 + _ROUNDING):
            break
        radius = least
        ahead = point + _best_for_planes(offsets / distances[:, None], distances)
        if edges.clear(ahead) < radius * (1 - _ROUNDING):
            break
        point = ahead
    return point


def _best_for_planes(slopes: Floats, heights: Floats) -> Floats:
    """The point (2,) where the least of the planes `heights + slopes @ point` is greatest.

    Slopes are (n, 2) unit vectors on every side of the origin, heights (n,) positive. It is a linear program
    in the point and the height, solved by the simplex method on its dual: three planes are held, their peak
    is the highest point below them, and each turn takes in the plane that cuts deepest into that peak. Three
    walls far off that surround the origin are where the search begins.
    """
    turns = np.array([0.5, 2.5, 4.5]) * np.pi / 3
    walls = np.column_stack([np.cos(turns), np.sin(turns)])
    planes = np.column_stack([np.concatenate([-walls, -slopes]), np.ones(len(slopes) + 3)])
    limits = np.concatenate([np.full(3, 4.0 * float(heights.max())), heights])
    held, peak = [0, 1, 2], np.zeros(3)
    for _ in range(_PIVOTS):
        inverse = np.linalg.inv(planes[held])
        peak = inverse @ limits[held]
        over = limits - planes @ peak
        enters = int(over.argmin())
        change = planes[enters] @ inverse
        growing = change > _LEVEL
        if over[enters] >= -_ROUNDING * limits[0] or not growing.any():
            break
        shares = np.where(growing, inverse[2] / np.where(growing, change, 1.0), np.inf)
        held[int(shares.argmin())] = enters
    return np.asarray(peak[:2])


def _halfway(edges: _PolygonEdges, point: Floats) -> Floats:
    """The point (2,) halfway along the level ridge that a point (2,) lies on; the point itself where it lies on none.

    A ridge is level between two parallel edges, as far as the tangent planes of the others allow.
    """
    offsets = edges.offsets(point)
    distances = np.hypot(*offsets.T)
    slopes = offsets / distances[:, None]
    nearest = slopes[distances <= distances.min() + _LEVEL]
    facing = nearest @ nearest.T
    if facing.min() > _LEVEL - 1.0:
        return point
    across = nearest[facing.min(axis=1).argmin()]
    ridge = np.array([-across[1], across[0]])
    along = slopes @ ridge
    room = distances - distances.min()
    ahead = np.min(room[along < -_LEVEL] / -along[along < -_LEVEL], initial=np.inf)
    behind = np.min(room[along > _LEVEL] / along[along > _LEVEL], initial=np.inf)
    if not np.isfinite(ahead + behind):
        return point
    middle: Floats = point + (ahead - behind) / 2 * ridge
    return middle if edges.clear(middle) >= distances.min() - _LEVEL else point

"""The greatest circle that lies in a polygon.

A circle about a point of the polygon is bounded by the edge nearest to that point, so the greatest one is
about the point whose least distance to the edges is greatest. Two properties of the distance to one edge,
a convex function, make that exact and quick:

* it lies above its tangent plane, so the point that is best for the tangent planes of all edges is at least
  as good for the edges themselves: a step there never makes the circle less and never leaves the polygon;
* over a triangle it lies below the plane through its values at the corners, so what is best for those
  planes bounds every circle about a point of the triangle.

The steps find the top of a hill, the bounds show that no other hill is higher.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

Floats: TypeAlias = NDArray[np.float64]

_EXCESS = COINCIDENT / 10  # mm; circles that could be greater by less are not looked for
_LEVEL = COINCIDENT / 1000  # mm in the height of a ridge; of a turn from parallel, nothing
_STEPS = 40  # ways to the top of a hill take two to six steps; more is rounding
_PIVOTS = 200  # a change of tangent planes takes some ten; more is rounding
_ROUNDS = 40  # halvings of a triangle; twenty make a metre a micrometre
_ROUNDING = 1e-13  # of the lengths that are added

_SAMPLES = np.array([(4, 1, 1), (1, 4, 1), (1, 1, 4), (2, 2, 2), (0, 3, 3), (3, 0, 3), (3, 3, 0)]) / 6
_PAIRS = np.array(list(combinations(range(len(_SAMPLES)), 2))).T
_TRIPLES = np.array(list(combinations(range(len(_SAMPLES)), 3)))


@dataclass(frozen=True, slots=True, kw_only=True)
class InscribedCircle:
    """A circle in a polygon, in the polygon's units: `radius` about `centre`."""

    radius: float
    centre: tuple[float, float]


def inscribed_circle(polygon: shapely.Polygon) -> InscribedCircle:
    """The greatest circle in a valid polygon with or without holes, its radius to 1e-7 mm.

    Where several are as great, one of them: in a strip the one halfway along. It does not matter with which
    corner the rings begin or which way round they go.
    """
    normal = shapely.normalize(polygon)
    origin = shapely.get_coordinates(normal)[0]
    near = shapely.transform(normal, lambda corners: corners - origin)
    edges = _Edges.of(near)
    cells = _triangles(near)
    radius, centre = 0.0, cells[0].mean(axis=0)
    for _ in range(_ROUNDS):
        middles = cells.mean(axis=1)
        clear = edges.distances(middles).min(axis=1)
        top = _climb(edges, middles[np.argmax(clear)])
        found = float(edges.distances(top[None]).min())
        if found > radius:
            radius, centre = found, top
        cells = cells[_bounds(edges, cells, radius + _EXCESS) > radius + _EXCESS]
        if not len(cells):
            break
        cells = _split(cells, centre)
    centre = _halfway(edges, centre)
    y, v = centre + origin
    return InscribedCircle(radius=radius, centre=(float(y), float(v)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """The edges of a polygon: (n, 2) starts, (n, 2) unit directions and (n,) lengths."""

    starts: Floats
    ways: Floats
    lengths: Floats

    @classmethod
    def of(cls, polygon: shapely.Polygon) -> _Edges:
        rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(polygon)]
        starts = np.concatenate([ring[:-1] for ring in rings])
        spans = np.concatenate([np.diff(ring, axis=0) for ring in rings])
        lengths = np.hypot(spans[:, 0], spans[:, 1])
        real = lengths > 0
        return cls(starts=starts[real], ways=spans[real] / lengths[real, None], lengths=lengths[real])

    def offsets(self, points: Floats) -> tuple[Floats, Floats]:
        """From the nearest point of each edge to each of the (m, 2) points: (m, n) y and (m, n) v."""
        y = points[:, :1] - self.starts[:, 0]
        v = points[:, 1:] - self.starts[:, 1]
        along = np.clip(y * self.ways[:, 0] + v * self.ways[:, 1], 0.0, self.lengths)
        return y - along * self.ways[:, 0], v - along * self.ways[:, 1]

    def distances(self, points: Floats) -> Floats:
        """From each of the (m, 2) points to each edge: (m, n)."""
        y, v = self.offsets(points)
        return np.sqrt(y * y + v * v)


def _triangles(polygon: shapely.Polygon) -> Floats:
    """Triangles that make up the polygon, (n, 3, 2), with no corners but its own."""
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    return shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]


# ---- to the top of a hill


def _climb(edges: _Edges, point: Floats) -> Floats:
    """The point (2,) where the circle stops growing, from a point (2,) in the polygon."""
    radius = 0.0
    for _ in range(_STEPS):
        y, v = (offsets[0] for offsets in edges.offsets(point[None]))
        distances = np.sqrt(y * y + v * v)
        least = float(distances.min())
        if least <= radius * (1 + _ROUNDING):
            break
        radius = least
        step = _best_for_planes(np.column_stack([y, v]) / distances[:, None], distances)
        ahead = point + step
        if float(edges.distances(ahead[None]).min()) < radius * (1 - _ROUNDING):
            break
        point = ahead
    return point


def _best_for_planes(slopes: Floats, heights: Floats) -> Floats:
    """The point (2,) where the least of the planes `heights + slopes @ point` is greatest; halfway along a flat top.

    Slopes are (n, 2) unit vectors on every side of the origin, heights (n,) positive. This is a linear
    program with three unknowns: the simplex method on its dual, from three walls far off that surround
    the origin. Each turn takes in the plane that cuts deepest into the peak of the three.
    """
    far = 4.0 * float(heights.max())
    turns = np.array([0.5, 2.5, 4.5]) * np.pi / 3
    slopes = np.concatenate([slopes, np.column_stack([np.cos(turns), np.sin(turns)])])
    heights = np.concatenate([heights, np.full(3, far)])
    columns = np.column_stack([slopes, np.ones(len(slopes))])
    chosen = [len(slopes) - 3, len(slopes) - 2, len(slopes) - 1]
    inverse = np.linalg.inv(columns[chosen].T)
    for _ in range(_PIVOTS):
        peak = heights[chosen] @ inverse
        over = heights - columns @ peak
        enters = int(np.argmin(over))
        if over[enters] >= -_ROUNDING * far:
            break
        shares, change = inverse[:, 2], inverse @ columns[enters]
        leaves = min((k for k in range(3) if change[k] > _ROUNDING), key=lambda k: (shares[k] / change[k], -change[k]))
        chosen[leaves] = enters
        inverse = np.linalg.inv(columns[chosen].T)
    return -peak[:2]


def _halfway(edges: _Edges, point: Floats) -> Floats:
    """The point (2,) halfway along the level ridge that a point (2,) lies on; the point itself where it lies on none.

    A ridge is level between two parallel edges, as far as the tangent planes of the others allow.
    """
    y, v = (offsets[0] for offsets in edges.offsets(point[None]))
    distances = np.sqrt(y * y + v * v)
    slopes = np.column_stack([y, v]) / distances[:, None]
    nearest = slopes[distances <= distances.min() + _LEVEL]
    opposite = np.abs(nearest @ nearest[0] + 1.0) <= _LEVEL
    if not opposite.any():
        return point
    along = slopes @ (-nearest[0][1], nearest[0][0])
    room = distances - distances.min()
    ahead = np.min(room[along < -_LEVEL] / -along[along < -_LEVEL], initial=np.inf)
    behind = np.min(room[along > _LEVEL] / along[along > _LEVEL], initial=np.inf)
    if not np.isfinite(ahead + behind):
        return point
    middle: Floats = point + (ahead - behind) / 2 * np.array([-nearest[0][1], nearest[0][0]])
    return middle if edges.distances(middle[None]).min() >= distances.min() - _LEVEL else point


# ---- no other hill is higher


def _bounds(edges: _Edges, cells: Floats, enough: float) -> Floats:
    """For each (n, 3, 2) triangle a number (n,) that no circle about a point of it exceeds.

    Over a triangle the distances to some edges, mixed in any shares, are nowhere more than their mix at a
    corner. One edge alone decides for most triangles; where it leaves more than `enough`, the edges nearest
    to some sample points are mixed two by two and three by three.
    """
    corners, which = np.unique(cells.reshape(-1, 2), axis=0, return_inverse=True)
    rows = edges.distances(corners)[which.reshape(-1, 3)]  # (n, 3 corners, edges)
    bounds: Floats = rows.max(axis=1).min(axis=1)
    left = np.flatnonzero(bounds > enough)
    if len(left):
        rows = rows[left]
        nearest = np.argmin(_SAMPLES @ rows, axis=2)  # (n, samples), by the planes over the triangle
        chosen = np.take_along_axis(rows, nearest[:, None, :], axis=2).transpose(0, 2, 1)  # (n, samples, 3 corners)
        bounds[left] = np.minimum(_mixed_in_pairs(chosen), _mixed_in_threes(chosen))
    return bounds


def _mixed_in_pairs(rows: Floats) -> Floats:
    """The least (n,) of the greatest corner value of any mix of two of the (n, m, 3) rows."""
    one, other = rows[:, _PAIRS[0]], rows[:, _PAIRS[1]]
    more = one - other
    # the best mix of two is one of them, or makes two corners alike
    apart = more - np.roll(more, 1, axis=2)
    need = np.roll(other, 1, axis=2) - other
    share = np.clip(np.divide(need, apart, out=np.ones_like(need), where=apart != 0), 0.0, 1.0)
    mixes = other[..., None, :] + share[..., None] * more[..., None, :]
    return np.minimum(mixes.max(axis=-1).min(axis=(1, 2)), rows.max(axis=2).min(axis=1))  # type: ignore[no-any-return]


def _mixed_in_threes(rows: Floats) -> Floats:
    """The least (n,) of the greatest corner value of any mix of three of the (n, m, 3) rows that makes the corners alike."""
    three = rows[:, _TRIPLES]  # (n, triples, 3 rows, 3 corners)
    a, b, c = three[..., 0], three[..., 1], three[..., 2]
    shares = np.maximum(_cross(a, b) + _cross(b, c) + _cross(c, a), 0.0)
    whole = shares.sum(axis=-1)
    shares[whole == 0] = 1.0
    shares /= shares.sum(axis=-1, keepdims=True)
    mixes: Floats = (shares[..., None] * three).sum(axis=-2)
    return mixes.max(axis=-1).min(axis=1)  # type: ignore[no-any-return]


def _cross(one: Floats, other: Floats) -> Floats:
    """The vector product along the last axis."""
    (a, b, c), (d, e, f) = np.moveaxis(one, -1, 0), np.moveaxis(other, -1, 0)
    return np.stack([b * f - c * e, c * d - a * f, a * e - b * d], axis=-1)


def _split(cells: Floats, point: Floats) -> Floats:
    """The triangles (n, 3, 2) in smaller ones: those around the point (2,) at the point, the others in four.

    The bounds of triangles that only touch a hilltop are soon no higher than it, of one around it never.
    """
    a, b, c = cells[:, 0], cells[:, 1], cells[:, 2]
    shares = np.stack([_twice(point, b, c), _twice(point, c, a), _twice(point, a, b)], axis=1)
    total = _twice(a, b, c)
    inside = (shares * np.sign(total)[:, None] > 0.01 * np.abs(total)[:, None]).all(axis=1)
    around = cells[inside]
    a, b, c = (cells[~inside, k] for k in range(3))
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    quarters = [np.stack(corners, axis=1) for corners in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    thirds = []
    for k in range(3):
        third = around.copy()
        third[:, k] = point
        thirds.append(third)
    return np.concatenate([*quarters, *thirds])


def _twice(a: Floats, b: Floats, c: Floats) -> Floats:
    """Twice the signed areas of triangles; corners (2,) or (n, 2)."""
    one, other = b - a, c - a
    return one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]  # type: ignore[no-any-return]

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
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

Floats: TypeAlias = NDArray[np.float64]
Whole: TypeAlias = NDArray[np.intp]

_EXCESS = COINCIDENT / 4  # mm; circles that could be greater by less are not looked for
_LEVEL = COINCIDENT / 1000  # mm in the height of a ridge; of a turn from parallel, nothing
_STEPS = 40  # ways to the top of a hill take two to six steps; more is rounding
_PIVOTS = 200  # a change of tangent planes takes some ten; more is rounding
_ROUNDS = 40  # halvings of a triangle; twenty make a metre a micrometre
_AT_CORNER = 0.9  # share of a corner in a point of a triangle
_ROUNDING = 1e-13  # of the lengths that are added


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
    start = shapely.get_coordinates(near.centroid)[0]
    # in a convex polygon there is but one hill
    centre = _halfway(edges, _climb(edges, start) if edges.convex else _highest(edges, near))
    y, v = centre + origin
    return InscribedCircle(radius=edges.clear(centre), centre=(float(y), float(v)))


def _highest(edges: _Edges, polygon: shapely.Polygon) -> Floats:
    """The centre (2,) of the greatest circle."""
    cells = _triangles(polygon)
    near = np.broadcast_to(np.arange(len(edges.lengths)), (len(cells), len(edges.lengths)))
    middles = cells.mean(axis=1)
    centre = _climb(edges, middles[np.argmax(edges.distances(middles).min(axis=1))])
    radius = edges.clear(centre)
    for _ in range(_ROUNDS):
        enough = radius + _EXCESS
        rows = edges.distances(cells, near[:, None])  # (n, 3 corners, k)
        # one edge alone decides for most triangles
        left = rows.max(axis=1).min(axis=1) > enough
        cells, near, rows = cells[left], near[left], rows[left]
        if not len(cells):
            break
        bounds, tops = _bounds(rows)
        left = bounds > enough
        cells, near, rows, bounds, tops = cells[left], near[left], rows[left], bounds[left], tops[left]
        if not len(cells):
            break
        points = np.einsum("nk,nkc->nc", tops, cells)
        top = _climb(edges, points[np.argmax(bounds)])
        found = edges.clear(top)
        if found > radius:
            radius, centre = found, top
        cells, near = _split(cells, _that_matter(cells, near, rows, bounds), points, centre)
    return centre


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """The edges of a polygon: (n, 2) starts, (n, 2) unit directions and (n,) lengths."""

    starts: Floats
    ways: Floats
    lengths: Floats
    convex: bool

    @classmethod
    def of(cls, polygon: shapely.Polygon) -> _Edges:
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

    def offsets(self, points: Floats, which: Whole | slice = slice(None)) -> tuple[Floats, Floats]:
        """From the nearest point of each of `which` edges, (..., n), to each of the (..., 2) points: y and v, (..., n)."""
        ways, starts = self.ways[which], self.starts[which]
        y = points[..., :1] - starts[..., 0]
        v = points[..., 1:] - starts[..., 1]
        along = np.minimum(np.maximum(y * ways[..., 0] + v * ways[..., 1], 0.0), self.lengths[which])
        return y - along * ways[..., 0], v - along * ways[..., 1]

    def distances(self, points: Floats, which: Whole | slice = slice(None)) -> Floats:
        """From each of the (..., 2) points to each of `which` edges, (..., n)."""
        y, v = self.offsets(points, which)
        return np.sqrt(y * y + v * v)

    def clear(self, point: Floats) -> float:
        """From a point (2,) to the nearest edge."""
        return float(self.distances(point).min())


def _triangles(polygon: shapely.Polygon) -> Floats:
    """Triangles that make up the polygon, (n, 3, 2), with no corners but its own."""
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    return shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]


# ---- to the top of a hill


def _climb(edges: _Edges, point: Floats) -> Floats:
    """The point (2,) where the circle stops growing, from a point (2,) in the polygon."""
    radius = 0.0
    for _ in range(_STEPS):
        y, v = edges.offsets(point)
        distances = np.sqrt(y * y + v * v)
        least = float(distances.min())
        if least <= radius * (1 + _ROUNDING):
            break
        radius = least
        step = _best_for_planes(np.column_stack([y, v]) / distances[:, None], distances)
        ahead = point + step
        if edges.clear(ahead) < radius * (1 - _ROUNDING):
            break
        point = ahead
    return point


def _best_for_planes(slopes: Floats, heights: Floats) -> Floats:
    """The point (2,) where the least of the planes `heights + slopes @ point` is greatest.

    Slopes are (n, 2) unit vectors on every side of the origin, heights (n,) positive. Three walls far off
    that surround the origin are where the search begins.
    """
    far = 4.0 * float(heights.max())
    turns = np.array([0.5, 2.5, 4.5]) * np.pi / 3
    walls = np.column_stack([np.cos(turns), np.sin(turns)])
    planes = np.column_stack([np.concatenate([walls, -slopes]), np.ones(len(slopes) + 3)])
    planes[:3, :2] *= -1
    best = _greatest(planes[None], np.concatenate([np.full(3, far), heights])[None], np.array([[0, 1, 2]]))
    return best[0, :2]


def _greatest(planes: Floats, heights: Floats, chosen: Whole) -> Floats:
    """For each of n linear programs the (3,) unknowns, (n, 3), the last of which is as great as can be.

    Wanted is `planes @ unknowns <= heights`, (n, m, 3) and (n, m). `chosen`, (n, 3), are three planes a
    program whose peak is their highest point. This is the simplex method on the dual: each turn takes in
    the plane that cuts deepest into the peak of the three, so what comes back is never too low.
    """
    chosen = chosen.copy()
    every = np.arange(len(planes))
    slack = _ROUNDING * np.abs(heights).max(axis=1)
    for _ in range(_PIVOTS):
        inverse = np.linalg.inv(planes[every[:, None], chosen])
        peaks = np.einsum("nij,nj->ni", inverse, heights[every[:, None], chosen])
        over = heights - np.einsum("nmi,ni->nm", planes, peaks)
        enters = over.argmin(axis=1)
        cut = over[every, enters] < -slack
        if not cut.any():
            break
        change = np.einsum("nij,ni->nj", inverse, planes[every, enters])
        shares = np.where(change > _LEVEL, inverse[:, 2] / np.where(change > _LEVEL, change, 1.0), np.inf)
        leaves = shares.argmin(axis=1)
        chosen[every[cut], leaves[cut]] = enters[cut]
    return peaks


def _halfway(edges: _Edges, point: Floats) -> Floats:
    """The point (2,) halfway along the level ridge that a point (2,) lies on; the point itself where it lies on none.

    A ridge is level between two parallel edges, as far as the tangent planes of the others allow.
    """
    y, v = edges.offsets(point)
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
    return middle if edges.clear(middle) >= distances.min() - _LEVEL else point


# ---- no other hill is higher


def _bounds(rows: Floats) -> tuple[Floats, Floats]:
    """For each triangle a number (n,) that no circle about a point of it exceeds, and where it is reached.

    Rows are the distances (n, 3 corners, k) of the edges; places are in shares of the corners, (n, 3).
    """
    n, _, k = rows.shape
    planes = np.ones((n, k + 3, 3))
    # shares are not negative; the first is what the other two leave
    planes[:, :3] = [(1, 1, 0), (-1, 0, 0), (0, -1, 0)]
    planes[:, 3:, 0] = rows[:, 0] - rows[:, 1]
    planes[:, 3:, 1] = rows[:, 0] - rows[:, 2]
    heights = np.concatenate([np.tile((1.0, 0.0, 0.0), (n, 1)), rows[:, 0]], axis=1)
    # the edge that alone bounds best, at its highest corner: of the three shares that one is not nothing
    alone = rows.max(axis=1).argmin(axis=1)
    corner = rows[np.arange(n), :, alone].argmax(axis=1)
    chosen = np.column_stack([(corner + 1) % 3, (corner + 2) % 3, alone + 3])
    best = _greatest(planes, heights, chosen)
    return best[:, 2], np.column_stack([1.0 - best[:, 0] - best[:, 1], best[:, 0], best[:, 1]])


def _that_matter(cells: Floats, near: Whole, rows: Floats, bounds: Floats) -> Whole:
    """Of the edges (n, k) near each triangle, those that a circle as great as its bound can touch, (n, fewer)."""
    sides = cells - np.roll(cells, 1, axis=1)
    across = np.sqrt((sides * sides).sum(axis=2).max(axis=1))
    off = rows.max(axis=1) - across[:, None]
    count = int((off <= bounds[:, None]).sum(axis=1).max())
    if count == near.shape[1]:
        return near
    return np.take_along_axis(near, np.argpartition(off, count - 1, axis=1)[:, :count], axis=1)


def _split(cells: Floats, near: Whole, points: Floats, centre: Floats) -> tuple[Floats, Whole]:
    """The triangles (n, 3, 2) in smaller ones, with their edges (n, k).

    They fall apart at `centre`, (2,), where they lie around it, else at `points`, (n, 2) in them: where
    the bound was too high it becomes exact. Where that is close to a corner it would leave a triangle
    almost as great as before, so there they fall in four at the middles of their sides.
    """
    shares = _shares(cells, np.broadcast_to(centre, points.shape))
    around = (shares >= -_LEVEL).all(axis=1) & (shares <= 1 - _LEVEL).all(axis=1)
    points = np.where(around[:, None], centre, points)
    shares = _shares(cells, points)
    four = ~around & (shares.max(axis=1) > _AT_CORNER)
    real = (shares > _LEVEL) & ~four[:, None]
    pieces = [np.where(np.arange(3)[:, None] == k, points[:, None], cells)[real[:, k]] for k in range(3)]
    edges = [near[real[:, k]] for k in range(3)]
    a, b, c = (cells[four, k] for k in range(3))
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    pieces += [np.stack(corners, axis=1) for corners in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    return np.concatenate(pieces), np.concatenate([*edges, *[near[four]] * 4])


def _shares(cells: Floats, points: Floats) -> Floats:
    """The share (n, 3) of each corner of the triangles (n, 3, 2) in the points (n, 2)."""
    a, b, c = cells[:, 0], cells[:, 1], cells[:, 2]
    parts = np.stack([_twice(points, b, c), _twice(points, c, a), _twice(points, a, b)], axis=1)
    return parts / _twice(a, b, c)[:, None]


def _twice(a: Floats, b: Floats, c: Floats) -> Floats:
    """Twice the signed areas of triangles; corners (2,) or (n, 2)."""
    one, other = b - a, c - a
    return one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]  # type: ignore[no-any-return]

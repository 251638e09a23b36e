"""Flat shapes built by cutting and joining, and their exact outlines of lines and true arcs.

Shapes are cut and joined as polygons whose arcs are flattened very finely; the circles that were
used are known, so the arcs are found again on the result and written as arcs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

from ..geometry.outline import Outline

Vector: TypeAlias = NDArray[np.float64]

FINE = 1e-4
"""mm; sagitta of the arcs while shapes are cut and joined: what is left of it in an outline is no more."""

FAR = 1e5
"""mm; further than anything on a frame."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle in the frame's (y, v), mm."""

    centre: tuple[float, float]
    radius: float

    def at(self, angle: float) -> Vector:
        """The point of the circle at an angle from +y towards +v, radians."""
        return np.asarray(self.centre) + self.radius * np.array([np.cos(angle), np.sin(angle)])

    def angle_of(self, point: Vector) -> float:
        """The angle at which a point lies seen from the centre, radians."""
        y, v = np.asarray(point) - self.centre
        return float(np.arctan2(v, y))

    def arc(self, start: float, end: float) -> Vector:
        """(n, 2): points on the circle from angle `start` to `end`, both included, whichever way round that is."""
        widest = 2.0 * np.arccos(max(1.0 - FINE / self.radius, 0.0))
        count = max(2, int(np.ceil(abs(end - start) / widest)) + 1)
        angles = np.linspace(start, end, count)
        return np.asarray(self.centre + self.radius * np.column_stack([np.cos(angles), np.sin(angles)]))

    def mirrored(self) -> Circle:
        """The mirror image across the centreline."""
        return Circle(centre=(-self.centre[0], self.centre[1]), radius=self.radius)


def vector(y: float, v: float) -> Vector:
    """A point or direction."""
    return np.array([y, v], dtype=np.float64)


def unit(direction: Vector) -> Vector:
    """The direction at length 1."""
    return np.asarray(direction / np.hypot(*direction))


def left_of(direction: Vector) -> Vector:
    """The direction turned a quarter counter-clockwise."""
    return vector(-direction[1], direction[0])


def crossing(point: Vector, along: Vector, other: Vector, other_along: Vector) -> Vector | None:
    """Where two lines cross; None where they run parallel."""
    across = along[0] * other_along[1] - along[1] * other_along[0]
    if abs(across) < COINCIDENT:
        return None
    gap = other - point
    return np.asarray(point + along * ((gap[0] * other_along[1] - gap[1] * other_along[0]) / across))


def polygon(points: Iterable[Sequence[float] | Vector]) -> shapely.Polygon:
    """The polygon of these corners."""
    return shapely.Polygon([tuple(point) for point in points])


def half_plane(point: Vector, along: Vector) -> shapely.Polygon:
    """All that lies to the left of a line through `point`, as far as matters."""
    forward, side = unit(along) * FAR, left_of(unit(along)) * FAR
    return polygon([point - forward, point + forward, point + forward + side, point - forward + side])


def largest(shape: shapely.Geometry) -> shapely.Polygon:
    """The largest piece; an empty polygon where there is none."""
    pieces = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"]
    return max(pieces, key=lambda piece: piece.area, default=shapely.Polygon())


def joined(shapes: Iterable[shapely.Geometry]) -> shapely.Geometry:
    """The union of shapes that lie edge to edge or overlap, without cracks along the edges they share."""
    whole = shapely.union_all(list(shapes))
    return whole.buffer(COINCIDENT, join_style="mitre").buffer(-COINCIDENT, join_style="mitre")


def only_piece(shape: shapely.Geometry) -> shapely.Polygon | None:
    """The shape where it is in one piece without holes, specks left out; else None."""
    pieces = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and p.area > FINE]
    return pieces[0] if len(pieces) == 1 and not pieces[0].interiors else None


def outline_of(shape: shapely.Polygon, circles: Sequence[Circle]) -> Outline:
    """The exact outline, counter-clockwise: runs of chords along one of `circles` become one arc."""
    points = shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
    points = points[np.hypot(*(np.roll(points, -1, axis=0) - points).T) > 2 * COINCIDENT]
    owner = _owners(points, circles)
    start = next((i for i in range(len(points)) if owner[i] != owner[i - 1] or owner[i] < 0), 0)
    points, owner = np.roll(points, -start, axis=0), np.roll(owner, -start)
    corners: list[Vector] = []
    bulges: list[float] = []
    i = 0
    while i < len(points):
        end = i + 1
        if owner[i] >= 0:
            while end < len(points) and owner[end] == owner[i]:
                end += 1
        run = points[np.arange(i, end + 1) % len(points)]
        corners.append(points[i])
        bulges.append(0.0 if owner[i] < 0 else _bulge(run, circles[owner[i]]))
        i = end
    return _without_needless(corners, bulges)


def _owners(points: Vector, circles: Sequence[Circle]) -> NDArray[np.intp]:
    """For the edge from each point to the next: the circle it is a chord of, or -1."""
    owner = np.full(len(points), -1, dtype=np.intp)
    lengths = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    for index, circle in enumerate(circles):
        on = np.abs(np.hypot(*(points - circle.centre).T) - circle.radius) < 3 * FINE
        longest = 2.1 * np.sqrt(2 * circle.radius * FINE)
        owner[on & np.roll(on, -1) & (lengths <= longest) & (owner < 0)] = index
    # a lone short chord is a straight edge that happens to lie near a circle
    lone = (owner != np.roll(owner, 1)) & (owner != np.roll(owner, -1)) & (lengths < 100 * FINE)
    owner[lone] = -1
    return owner


def _bulge(run: Vector, circle: Circle) -> float:
    arms = run - circle.centre
    cross = arms[:-1, 0] * arms[1:, 1] - arms[:-1, 1] * arms[1:, 0]
    sweep = np.sum(np.arctan2(cross, np.sum(arms[:-1] * arms[1:], axis=1)))
    return float(np.tan(sweep / 4))


def _without_needless(corners: list[Vector], bulges: list[float]) -> Outline:
    """The outline without corners in the middle of a straight edge."""
    count = len(corners)
    keep = []
    for i in range(count):
        before, here, after = corners[i - 1], corners[i], corners[(i + 1) % count]
        way = after - before
        off = way[0] * (here - before)[1] - way[1] * (here - before)[0]
        straight = bulges[i] == 0.0 and bulges[i - 1] == 0.0
        keep.append(not (straight and abs(off) <= FINE * max(float(np.hypot(*way)), FINE) / 10))
    return Outline.of(
        [c for c, k in zip(corners, keep, strict=True) if k], [b for b, k in zip(bulges, keep, strict=True) if k]
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fill:
    """Wood that rounds an inside corner: its shape, reaching a little into the wood behind, and its circle.

    `reach` is how far along the first edge, from the corner, the arc begins.
    """

    shape: shapely.Polygon
    circle: Circle
    reach: float


def corner_fill(corner: Vector, one: Vector, other: Vector | Circle, radius: float) -> Fill | None:
    """The wood that rounds an inside corner between two edges to `radius`; None where they are in line.

    `one` is the unit direction of the first edge away from the corner, `other` that of the second, or
    the circle along whose inside it runs, towards the centreline.
    """
    if isinstance(other, Circle):
        return _fill_under(corner, one, other, radius)
    half = float(np.arccos(np.clip(one @ other, -1.0, 1.0))) / 2
    if half > np.pi / 2 - COINCIDENT * 10 or half < COINCIDENT:
        return None
    way = unit(one + other)
    centre = corner + way * radius / np.sin(half)
    reach = radius / np.tan(half)
    return _filled(corner, centre, corner + one * reach, corner + other * reach, radius, reach)


def _fill_under(corner: Vector, one: Vector, under: Circle, radius: float) -> Fill | None:
    inside = left_of(one)
    if inside[0] * corner[0] > 0:  # the opening lies towards the centreline
        inside = -inside
    if under.radius <= radius:
        return None
    start = corner + inside * radius - under.centre
    half = float(start @ one)
    root = half**2 - float(start @ start) + (under.radius - radius) ** 2
    if root <= 0:
        return None
    reach = -half + np.sqrt(root)
    ways = [r for r in (-half - np.sqrt(root), reach) if r > 0]
    reach = float(min(ways)) if ways else 0.0
    if reach <= 0:
        return None
    centre = corner + inside * radius + one * reach
    touch = under.centre + (centre - under.centre) * under.radius / (under.radius - radius)
    return _filled(corner, centre, corner + one * reach, np.asarray(touch), radius, reach)


def _filled(corner: Vector, centre: Vector, one: Vector, other: Vector, radius: float, reach: float) -> Fill:
    circle = Circle(centre=(float(centre[0]), float(centre[1])), radius=radius)
    start, end = circle.angle_of(one), circle.angle_of(other)
    turn = (end - start + np.pi) % (2 * np.pi) - np.pi
    behind = unit(corner - centre)
    back = [other + unit(other - centre), corner + behind, one + unit(one - centre)]
    return Fill(shape=polygon([*circle.arc(start, start + turn), *back]), circle=circle, reach=reach)

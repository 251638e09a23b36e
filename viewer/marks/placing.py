"""Places for words, where they cover nothing and cross nothing: on paper, in a picture, on a board."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

Point = tuple[float, float]
Boxes = NDArray[np.object_]
_Thing = TypeVar("_Thing")

_FAR = (5.7, 9.3, 13.0, 17.0, 21.5, 27.0, 34.0, 43.0, 54.0)  # times `clear`, from what is named to its name
_ROUND = 32  # directions
_FINE = 0.07  # of `clear`; arcs need be no finer to find room among them
_CROSSING = 1.6  # what a lead over other things counts for, in its length


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedWords:
    """The `box` in which words stand, `turned` degrees clockwise; `lead` is the line to what they name, if there is."""

    box: shapely.Polygon
    turned: float = 0.0
    lead: tuple[Point, Point] | None = None

    @property
    def middle(self) -> Point:
        """The middle of the box."""
        (at,) = self.box.centroid.coords
        return float(at[0]), float(at[1])


@dataclass(kw_only=True)
class Places:
    """What is taken of a plane, x to the right. Words stand on the `page`, `clear` of what is taken.

    Words with a lead also stand off what is `drawn`. Leads may go over what is `crossed`, but not over what is
    `taken`; words over neither. Whatever finds a place has taken it.
    """

    page: shapely.Polygon
    clear: float
    drawn: shapely.Geometry = field(default_factory=shapely.Polygon)
    taken: list[shapely.Geometry] = field(default_factory=list)
    crossed: list[shapely.Geometry] = field(default_factory=list)

    def take(self, *shapes: shapely.Geometry) -> None:
        """These places are taken."""
        self.taken += [shape for shape in shapes if not shape.is_empty]

    def cross(self, *shapes: shapely.Geometry) -> None:
        """These are taken for words, but leads may go over them."""
        self.crossed += [shape for shape in shapes if not shape.is_empty]

    def first(self, boxes: Sequence[shapely.Polygon] | Boxes) -> PlacedWords | None:
        """The first of these boxes that is free."""
        many = np.array(boxes, dtype=object)
        fits = self._free(many, self.clear)
        return self._put(many[int(np.argmax(fits))]) if fits.any() else None

    def first_or_best(self, boxes: Sequence[shapely.Polygon] | Boxes) -> PlacedWords:
        """The same; where none is free the one that has the most of itself on the page."""
        found = self.first(boxes)
        return found or self._put(max(boxes, key=lambda box: round(shapely.intersection(box, self.page).area, 2)))

    def inside(self, size: tuple[float, float], shape: shapely.Geometry) -> PlacedWords | None:
        """A box so wide and high inside a shape, level or along it, clear of its edge; None without room."""
        if shape.is_empty:
            return None
        whole = shapely.simplify(max(shapely.get_parts(shape), key=lambda piece: piece.area), _FINE * self.clear)
        free = shapely.buffer(whole, -self.clear, quad_segs=2)
        if free.is_empty:
            return None
        for turn in _turns(whole):
            boxes = _rows(free, turn, size, self.clear)
            fits = shapely.covers(free, boxes) & self._free(boxes, self.clear / 2, page=False)
            if fits.any():
                return self._put(boxes[int(np.argmax(fits))], turned=float(np.degrees(turn)))
        return None

    def beside(
        self, size: tuple[float, float], anchor: Point, own: shapely.Geometry | None = None, *, rim: float = 0.0
    ) -> PlacedWords | None:
        """A box off what is drawn, a short lead to the anchor, or to `rim` off it; None without room.

        The lead may cross what is its `own` at no cost.
        """
        w, h = size
        turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
        ways = np.column_stack([np.cos(turns), np.sin(turns)])
        far = np.repeat(np.array(_FAR) * self.clear + rim, _ROUND)[:, None]
        along = np.tile(ways, (len(_FAR), 1))
        ends, starts = np.add(anchor, far * along), np.add(anchor, rim * along)
        left = np.where(along[:, 0] >= -1e-9, ends[:, 0], ends[:, 0] - w)
        boxes = np.asarray(shapely.box(left, ends[:, 1] - h / 2, left + w, ends[:, 1] + h / 2), dtype=object)
        leads = shapely.linestrings(np.stack([starts, ends], axis=1))
        free = self._free(boxes, self.clear)
        _clear_of(free, _grown(boxes, self.clear), [self.drawn])
        _clear_of(free, leads, self.taken)
        if not free.any():
            return None
        left, low, right, high = shapely.total_bounds(leads[free])
        near = (left - self.clear, low - self.clear, right + self.clear, high + self.clear)
        others, *crossed = (shapely.clip_by_rect(other, *near) for other in (self.drawn, *self.crossed))
        if own is not None:
            others = shapely.difference(others, own)
        others = shapely.simplify(others, _FINE * self.clear)
        cost = np.full(len(boxes), np.inf)
        over = sum(shapely.length(shapely.intersection(leads[free], other)) for other in (others, *crossed))
        cost[free] = shapely.length(leads[free]) + _CROSSING * over
        best = int(np.argmin(np.round(cost, 4)))
        start, end = shapely.get_coordinates(leads[best]).tolist()
        self.take(leads[best])
        return self._put(boxes[best], lead=((start[0], start[1]), (end[0], end[1])))

    def _put(
        self, box: shapely.Polygon, *, turned: float = 0.0, lead: tuple[Point, Point] | None = None
    ) -> PlacedWords:
        self.take(box)
        return PlacedWords(box=box, turned=turned, lead=lead)

    def _free(self, boxes: Boxes, clear: float, *, page: bool = True) -> NDArray[np.bool_]:
        """Which of the boxes lie on the page and meet nothing that is taken."""
        free = np.asarray(shapely.covers(self.page, boxes)) if page else np.ones(len(boxes), dtype=bool)
        _clear_of(free, _grown(boxes, clear), [*self.taken, *self.crossed])
        return free


def _grown(boxes: Boxes, by: float) -> Boxes:
    """The boxes, larger by so much on every side."""
    if not len(boxes):
        return boxes
    corners = shapely.get_coordinates(boxes).reshape(len(boxes), 5, 2)[:, :4]
    sides = np.roll(corners, -1, axis=1) - corners
    long = np.hypot(sides[..., 0], sides[..., 1])[..., None]
    along = by * sides / np.where(long > 0.0, long, np.inf)
    return np.asarray(shapely.polygons(corners - along + np.roll(along, 1, axis=1)), dtype=object)


def _clear_of(free: NDArray[np.bool_], shapes: Boxes, others: Iterable[shapely.Geometry]) -> None:
    """Takes those that meet one of the others out of what is `free`."""
    for other in others:
        left = np.flatnonzero(free)
        if not len(left):
            return
        shapely.prepare(other)
        free[left] = ~shapely.intersects(shapes[left], other)


def box_about(middle: Point, size: tuple[float, float]) -> shapely.Polygon:
    """A level box so wide and high about a place."""
    (x, y), (w, h) = middle, size
    return shapely.box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)


def around(
    size: tuple[float, float], anchor: Point, gaps: Iterable[float], *, toward: Point = (1.0, -1.0), count: int = _ROUND
) -> list[shapely.Polygon]:
    """Boxes round about a place, with each of these gaps between the two, those that lie `toward` a side first."""
    half = np.array(size) / 2
    turns = 2 * np.pi * np.arange(count) / count
    off = np.abs((turns - np.arctan2(toward[1], toward[0]) + np.pi) % (2 * np.pi) - np.pi)
    turns = turns[np.argsort(np.round(off, 6), kind="stable")]
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    reach = ways * half / np.max(np.abs(ways), axis=1, keepdims=True)
    return [box_about((x, y), size) for gap in gaps for x, y in (anchor + ways * gap + reach).tolist()]


def together(places: Sequence[Point], things: Sequence[_Thing], near: float) -> list[tuple[Point, list[_Thing]]]:
    """The things that lie `near` one another, with the place of the first of them."""
    groups: list[tuple[Point, list[_Thing]]] = []
    for at, each in zip(places, things, strict=True):
        group = next((group for group in groups if np.hypot(*np.subtract(group[0], at)) < near), None)
        if group is None:
            groups.append((at, [each]))
        else:
            group[1].append(each)
    return groups


def _turns(shape: shapely.Geometry) -> list[float]:
    """Level first, then along the shape's longer side, the way that reads from below or from the right. Radians."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.hypot(*sides.T).argmax())]
    turn = float(np.arctan2(along[1], along[0]))
    turn = (turn + np.pi / 2) % np.pi - np.pi / 2
    return [0.0] if abs(turn) < 0.02 else [0.0, turn]


def _rows(free: shapely.Geometry, turn: float, size: tuple[float, float], clear: float) -> Boxes:
    """Boxes of a size turned so, all over a shape, those about its middle first."""
    w, h = size
    level = affinity.rotate(free, -turn, origin=(0, 0), use_radians=True)
    left, top, right, low = level.bounds
    middle = np.array(level.representative_point().coords[0])
    xs = np.arange(left + w / 2, right - w / 2 + 0.01, max(1.4 * clear, (right - left - w) / 40))
    ys = np.arange(top + h / 2, low - h / 2 + 0.01, 0.85 * clear)
    if not len(xs) or not len(ys):
        return np.empty(0, dtype=object)
    grid = np.array([(x, y) for x in xs for y in ys])
    grid = grid[np.argsort(np.round(np.hypot(*(grid - middle).T), 4), kind="stable")]
    half = np.array([(-w, h), (w, h), (w, -h), (-w, -h)]) / 2
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(shapely.polygons((grid[:, None] + half) @ np.array([(c, s), (-s, c)])), dtype=object)

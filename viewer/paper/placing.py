"""Places for words about a drawing, where they cover nothing and cross nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
import shapely
from shapely import affinity

from .letters import HEIGHT, width
from .look import PAPER
from .svg import Svg

Point = tuple[float, float]
_Thing = TypeVar("_Thing")

CLEAR = 0.7
"""mm of paper between words and anything else."""

_FAR = (4.0, 6.5, 9.0, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0)  # mm from what is named to its name
_ROUND = 32  # directions
_COARSE = 0.05  # mm; arcs need be no finer to find room among them
_CROSSING = 1.6  # what a mm of a lead over other things counts for, in mm of its length


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """Words in their place: `at` the left end of their line, `turned` degrees clockwise about it.

    `lead` is the line to what they name, where they stand off it.
    """

    words: str
    at: Point
    box: shapely.Polygon
    turned: float = 0.0
    lead: tuple[Point, Point] | None = None


@dataclass(kw_only=True)
class Places:
    """What is taken of a page. `page` is where words may stand, `drawn` what they may not cover outside it.

    Leads may go over what is `crossed`, but not over what is `taken`; words over neither.
    """

    page: shapely.Polygon
    drawn: shapely.Geometry
    taken: list[shapely.Geometry] = field(default_factory=list)
    crossed: list[shapely.Geometry] = field(default_factory=list)

    def take(self, *shapes: shapely.Geometry) -> None:
        """These places are taken."""
        self.taken += [shape for shape in shapes if not shape.is_empty]

    def cross(self, *shapes: shapely.Geometry) -> None:
        """These are taken for words, but leads may go over them."""
        self.crossed += [shape for shape in shapes if not shape.is_empty]

    def inside(self, words: str, size: float, shape: shapely.Geometry) -> Placed | None:
        """The words inside a shape, level or along it, clear of its edge and of what is taken; None without room."""
        if shape.is_empty:
            return None
        whole = shapely.simplify(max(shapely.get_parts(shape), key=lambda piece: piece.area), _COARSE)
        free = shapely.buffer(whole, -CLEAR, quad_segs=2)
        if free.is_empty:
            return None
        for turn in _turns(whole):
            boxes = _rows(free, turn, width(words, size), HEIGHT * size)
            fits = self._free(boxes, shapely.covers(free, boxes))
            if fits is not None:
                box = boxes[fits]
                self.take(box)
                start = np.asarray(box.exterior.coords)[0]
                return Placed(
                    words=words, at=(float(start[0]), float(start[1])), box=box, turned=float(np.degrees(turn))
                )
        return None

    def outside(self, words: str, size: float, anchor: Point, own: shapely.Geometry | None = None) -> Placed | None:
        """The words off the drawing, a lead to the anchor, which may cross what is its `own`. None without room."""
        w, h = width(words, size), HEIGHT * size
        turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
        boxes, ends = [], []
        for far in _FAR:
            for turn in turns:
                x, y = anchor[0] + far * np.cos(turn), anchor[1] + far * np.sin(turn)
                left = x if np.cos(turn) >= 0 else x - w
                boxes.append(shapely.box(left, y - h / 2, left + w, y + h / 2))
                ends.append((x, y))
        many = np.array(boxes, dtype=object)
        leads = shapely.linestrings([(anchor, end) for end in ends])
        room = shapely.buffer(many, CLEAR, join_style="mitre")
        free = shapely.covers(self.page, many) & ~shapely.intersects(room, self.drawn)
        for other in self.taken:
            free &= ~shapely.intersects(room, other) & ~shapely.intersects(leads, other)
        for other in self.crossed:
            free &= ~shapely.intersects(room, other)
        if not free.any():
            return None
        others = self.drawn if own is None else shapely.difference(self.drawn, own)
        others = shapely.simplify(others, _COARSE)
        shapely.prepare(others)
        cost = np.full(len(many), np.inf)
        over = sum(shapely.length(shapely.intersection(leads[free], other)) for other in (others, *self.crossed))
        cost[free] = shapely.length(leads[free]) + _CROSSING * over
        best = int(np.argmin(np.round(cost, 4)))
        box, end = boxes[best], ends[best]
        lead = (anchor, (float(end[0]), float(end[1])))
        self.take(box, shapely.LineString(lead))
        left, _, _, low = box.bounds
        return Placed(words=words, at=(left, low), box=box, lead=lead)

    def near(self, size: tuple[float, float], anchor: Point, least: float) -> Point:
        """The middle of a box of this size, near an anchor but `least` mm off it, where nothing is; else close by."""
        turns = 2 * np.pi * (np.arange(_ROUND) / _ROUND - 0.125)
        middles = [
            (anchor[0] + (least + far) * np.cos(turn), anchor[1] + (least + far) * np.sin(turn))
            for far in (0.0, 2.0, 4.0, 7.0, 11.0)
            for turn in turns
        ]
        half = np.array(size) / 2
        boxes = np.array([shapely.box(*(m - half), *(m + half)) for m in np.array(middles)], dtype=object)
        fits = self._free(boxes, shapely.covers(self.page, boxes))
        middle = middles[0 if fits is None else fits]
        self.take(boxes[0 if fits is None else fits])
        return float(middle[0]), float(middle[1])

    def _free(self, boxes: np.ndarray, free: np.ndarray) -> int | None:
        """The first of the boxes that is free and meets nothing that is taken."""
        room = shapely.buffer(boxes, CLEAR / 2, join_style="mitre")
        for other in (*self.taken, *self.crossed):
            free = free & ~shapely.intersects(room, other)
        return int(np.argmax(free)) if free.any() else None


def _turns(shape: shapely.Geometry) -> list[float]:
    """Level first, then along the shape's longer side, the way that reads from below or from the right. Radians."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.hypot(*sides.T).argmax())]
    turn = float(np.arctan2(along[1], along[0]))
    turn = (turn + np.pi / 2) % np.pi - np.pi / 2
    return [0.0] if abs(turn) < 0.02 else [0.0, turn]


def _rows(free: shapely.Geometry, turn: float, w: float, h: float) -> np.ndarray:
    """Boxes of w by h mm turned so, all over a shape, those about its middle first."""
    level = affinity.rotate(free, -turn, origin=(0, 0), use_radians=True)
    left, top, right, low = level.bounds
    middle = np.array(level.representative_point().coords[0])
    xs = np.arange(left + w / 2, right - w / 2 + 0.01, max(1.0, (right - left - w) / 40))
    ys = np.arange(top + h / 2, low - h / 2 + 0.01, 0.6)
    if not len(xs) or not len(ys):
        return np.empty(0, dtype=object)
    grid = np.array([(x, y) for x in xs for y in ys])
    grid = grid[np.argsort(np.round(np.hypot(*(grid - middle).T), 4), kind="stable")]
    half = np.array([(-w, h), (w, h), (w, -h), (-w, -h)]) / 2  # the start of the line of letters first
    corners = grid[:, None] + half
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(shapely.polygons(corners @ np.array([(c, s), (-s, c)])), dtype=object)


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


def label(svg: Svg, placed: Placed, size: float, **style: Any) -> None:
    """Writes the words: those beside the drawing at their end of the lead, those in it on a little paper."""
    x, y = placed.box.centroid.coords[0]
    turn = np.radians(placed.turned)
    if placed.lead is None:
        half = width(placed.words, size) / _WIDER / 2, HEIGHT * size / 2 + 0.35
        paper = affinity.rotate(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1]), placed.turned)
        svg.shape(paper, fill=PAPER, fill_opacity=0.65)
        # words are turned about the middle of their line
        down = HEIGHT * size / 2
        at = (x - down * float(np.sin(turn)), y + down * float(np.cos(turn)))
        svg.words(at, placed.words, size, turned=placed.turned, **{**style, "text_anchor": "middle"})
        return
    left, _, right, low = placed.box.bounds
    starts = placed.lead[1][0] <= x
    svg.words((left if starts else right, low), placed.words, size, text_anchor=None if starts else "end", **style)


_WIDER = 1.1  # widths are an upper bound; the paper under words is as wide as they mostly are


def first_words(words: Sequence[str]) -> str:
    """The words that several names begin with, in common: "port leg" of "port leg inner" and "port leg outer"."""
    split = [name.split() for name in words]
    common = []
    for group in zip(*split, strict=False):
        if len(set(group)) > 1:
            break
        common.append(group[0])
    return " ".join(common) or words[0]

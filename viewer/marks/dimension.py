"""A dimension on a plane: its lines and arrows beside what is measured, and where its words may stand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from .arrow import Point, arrow_head
from .placing import box_about

_SLIM = 0.2  # half breadth of a head, of its length
_INSIDE = 3.2  # heads; a shorter dimension has its arrows outside
_TAIL = 2.6  # heads; how far an arrow that stands outside reaches
_PAST = 0.7  # heads by which the lines beside what is measured pass the dimension's own
_FROM = 0.12  # of the way to the dimension, where these lines begin
_CLEAR = 0.5  # heads from the words to the lines


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dimension:
    """What lies between two points of a plane, x to the right and y down.

    `lines` are two beside what is measured and the one with the `heads`; `boxes` where words may stand, best first.
    """

    lines: tuple[tuple[Point, Point], ...]
    heads: tuple[shapely.Polygon, ...]
    boxes: tuple[shapely.Polygon, ...]

    @property
    def takes(self) -> shapely.Geometry:
        """What it takes up besides its words."""
        return shapely.union_all([*(shapely.LineString(line) for line in self.lines), *self.heads])


def dimension(start: Point, end: Point, words: tuple[float, float], *, off: float, head: float) -> Dimension:
    """The dimension of what lies between two points, its line `off` to their side: the upper, if one is, else the left.

    With a negative `off` it is the other side. Arrows stand inside where there is length for them and outside where
    there is not. The words, so wide and high, stand beside the line or beyond one of the arrows.
    """
    a, b = np.array(start), np.array(end)
    length = float(np.hypot(*(b - a)))
    way = (b - a) / length if length > 1e-6 else np.array([1.0, 0.0])
    aside = np.array([way[1], -way[0]])
    aside = aside if (round(aside[1], 6), round(aside[0], 6)) <= (0.0, 0.0) else -aside
    aside, off = (aside, off) if off >= 0.0 else (-aside, -off)
    lift = aside * off
    beside = [(point + lift * _FROM, point + lift + aside * _PAST * head) for point in (a, b)]
    a, b = a + lift, b + lift
    inside = length > _INSIDE * head
    tail = way * (0.0 if inside else _TAIL * head)
    heads = [arrow_head(tip, out if inside else -out, head, _SLIM) for tip, out in ((a, -way), (b, way))]
    half = np.array(words) / 2
    middle, clear = (a + b) / 2, aside * (float(np.abs(aside) @ half) + _CLEAR * head)
    places: list[NDArray[np.float64]] = [middle + clear, middle - clear]
    if not inside:
        beyond = way * (float(np.abs(way) @ half) + _CLEAR * head)
        ends = [b + tail + beyond, a - tail - beyond]
        places = [*sorted(ends, key=lambda place: (round(float(place[1]), 3), -float(place[0]))), *places]
    lines = [*beside, (a - tail, b + tail)]
    return Dimension(
        lines=tuple((_point(one), _point(other)) for one, other in lines),
        heads=tuple(heads),
        boxes=tuple(box_about(_point(place), words) for place in places),
    )


def _point(values: NDArray[np.float64]) -> Point:
    return float(values[0]), float(values[1])

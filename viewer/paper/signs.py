"""The signs of the drawings: hatching, screws, dowels, timbers cut across, arrows, dimensions."""

from __future__ import annotations

import numpy as np
import shapely

from ..marks.forms import Form
from .letters import HEIGHT, width
from .look import BATTEN, HEAVY, INK, OUTLINE, PAPER, QUIET, RAIL, STRONG, THIN, WORDS
from .svg import Point, Svg, joined

MARK = 0.85
"""mm; radius of the sign of a screw or dowel where its own is smaller."""

ARROW = 2.2
"""mm; length of an arrow's head."""

_SLIM = 0.17  # half breadth of the head, of its length


def hatching(shape: shapely.Geometry, angle: float, apart: float) -> shapely.Geometry:
    """Lines across a shape at `angle` degrees, `apart` mm; they lie alike in neighbouring shapes."""
    if shape.is_empty:
        return shape
    turn = np.radians(angle)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    corners = shapely.get_coordinates(shape)
    near, far = corners @ across, corners @ along
    rows = apart * np.arange(np.ceil(near.min() / apart), np.floor(near.max() / apart) + 1)
    lines = [(far.min() * along + row * across, far.max() * along + row * across) for row in rows]
    return shapely.intersection(joined(lines), shape) if lines else shapely.MultiLineString()


def screw(svg: Svg, at: Point, driven_from: str, *, colour: str = INK) -> None:
    """A screw from aft is a ring with a cross, one from forward a full disc."""
    if driven_from == "forward":
        svg.circle(at, 0.62 * MARK, fill=colour, stroke=PAPER, stroke_width=0.12)
        return
    x, y = at
    svg.circle(at, MARK, fill=PAPER, stroke=colour, stroke_width=0.18)
    svg.line((x - MARK, y), (x + MARK, y), stroke=colour, stroke_width=0.18)
    svg.line((x, y - MARK), (x, y + MARK), stroke=colour, stroke_width=0.18)


def dowel(svg: Svg, at: Point, radius: float) -> None:
    """A dowel is a disc of which two quarters are full."""
    radius = max(radius, MARK)
    svg.circle(at, radius, fill=PAPER)
    for start in (0.0, np.pi):
        turns = start + np.linspace(0, np.pi / 2, 9)
        rim = np.column_stack([np.cos(turns), np.sin(turns)]) * radius + at
        svg.shape(shapely.Polygon([at, *rim]), fill=INK)
    svg.circle(at, radius, fill="none", stroke=INK, stroke_width=0.2)


def timber(svg: Svg, section: shapely.Polygon, *, rail: bool = False) -> None:
    """A timber cut across: its outline and both diagonals."""
    svg.shape(section, fill=RAIL if rail else BATTEN, stroke=INK, stroke_width=OUTLINE)
    svg.shape(diagonals(section), fill="none", stroke=INK if rail else PAPER, stroke_width=THIN)


def diagonals(section: shapely.Polygon) -> shapely.Geometry:
    """The diagonals by which one tells a timber that is cut across."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(section).exterior.coords)[:4]
    return shapely.intersection(joined([(corners[0], corners[2]), (corners[1], corners[3])]), section)


def leader(svg: Svg, tip: Point, end: Point) -> None:
    """A line from words to what they name; an arrow's head at the tip, which no sign of a screw or dowel has."""
    way = np.subtract(tip, end) / np.hypot(*np.subtract(tip, end))
    svg.line(tip, end, fill="none", stroke=QUIET, stroke_width=THIN)
    svg.shape(_head(np.array(tip), way, 0.8 * ARROW, 0.22), fill=INK, stroke=PAPER, stroke_width=0.1)


def _head(tip: np.ndarray, way: np.ndarray, length: float = ARROW, slim: float = _SLIM) -> shapely.Polygon:
    """The head of an arrow with its point at `tip`, going along the unit vector `way`."""
    back, aside = way * length, np.array([-way[1], way[0]]) * length * slim
    return shapely.Polygon([tip, tip - back + aside, tip - back - aside])


class Dimension:
    """A dimension of what lies between two points, its line `off` mm to their side.

    `box` is that of its words, `takes` what it takes up of the page.
    Arrows stand inside where there is length for them and outside where there is not. The words stand where they
    are in the `room`, by the line's middle or by one of its tails.
    """

    def __init__(self, start: Point, end: Point, words: str, *, off: float, room: shapely.Geometry) -> None:
        a, b = np.array(start), np.array(end)
        way = (b - a) / np.hypot(*(b - a))
        aside = np.array([-way[1], way[0]]) * np.sign(off or 1.0)
        lift = aside * abs(off)
        self._lines = [(tuple(point), tuple(point + lift + aside * 1.5)) for point in (a, b)]
        a, b = a + lift, b + lift
        inside = float(np.hypot(*(b - a))) > 3.2 * ARROW
        tail = 0.0 if inside else 2.6 * ARROW
        self._lines.append((tuple(a - way * tail), tuple(b + way * tail)))
        turned = 1.0 if inside else -1.0
        self._heads = [_head(tip, outward * turned) for tip, outward in ((a, -way), (b, way))]
        self._words = words
        self.box = _beside(a, b, way, aside, tail, words, room)
        around = [shapely.buffer(shapely.linestrings(line), 0.8) for line in self._lines]
        self.takes = shapely.union_all([shapely.buffer(self.box, 1.0), *around])

    def draw(self, svg: Svg) -> None:
        """Draws it, on paper of its own, whatever it lies over."""
        for colour, wider in ((PAPER, 0.7), (INK, 0.0)):
            for line in self._lines:
                svg.line(*line, fill="none", stroke=colour, stroke_width=0.2 + wider)
            for head in self._heads:
                svg.shape(head, fill=colour, stroke=colour, stroke_width=0.05 + wider, stroke_linejoin="round")
        left, top, right, low = self.box.bounds
        svg.box(left - 0.3, top - 0.6, right - left + 0.6, low - top + 1.2, radius=0.8, fill=PAPER, fill_opacity=0.9)
        svg.words(((left + right) / 2, low), self._words, _SIZE, fill=STRONG, font_weight="bold", text_anchor="middle")


_SIZE = 1.2 * WORDS


def _beside(
    a: np.ndarray, b: np.ndarray, way: np.ndarray, aside: np.ndarray, tail: float, words: str, room: shapely.Geometry
) -> shapely.Polygon:
    """A box for the words: the first place about the line that lies in the room, else the one that does most."""
    half = np.array([width(words, _SIZE) / 2, HEIGHT * _SIZE / 2])
    clear = float(np.abs(aside) @ half) + 1.1
    beyond = float(np.abs(way) @ half) + 1.0
    places = [(a + b) / 2 + aside * clear, (a + b) / 2 - aside * clear]
    if tail:
        places = [b + way * (tail + beyond), a - way * (tail + beyond), *places]
    boxes = [shapely.box(*(middle - half), *(middle + half)) for middle in places]
    best = max(range(len(boxes)), key=lambda n: (round(shapely.area(shapely.intersection(boxes[n], room)), 2), -n))
    return boxes[best]


def mark(svg: Svg, form: Form, at: Point, radius: float, *, dot: bool = True) -> None:
    """The form of a finding about a place: heavy, on paper so that it stands off whatever it crosses."""
    corners = [(at[0] + x * radius, at[1] - y * radius) for x, y in form.corners]
    for colour, wider in ((PAPER, 0.7), (form.colour, 0.0)):
        if form.shape == "ring":
            svg.circle(at, radius, fill="none", stroke=colour, stroke_width=HEAVY + wider)
        else:
            triangle = shapely.LinearRing(corners)
            svg.shape(triangle, fill="none", stroke=colour, stroke_width=HEAVY + wider, stroke_linejoin="round")
    if dot and form.dot:
        svg.circle(at, 0.2 * radius, fill=form.colour, stroke=PAPER, stroke_width=0.25)


def badge(svg: Svg, at: Point, words: str, *, colour: str = STRONG) -> shapely.Polygon:
    """A number on a full pill; its box."""
    size = WORDS
    half = max(width(words, size) / 2 + 0.6, 1.75)
    svg.box(at[0] - half, at[1] - 1.75, 2 * half, 3.5, radius=1.75, fill=colour, stroke=PAPER, stroke_width=0.3)
    svg.words((at[0], at[1] + HEIGHT * size / 2), words, size, fill=PAPER, font_weight="bold", text_anchor="middle")
    return shapely.box(at[0] - half, at[1] - 1.75, at[0] + half, at[1] + 1.75)

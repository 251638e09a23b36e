"""The signs of the drawings: screws, dowels, timbers cut across, words, marks of findings; and what the signs mean."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
import shapely
from shapely import affinity

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Face, Role
from scrieve.model.geometry.plane import foot
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Mark, Region

from ..marks.arrow import arrow, arrow_head
from ..marks.dimension import dimension
from ..marks.forms import Form
from ..marks.hatch import hatching
from ..marks.placing import PlacedWords, Places
from .letters import HEIGHT, size_of, width
from .look import BATTEN, DASHES, HATCHED, HEAVY, INK, OUTLINE, PAPER, QUIET, RAIL, SMALL, STRONG, THIN, TONES, WORDS
from .sight import Seen
from .svg import Point, Svg, joined

MARK = 0.85
"""mm; radius of the sign of a screw or dowel where its own is smaller."""

ARROW = 2.2
"""mm; length of an arrow's head."""

CLEAR = 0.7
"""mm of paper between words and anything else."""

_WIDER = 1.1  # widths are an upper bound; the paper under words is as wide as they mostly are

_SIZE = 1.2 * WORDS

_LONGEST = 42.0  # mm of paper
_ROW = 4.2


def screw(svg: Svg, at: Point, driven_from: str, *, seen: Seen, colour: str = INK) -> None:
    """A screw from aft is a ring with a cross, one from forward a full disc, one from behind a small ring."""
    if colour == INK and seen != f"from {driven_from}":
        svg.circle(at, 0.4 * MARK, fill=PAPER, stroke=QUIET, stroke_width=THIN)
        return
    if driven_from == "forward":
        svg.circle(at, 0.9 * MARK, fill=colour, stroke=PAPER, stroke_width=0.12)
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
    svg.shape(arrow_head(tip, way, 0.8 * ARROW, 0.22), fill=INK, stroke=PAPER, stroke_width=0.1)


def label(svg: Svg, placed: PlacedWords, words: str, size: float, **style: Any) -> None:
    """Writes the words: those beside the drawing at their end of the lead, those in it on a little paper."""
    x, y = placed.middle
    turn = np.radians(placed.turned)
    if placed.lead is None:
        half = width(words, size) / _WIDER / 2, HEIGHT * size / 2 + 0.35
        paper = affinity.rotate(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1]), placed.turned)
        svg.shape(paper, fill=PAPER, fill_opacity=0.65)
        # words are turned about the middle of their line
        down = HEIGHT * size / 2
        at = (x - down * float(np.sin(turn)), y + down * float(np.cos(turn)))
        svg.words(at, words, size, turned=placed.turned, **{**style, "text_anchor": "middle"})
        return
    left, _, right, low = placed.box.bounds
    starts = placed.lead[1][0] <= x
    svg.words((left if starts else right, low), words, size, text_anchor=None if starts else "end", **style)


def name_beside(svg: Svg, places: Places, words: str, shape: shapely.Geometry, colour: str) -> None:
    """The words beside a shape, with a lead to it, where there is room for them."""
    x, y = foot(shape.boundary if "Polygon" in shape.geom_type else shape, places.page.centroid.coords[0]).tolist()
    placed = places.beside(size_of(words, SMALL), (x, y))
    if placed is not None and placed.lead is not None:
        svg.line(*placed.lead, fill="none", stroke=colour, stroke_width=THIN)
        svg.shape(shapely.buffer(placed.box, 0.35), fill=PAPER, fill_opacity=0.8)
        label(svg, placed, words, SMALL, fill=colour)


def draw_flat(svg: Svg, mark: Mark, shape: shapely.Geometry) -> None:
    """A mark of a finding as it lies on paper; spans are drawn as dimensions."""
    line = {"fill": "none", "stroke": STRONG, "stroke_width": 0.3}
    match mark:
        case Region():
            svg.shape(shape, fill=STRONG, stroke=STRONG, stroke_width=0.15)
            svg.shape(hatching(shape, 45.0, 1.1), fill="none", stroke=PAPER, stroke_width=0.16)
        case Ghost():
            svg.shape(shape.boundary, **line, stroke_dasharray=DASHES)
        case Line():
            svg.shape(shape, **(line | {"stroke": INK, "stroke_width": HEAVY} if mark.drawn else line))
        case Axis():
            left, top, right, low = shape.bounds
            x, y = (left + right) / 2, (top + low) / 2
            svg.shape(shape.boundary, **line)
            svg.line((left - 1, y), (right + 1, y), stroke=STRONG, stroke_width=THIN)
            svg.line((x, top - 1), (x, low + 1), stroke=STRONG, stroke_width=THIN)
        case Arrow():
            _draw_arrow(svg, shape)


def _draw_arrow(svg: Svg, shape: shapely.Geometry) -> None:
    corners = [(float(x), float(y)) for x, y in shapely.get_coordinates(shape)]
    made = arrow(corners, 1.4 * ARROW, least=3.5 * ARROW)
    if made is not None:
        for colour, wider in ((PAPER, 0.7), (STRONG, 0.0)):
            svg.line(*made.shaft, fill="none", stroke=colour, stroke_width=0.6 + wider)
            svg.shape(made.head, fill=colour, stroke=colour, stroke_width=0.05 + wider, stroke_linejoin="round")


def draw_dimension(svg: Svg, places: Places, start: Point, end: Point, words: str, *, off: float) -> None:
    """A dimension of what lies between two points, its line `off` mm beside them, on paper, and its words."""
    made = dimension(start, end, size_of(words, _SIZE), off=off, head=ARROW)
    for colour, wider in ((PAPER, 0.7), (INK, 0.0)):
        for line in made.lines:
            svg.line(*line, fill="none", stroke=colour, stroke_width=0.2 + wider)
        for head in made.heads:
            svg.shape(head, fill=colour, stroke=colour, stroke_width=0.05 + wider, stroke_linejoin="round")
    places.take(shapely.buffer(made.takes, 0.3))
    if not words:
        return
    left, top, right, low = places.first_or_best(made.boxes).box.bounds
    svg.box(left - 0.3, top - 0.6, right - left + 0.6, low - top + 1.2, radius=0.8, fill=PAPER, fill_opacity=0.9)
    svg.words(((left + right) / 2, low), words, _SIZE, fill=STRONG, font_weight="bold", text_anchor="middle")


def draw_form(svg: Svg, form: Form, at: Point, radius: float, *, dot: bool = True) -> None:
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


def signs_key(svg: Svg, at: Point, frame: Frame, seen: Seen) -> float:
    """Where it ends: the signs that this frame has, in two rows, from `at` to the right."""
    faces = {each.driven_from for each in frame.screws}
    near = "forward" if seen == "from forward" else "aft"
    signs: list[tuple[str, Face | Role | Literal["dowel"]]] = []
    signs += [(f"screw from {face}", face) for face in ("aft", "forward") if face in faces]
    signs += [("dowel", "dowel")] if frame.dowels else []
    plates = {part.role for part in frame.parts if part.face == near and part.role in HATCHED}
    signs += [(f"{role} on the {near} face", role) for role in ("gusset", "plate") if role in plates]
    x, y = at
    for column in range(0, len(signs), 2):
        wide = 0.0
        for row, (words, sign) in enumerate(signs[column : column + 2]):
            middle = (x + 1.6, y + row * _ROW)
            if sign == "aft" or sign == "forward":
                screw(svg, middle, sign, seen=seen)
            elif sign == "dowel":
                dowel(svg, middle, 0.0)
            elif sign in HATCHED:
                _swatch(svg, middle, sign)
            svg.words((x + 4.4, middle[1] + 0.75), words, SMALL, fill=QUIET)
            wide = max(wide, width(words, SMALL))
        x += wide + 8.0
    return x


def _swatch(svg: Svg, middle: Point, role: Role) -> None:
    x, y = middle
    box = shapely.box(x - 1.8, y - 1.2, x + 1.8, y + 1.2)
    svg.shape(box, fill=TONES[role])
    svg.shape(hatching(box, *HATCHED[role]), fill="none", stroke=INK, stroke_width=0.09)
    svg.shape(box, fill="none", stroke=INK, stroke_width=OUTLINE)


def scale_bar(svg: Svg, right_end: Point, scale: float, words: str) -> None:
    """A bar in two colours with its length in mm of boat, its right end at a place; the words before it."""
    step = next(n for n in (1000, 500, 200, 100, 50, 20, 10, 5, 2, 1) if n * scale <= _LONGEST)
    length = step * scale
    y = right_end[1]
    right = right_end[0] - width(f"{step:g}", SMALL) / 2
    left = right - length
    svg.words((left - 3.0 - width(words, SMALL), y + 0.4), words, SMALL, fill=QUIET)
    for half, fill in ((0, INK), (1, PAPER)):
        svg.box(left + half * length / 2, y - 0.9, length / 2, 1.2, fill=fill, stroke=INK, stroke_width=0.15)
    for x, value in ((left, "0"), (left + length / 2, f"{step / 2:g}"), (right, f"{step:g}")):
        if x in (left, right) or width(value, SMALL) + width(f"{step:g}", SMALL) < 0.9 * length:
            svg.words((x, y - 1.7), value, SMALL, fill=INK, text_anchor="middle")

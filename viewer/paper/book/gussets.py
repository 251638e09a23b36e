"""Plates enlarged: their screws by number, each dimensioned from two edges, and the line to which one masks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.sequence.measurements.screw_positions import EdgeDistance, ScrewPosition
from scrieve.model.sequence.steps.bench import MASK
from scrieve.model.sequence.steps.words import short

from ...marks.arrow import arrow_head
from ...marks.placing import Places, Point, box_about
from ..letters import HEIGHT, size_of, width
from ..look import DASHES, HEAVY, INK, OUTLINE, PAPER, QUIET, SMALL, STRONG, THIN, TONES, WORDS
from ..sight import Seen, Sight, fitting, scale_words
from ..signs import scale_bar
from ..svg import Svg
from .markup import Markup

Points = NDArray[np.float64]

WIDE, _HIGH, _FOOT = 87.0, 96.0, 9.0
"""mm; two of these drawings stand beside one another."""

_AROUND = 10.4  # mm of paper about the plate, for its dimensions
_CROSS = 2.2  # mm; arms of the cross on a screw
_FIRST, _NEXT = 2.6, 3.6  # mm from the plate to the first dimension, and from one to the next
_SAME = 0.05  # mm; distances that differ by less are one dimension


def plate_view(plate: Part, frame: Frame, places: Sequence[ScrewPosition]) -> Markup:
    """One plate seen from its own side, with `places` of the screws that are drilled through it."""
    seen: Seen = "from aft" if plate.face == "aft" else "from forward"
    left, low, right, high = plate.shape.bounds
    rows = max((len({round(off, 1) for _, off in to}) for _, to in _by_edge(places).values()), default=1)
    around = max(_AROUND, _FIRST + (rows - 1) * _NEXT + 4.0)
    scale = min(fitting(right - left, high - low, (WIDE - 2 * around, _HIGH - 2 * around)), 1.0)
    height = (high - low) * scale + 2 * around + _FOOT
    svg = Svg(WIDE, height, title=short(plate.name), description="")
    middle = (WIDE / 2, around + (high - low) * scale / 2)
    sight = Sight.of((left, low, right, high), middle, scale, seen)
    _Plate(svg, sight, plate, frame).draw(places, shapely.box(0, 0, WIDE, height - _FOOT))
    with svg.group("foot", fill=INK):
        scale_bar(svg, (WIDE - 2.0, height - 2.5), scale, scale_words(scale))
        svg.words((0.5, height - 2.1), f"seen {seen}", SMALL, fill=QUIET)
    return Markup(svg.inline())


class _Plate:
    def __init__(self, svg: Svg, sight: Sight, plate: Part, frame: Frame) -> None:
        self.svg, self.sight, self.plate, self.frame = svg, sight, plate, frame

    def draw(self, places: Sequence[ScrewPosition], page: shapely.Polygon) -> None:
        """What lies under the plate light, the plate, the mask line, then screws and their dimensions."""
        svg, sight = self.svg, self.sight
        shape = sight.shape(self.plate.shape)
        with svg.group("under", stroke_linejoin="round"):
            for part in self.frame.core:
                wood = shapely.intersection(sight.shape(part.shape), page)
                svg.shape(wood, fill=TONES[part.role], fill_opacity=0.6, stroke=QUIET, stroke_width=THIN)
        svg.shape(shape, fill=TONES["gusset"], stroke=INK, stroke_width=HEAVY, stroke_linejoin="round")
        with svg.group("joint", fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=DASHES):
            for part in self.frame.core:
                svg.shape(shapely.intersection(sight.shape(part.shape).boundary, shape))
        mask = shapely.buffer(self.plate.shape, MASK, join_style="mitre").boundary
        svg.shape(sight.shape(mask), fill="none", stroke=STRONG, stroke_width=0.2, stroke_dasharray="0.9 0.7")
        self._words = Places(page=page, clear=0.3, crossed=[shape.boundary])
        numbers: list[tuple[Points, Points, Points, str]] = []
        with svg.group("dimensions"):
            for place in places:
                self._words.take(shapely.buffer(shapely.Point(sight.point(*place.at)), 2.0))
            for edge, to in _by_edge(places).values():
                numbers += self._ladder(edge, to, shape)
            for number in numbers:  # when all lines are there, which they are not to lie on
                self._number(*number)
            for edge, _ in _by_edge(places).values():
                self._edge(edge, shape)
            for place in places:
                self._screw(place)

    def _along(self, edge: EdgeDistance, shape: shapely.Geometry) -> tuple[Points, Points, Points]:
        """One end of an edge on paper, the way along it, and the way from it into the wood."""
        start, end = (np.array(self.sight.point(*each)) for each in edge.ends)
        way = (end - start) / np.hypot(*(end - start))
        into = np.array([-way[1], way[0]])
        within = shapely.contains_xy(shape, *((start + end) / 2 + 0.3 * into))
        return start, way, into if within else -into

    def _ladder(
        self, edge: EdgeDistance, places: Sequence[tuple[Point, float]], shape: shapely.Geometry
    ) -> Iterator[tuple[Points, Points, Points, str]]:
        """The distances from one edge, beside the plate, each from the edge's line to the line of its screws.

        Gives what is to be written: the two ends of each dimension, the way out over it, and the words.
        """
        start, way, into = self._along(edge, shape)
        spots = [np.array(self.sight.point(*at)) for at, _ in places]
        off = [float((spot - start) @ into) for spot in spots]
        corners = shapely.get_coordinates(shape) - start
        level = (corners @ into > -0.1) & (corners @ into < max(off) + 0.1)
        runs = np.concatenate([corners[level] @ way, [float((spot - start) @ way) for spot in spots]])
        ends = [float((np.array(self.sight.point(*each)) - start) @ way) for each in edge.ends]
        outs = {1.0: max(float(runs.max()), *ends), -1.0: -min(float(runs.min()), *ends)}
        middle = float(np.mean([(spot - start) @ way for spot in spots]))
        side = min(outs, key=lambda sign: outs[sign] - sign * middle)
        svg, line = self.svg, {"fill": "none", "stroke": INK, "stroke_width": 0.13}
        groups: dict[float, list[int]] = {}
        for n, (_, distance) in enumerate(places):
            same = next((known for known in groups if abs(known - distance) < _SAME), distance)
            groups.setdefault(same, []).append(n)
        for row, (distance, which) in enumerate(sorted(groups.items())):
            run = side * (outs[side] + _FIRST + row * _NEXT)
            base, tip = start + run * way, start + run * way + off[which[0]] * into
            past = side * way
            near = max(ends, key=lambda end: side * end)
            svg.line(tuple(start + near * way + 0.4 * past), tuple(base + 0.8 * past), **line)
            for n in which:
                svg.line(tuple(spots[n] + 1.9 * past), tuple(tip + 0.8 * past), **line)
            svg.line(tuple(base), tuple(tip), fill="none", stroke=INK, stroke_width=0.2)
            for end, out in ((base, -into), (tip, into)):
                svg.shape(arrow_head(tuple(end), out if off[which[0]] > 4.0 else -out, 1.4, 0.22), fill=INK)
            self._words.cross(shapely.LineString([base, tip]), *(shapely.LineString([spots[n], tip]) for n in which))
            yield base, tip, past, f"{distance:.1f}"

    def _number(self, base: Points, tip: Points, past: Points, words: str) -> None:
        """A distance beside its dimension, or beyond one of its ends."""
        w, h = size_of(words, SMALL)
        along = (tip - base) / np.hypot(*(tip - base))
        reach, beyond = (float(np.abs(way) @ (w, h)) / 2 for way in (past, along))
        middles = [(base + tip) / 2 + sign * (reach + 0.4) * past for sign in (1.0, -1.0)]
        middles += [tip + (beyond + 1.8) * along, base - (beyond + 1.8) * along]
        middles += [(base + tip) / 2 + sign * (reach + off) * past for off in (1.2, 2.0) for sign in (1.0, -1.0)]
        boxes = [box_about((x, y), (w, h)) for x, y in middles]
        left, _, right, low = self._words.first_or_best(boxes).box.bounds
        self.svg.box(left, low - h - 0.2, right - left, h + 0.4, radius=0.4, fill=PAPER, fill_opacity=0.75)
        self.svg.words(((left + right) / 2, low), words, SMALL, fill=INK, text_anchor="middle")

    def _edge(self, edge: EdgeDistance, shape: shapely.Geometry) -> None:
        """An edge from which screws are set out: heavy, its name along it within the plate."""
        ends = np.array([self.sight.point(*end) for end in edge.ends])
        self.svg.line(tuple(ends[0]), tuple(ends[1]), fill="none", stroke=INK, stroke_width=0.9)
        _, way, into = self._along(edge, shape)
        turn = (float(np.degrees(np.arctan2(way[1], way[0]))) + 90.0) % 180.0 - 90.0
        c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        w, h = size_of(edge.edge, SMALL)
        flat = np.array([(-w, -h), (w, -h), (w, h), (-w, h)]) / 2 @ np.array([(c, s), (-s, c)])
        boxes = [
            shapely.Polygon(flat + ends[0] + share * (ends[1] - ends[0]) + into * 1.9)
            for share in (0.5, 0.35, 0.65, 0.22, 0.78, 0.12, 0.88)
        ]
        x, y = self._words.first_or_best(boxes).middle
        at = (x - HEIGHT * SMALL / 2 * s, y + HEIGHT * SMALL / 2 * c)
        self.svg.words(at, edge.edge, SMALL, turned=turn, fill=QUIET, text_anchor="middle")

    def _screw(self, place: ScrewPosition) -> None:
        x, y = self.sight.point(*place.at)
        svg, words = self.svg, place.name.rpartition(" ")[2]
        for a, b in (((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS))):
            svg.line(a, b, fill="none", stroke=INK, stroke_width=0.2)
        half = max(width(words, WORDS) / 2 + 0.5, 1.7)
        svg.box(x - half, y - 1.7, 2 * half, 3.4, radius=1.7, fill=INK, stroke=PAPER, stroke_width=OUTLINE)
        down = y + HEIGHT * WORDS / 2
        svg.words((x, down), words, WORDS, fill=PAPER, font_weight="bold", text_anchor="middle")


def _by_edge(places: Sequence[ScrewPosition]) -> dict[object, tuple[EdgeDistance, list[tuple[Point, float]]]]:
    """The edges from which screws are set out, each with where those screws are and how far off it."""
    found: dict[object, tuple[EdgeDistance, list[tuple[Point, float]]]] = {}
    for place in places:
        for edge in place.edges:
            found.setdefault(edge.ends, (edge, []))[1].append((place.at, edge.distance))
    return found

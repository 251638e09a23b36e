"""An inset in the frame's plane: the place of a finding enlarged, with what it found there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.model.geometry.plane import disc
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Axis, Ghost, Line, Mark, Place, Region, Span
from scrieve.shared.names import within_frame

from ..marks.hatch import hatching
from ..marks.measured import measure_alone
from ..marks.placing import Places, Point
from ..marks.projection import flat
from .figure import FramePlot
from .inset import Inset
from .letters import first_words, size_of
from .look import BATTEN, CHAIN, DASHES, HEAVY, INK, OUTLINE, PAPER, QUIET, RAIL, SMALL, STRONG, THIN, TONES
from .sight import Sight
from .signs import CLEAR, diagonals, draw_dimension, draw_flat, label, name_beside
from .svg import Svg

_OFF = 0.28  # of the radius, from what is measured to its dimension
_HATCH = ((45.0, 2.2), (135.0, 2.2), (90.0, 2.2))
_TIMES = 3.0  # how many times larger what is shared is shown than what is measured
_REACH = 90.0  # mm to each side that is shown of marks where nothing is measured, at most


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _SubjectOutline:
    """What a finding is about, in the frame's plane, from `low` to `high` along its normal; `tone` if it is hatched."""

    name: str
    shape: shapely.Geometry
    low: float
    high: float
    tone: str = ""


class Detail:
    """The inset of one finding at a place (y, v), drawn into a circle of a page: its marks, and what they lie on."""

    def __init__(self, inset: Inset, finding: Finding, figure: FramePlot, marks: Sequence[Mark], at: Point) -> None:
        self.inset, self.finding, self.marks, self.at = inset, finding, marks, at
        self.figure, self.frame = figure, figure.frame
        self.span = next((mark for mark in marks if isinstance(mark, Span)), None)
        # the nearest last, as they are drawn
        away = 1.0 if figure.seen == "from forward" else -1.0
        named = {subject.name for subject in finding.subjects}
        self.things = sorted(_things(figure, named), key=lambda thing: away * (thing.low + thing.high))

    def draw(self, svg: Svg) -> shapely.Polygon:
        """Draws it; what of the frame's plane it shows, (y, v)."""
        middle = self.at if self.span is None else _middle(self._plane([self.span.start, self.span.end]))
        scale = self._scale()
        self.sight = sight = Sight.of((*middle, *middle), self.inset.at, scale, self.figure.seen)
        self.places = Places(page=shapely.buffer(self.inset.window, -1.0), clear=CLEAR)
        self.inset.open(svg)
        self._around(svg)
        drawn = [(mark, self.inset.inside(sight.shape(flat(mark, self._plane)))) for mark in self.marks]
        drawn = [(mark, shape) for mark, shape in drawn if not shape.is_empty]
        with svg.group("detail", stroke_linejoin="round"):
            self._fill(svg)
            for mark, shape in drawn:
                if isinstance(mark, Region):
                    draw_flat(svg, mark, shape)
        self._screws(svg)
        with svg.group("marks", stroke_linejoin="round"):
            for mark, shape in drawn:
                if not isinstance(mark, Region):
                    draw_flat(svg, mark, shape)
        with svg.group("measure"):
            measured = self._measured(drawn)
            if measured is not None:
                start, end = (sight.point(*at) for at in self._plane(measured[0]).tolist())
                draw_dimension(svg, self.places, start, end, measured[1], off=_OFF * self.inset.radius)
            elif all(isinstance(mark, Line) and mark.drawn for mark, _ in drawn):
                svg.circle(self.inset.at, 2.2, fill="none", stroke=STRONG, stroke_width=HEAVY)
                svg.circle(self.inset.at, 0.5, fill=STRONG)
        solid = (Ghost, Axis)  # names may stand within these
        self.places.cross(*(shape.boundary if isinstance(mark, solid) else shape for mark, shape in drawn))
        with svg.group("words"):
            for mark, shape in drawn:
                if mark.words and (measured is None or mark.words != measured[1]):
                    name_beside(svg, self.places, mark.words, shape, STRONG)
        self._names(svg)
        self.inset.close(svg, scale)
        return disc((sight.middle[0], sight.middle[1]), 2 * self.inset.radius / scale)

    # ---- the parts of it

    def _plane(self, points: ArrayLike) -> NDArray[np.float64]:
        """(n, 2): where points in hull axes lie in the frame's plane."""
        return self.frame.placement.to_frame(points)[:, :2]

    def _measured(self, drawn: Sequence[tuple[Mark, shapely.Geometry]]) -> tuple[tuple[Place, Place], str] | None:
        """Two ends in hull axes and the words between them: of the span, else of a short line that has words."""
        if self.span is not None:
            return (self.span.start, self.span.end), measure_alone(self.finding.measure)
        for mark, shape in drawn:
            if isinstance(mark, Line) and mark.words and len(mark.points) == 2 and shape.length < self.inset.radius:
                return (mark.points[0], mark.points[1]), mark.words
        return None

    def _scale(self) -> float:
        """What is measured shows well; where nothing is, what is shared, or all marks as far as there is room."""
        if self.span is not None:
            return self.inset.scale(self.span.length)
        shared = [flat(mark, self._plane) for mark in self.marks if isinstance(mark, Region)]
        if shared:
            left, low, right, high = shapely.total_bounds(shared)
            size = float(max(right - left, high - low))
            return min(self.inset.scale(size / _TIMES), self.inset.reaching(size))
        shapes = [flat(mark, self._plane) for mark in self.marks]
        corners = shapely.get_coordinates(shapes) if shapes else np.empty((0, 2))
        off = np.hypot(*(corners - self.at).T)
        return min(self.inset.scale(None), self.inset.reaching(float(off[off < _REACH].max(initial=0.0))))

    def _around(self, svg: Svg) -> None:
        """Everything else, light, so that one knows where one is."""
        with svg.group("around", stroke_linejoin="round"):
            for layer in self.figure.layers:
                visible = self.inset.inside(self.sight.shape(layer.visible))
                svg.shape(visible, fill=TONES[layer.part.role], fill_opacity=0.4)
                lines = self.inset.inside(self.sight.shape(layer.lines))
                svg.shape(lines, fill="none", stroke=QUIET, stroke_width=THIN)
            for timber in self.figure.timbers:
                whole = self.sight.shape(timber.shape)
                svg.shape(self.inset.inside(whole), fill=RAIL if timber.rail else BATTEN, fill_opacity=0.75)
                lines = shapely.union(whole.boundary, diagonals(whole))
                svg.shape(self.inset.inside(lines), fill="none", stroke=INK, stroke_width=OUTLINE)
            x, y = self.sight.point(0.0, 0.0)
            left, top, right, low = self.inset.window.bounds
            lines = shapely.MultiLineString([[(left, y), (right, y)], [(x, top), (x, low)]])
            svg.shape(self.inset.inside(lines), fill="none", stroke=QUIET, stroke_width=0.18, stroke_dasharray=CHAIN)

    def _fill(self, svg: Svg) -> None:
        """What the finding is about, hatched each its own way."""
        parts = [thing for thing in self.things if thing.tone]
        for thing, hatch in zip(parts, _HATCH * len(parts), strict=False):
            shape = self.inset.inside(self.sight.shape(thing.shape))
            svg.shape(shape, fill=thing.tone)
            svg.shape(hatching(shape, *hatch), fill="none", stroke=INK, stroke_width=0.11)
        for thing in self.things:
            line = self.inset.inside(self.sight.shape(thing.shape).boundary)
            svg.shape(line, fill="none", stroke=INK, stroke_width=HEAVY)

    def _names(self, svg: Svg) -> None:
        """The names of what the finding is about, each in what is seen of it."""
        self.places.take(disc(self.inset.at, 0.6 * self.inset.radius))
        with svg.group("names", fill=INK):
            for words, thing, covered in self._each_once():
                seen = shapely.difference(self.sight.shape(thing.shape), self.sight.shape(covered))
                placed = self.places.inside(size_of(words, SMALL), self.inset.inside(seen))
                if placed is not None:
                    label(svg, placed, words, SMALL, fill=INK)

    def _each_once(self) -> Iterator[tuple[str, _SubjectOutline, shapely.Geometry]]:
        """The things by their names, and what of them others cover.

        Those that lie over one another line for line have what is alike in their names.
        """
        left = list(self.things)
        while left:
            first = left[0]
            alike = [thing for thing in left if thing.shape.equals_exact(first.shape, 0.01)]
            left = [thing for thing in left if thing not in alike]
            names = [within_frame(thing.name, self.frame.number) for thing in alike]
            over = self.things[self.things.index(alike[-1]) + 1 :]
            yield first_words(names).rstrip(","), first, shapely.union_all([thing.shape for thing in over])

    def _screws(self, svg: Svg) -> None:
        """Heads and shanks at their size, with a cross on the axis."""
        with svg.group("shanks", fill="none", stroke=INK):
            for each in self.frame.screws:
                x, y = self.sight.point(*each.at)
                reach = each.size.head_diameter / 2 * self.sight.scale
                if not self.inset.window.contains(disc((x, y), 2 * reach)):
                    continue
                dashes = None if f"from {each.driven_from}" == self.figure.seen else DASHES
                for radius in (reach, each.size.diameter / 2 * self.sight.scale):
                    svg.circle((x, y), radius, stroke_width=0.18, stroke_dasharray=dashes)
                svg.line((x - reach - 1, y), (x + reach + 1, y), stroke_width=THIN)
                svg.line((x, y - reach - 1), (x, y + reach + 1), stroke_width=THIN)
                self.places.take(disc((x, y), 2 * reach))


def _things(figure: FramePlot, names: set[str]) -> Iterator[_SubjectOutline]:
    """What of these names is drawn of a frame, but for its screws: these are drawn anyway."""
    frame = figure.frame
    for part in frame.parts:
        if part.name in names:
            yield _SubjectOutline(name=part.name, shape=part.shape, low=part.low, high=part.high, tone=TONES[part.role])
    for dowel in frame.dowels:
        if dowel.name in names:
            shape = disc(dowel.at, dowel.diameter)
            yield _SubjectOutline(name=dowel.name, shape=shape, low=frame.core_low, high=frame.core_high, tone=PAPER)
    for timber in figure.timbers:
        if timber.name in names:
            yield _SubjectOutline(name=timber.name, shape=timber.shape, low=frame.core_low, high=frame.core_high)


def _middle(points: NDArray[np.float64]) -> Point:
    y, v = points.mean(axis=0)
    return float(y), float(v)

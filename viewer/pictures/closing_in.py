"""A finding close up: what it is about, what two things share or lack, and its measure drawn in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import shapely

from scrieve.shared.findings import Finding

from ..marks.colours import INK, PAPER, STRONG
from ..marks.dimension import dimension
from ..marks.forms import form_of
from ..marks.measured import measured_words
from ..marks.placing import Places, Point, box_about
from ..reports.style import plain
from ..scene.close_up import CloseUp, close_up, named_bodies, subjects_among
from ..scene.highlight import highlight, place_words
from ..scene.sides import MARGIN, Margins, View
from ..scene.signs import Ends
from ..scene.triple import Triple
from .canvas import Canvas, wide, wrapped
from .captions import caption
from .studio import Studio
from .subject import PicturedBoat, letters

_ASIDE = 5.0  # times common words, from what is measured to its dimension
_HEAD = 1.1
_NAME = 1.1  # times common words
_MEASURE = 1.35
_CLEAR = 0.35
_EDGE = 0.5


def closing_in(studio: Studio, subject: PicturedBoat, number: int, *, captioned: bool = True) -> Canvas:
    """The picture of a finding by its number; of what it names, or of the boat, where it has no place."""
    finding = subject.findings[number - 1]
    size = letters(studio.size)
    said = caption(*finding_words(number, finding), studio.size) if captioned else None
    foot = 0.0 if said is None else said.height
    room = Margins(bottom=MARGIN + foot / studio.size[1])
    close = close_up(finding, studio.bodies, subject.assembly, studio.aspect, room)
    if close is None:
        canvas = _without_place(studio, subject, finding, room)
        if said is not None:
            said.draw(canvas)
        return canvas
    view = close.view
    told = highlight(finding, close, studio.bodies, subject.assembly, rest="hidden")
    screws = [n for n in (*close.bodies, *close.also) if studio.bodies[n].kind == "screw"]
    studio.stand(told.states, edged=screws, clear=told.clear, seconds=told.seconds, datum=False)
    studio.signpost.show(close.signs, [close.pieces[n] for n in sorted(close.pieces)], view)
    canvas = studio.taken(view)
    page = CloseUpCanvas(canvas=canvas, studio=studio, view=view, size=size, low=canvas.height - foot)
    signs, words = close.signs, measured_words(finding.measure)
    if signs.gap is not None:
        page.dimension(signs.gap, words)
    else:
        if not signs.arrows and not signs.ghosts and signs.shared is None:
            (at,) = studio.places(view, [close.at])
            canvas.mark(form_of(finding), at, 1.3 * size, 0.2 * size)
        if words:
            page.measure_beside(close.at, words)
    page.names(finding, close)
    if said is not None:
        canvas.box(0.0, canvas.height - foot, canvas.width, canvas.height, PAPER, opacity=0.93)  # under the words
        said.draw(canvas)
    return canvas


def finding_words(number: int, finding: Finding) -> tuple[str, list[str]]:
    """The title of a finding's picture, and what goes with it, a line each."""
    frame = f"F{finding.frame}, " if finding.frame else ""
    waived = f", waived: {finding.waived}" if finding.waived else ""
    lines = [finding.message + waived]
    if finding.cure:
        lines.append(f"cure: {finding.cure}")
    return f"{number}. {frame}{finding.check} ({finding.level})", lines


def _without_place(studio: Studio, subject: PicturedBoat, finding: Finding, room: Margins) -> Canvas:
    """The parts that it names in the whole boat, or the whole boat."""
    told = highlight(finding, None, studio.bodies, subject.assembly, rest="faded")
    studio.stand(told.states, edged=subjects_among(finding, studio.bodies))
    size = letters(studio.size)
    rows = wrapped(plain(place_words(finding)), 1.1 * size, studio.size[0] - 2 * size)
    above = (1.6 + 1.5 * len(rows)) * size
    canvas = studio.taken(studio.view("bow", replace(room, top=above / studio.size[1])))
    for n, words in enumerate(rows):
        canvas.words((canvas.width / 2, (2.6 + 1.5 * n) * size), words, 1.1 * size, INK, anchor="mm", halo=PAPER)
    return canvas


@dataclass(kw_only=True, eq=False)
class CloseUpCanvas:
    """A close-up on its canvas as `view` sees it; words are `size` points large and stay above `low`."""

    canvas: Canvas
    studio: Studio
    view: View
    size: float
    low: float
    places: Places = field(init=False)

    def __post_init__(self) -> None:
        edge = _EDGE * self.size
        page = shapely.box(edge, edge, self.canvas.width - edge, self.low - edge)
        self.places = Places(page=page, clear=_CLEAR * self.size)

    def dimension(self, ends: Ends, words: str) -> None:
        """A dimension beside what is measured, arrows inside or outside, and the number on paper."""
        start, end = self.studio.places(self.view, ends)
        slip = self._slip_size(words)
        made = dimension(start, end, slip, off=_ASIDE * self.size, head=_HEAD * self.size)
        self.canvas.headed(made.lines, made.heads, INK, 0.11 * self.size, halo=PAPER)
        if words:
            self._slip(self.places.first_or_best(made.boxes).middle, words)
        self.places.cross(shapely.buffer(made.takes, 0.3 * self.size))

    def measure_beside(self, at: Triple, words: str) -> None:
        """The number below the place, where nothing between two points is measured."""
        ((x, y),) = self.studio.places(self.view, [at])
        self._slip((x, y + 3.2 * self.size), words)

    def names(self, finding: Finding, close: CloseUp) -> None:
        """The names of what the finding is about, where it is seen, as far apart as they need to be."""
        tall = self.canvas.height / self.size
        for words, place in close.signs.words:
            (at,) = self.studio.places(self.view, [place])
            self._write(plain(words), [at], at, STRONG)
        for named in named_bodies(finding, close, self.studio.bodies, self.view, tall, self.studio.aspect):
            spots = [(x * self.size, y * self.size) for x, y in named.spots]
            on = named.on[0] * self.size, named.on[1] * self.size
            if not spots:  # a small body, which words would hide
                points = self.studio.places(self.view, self.studio.bodies[named.body].points)
                self.places.drawn = shapely.MultiPoint(points).convex_hull
            self._write(named.words, spots, on, INK)
            self.places.drawn = shapely.Polygon()

    def _write(self, words: str, spots: Sequence[Point], on: Point, colour: str) -> None:
        """The words at the first of the spots where there is room, else beside a place with a line to it."""
        size = wide(words, _NAME * self.size) + 0.8 * self.size, 1.8 * self.size
        placed = self.places.first([box_about(spot, size) for spot in spots]) or self.places.beside(size, on)
        if placed is None:
            return
        if placed.lead is not None:
            self.canvas.line(placed.lead, colour, 0.08 * self.size, halo=PAPER)
            self.canvas.disc(on, 0.22 * self.size, colour)
        self.canvas.words(placed.middle, words, _NAME * self.size, colour, anchor="mm", halo=PAPER)

    def _rows(self, words: str) -> list[str]:
        return wrapped(words, _MEASURE * self.size, self.canvas.width - 2 * self.size, bold=True)

    def _slip_size(self, words: str) -> tuple[float, float]:
        rows = self._rows(words)
        widest = max((wide(row, _MEASURE * self.size, bold=True) for row in rows), default=0.0)
        return widest + 0.8 * self.size, self.size * (0.4 + 1.6 * len(rows))

    def _slip(self, at: Point, words: str) -> None:
        """The number of a measure on a slip of paper, all of it inside the picture."""
        size, rows = self.size, self._rows(words)
        half = [each / 2 for each in self._slip_size(words)]
        edge = [each + _EDGE * size for each in half]
        most = self.canvas.width, self.low
        x, y = (max(least, min(value, end - least)) for value, least, end in zip(at, edge, most, strict=True))
        self.canvas.box(x - half[0], y - half[1], x + half[0], y + half[1], PAPER, radius=0.4 * size)
        for n, row in enumerate(rows):
            middle = (x, y + (n - (len(rows) - 1) / 2) * 1.6 * size)
            self.canvas.words(middle, row, _MEASURE * size, STRONG, bold=True, anchor="mm")
        self.places.take(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1]))

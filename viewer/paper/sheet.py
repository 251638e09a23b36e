"""A page: a frame in its plane with the findings of it ringed, or one of them enlarged beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.geometry.plane import disc
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Axis, Ghost, Span

from ..marks.forms import badge_colour, form_of, worst_form
from ..marks.placing import Places, around, together
from ..marks.projection import flat
from .detail import Detail
from .figure import FramePlot
from .inset import Inset
from .layers import bounds_of, timbers_of
from .letters import LINE, width, wrapped
from .look import HEADING, INK, PAPER, QUIET, SMALL, TITLE, WORDS
from .section import SectionInset, in_depth
from .sight import Seen, Sight, fitting, scale_words
from .signs import CLEAR, badge, draw_flat, draw_form, scale_bar, signs_key
from .svg import Point, Svg

A4 = (297.0, 210.0)
"""mm; the page, if no other is asked for."""

LEAST = (180.0, 150.0)
"""mm; what a page must measure at least to hold anything."""

_EDGE = 9.0  # mm of paper round everything
_FOOT = 15.0  # mm for the words below the drawing
_BESIDE = 78.0  # mm for what stands beside the drawing
_NAMES = (17.0, 10.0)  # mm to each side of the frame, and above and below, for the names of things
_ONLY = FIT_ONLY.partition("; ")[0] + "."
_MIDDLE = 60.0  # mm of boat; a finding further to the left is told on the left
_RING = 5.5  # mm; least radius of a ring about a finding

Numbered = tuple[int, Finding]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A part of the page, mm."""

    left: float
    top: float
    right: float
    low: float

    @property
    def middle(self) -> Point:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.low) / 2

    def polygon(self) -> shapely.Polygon:
        """As a shape."""
        return shapely.box(self.left, self.top, self.right, self.low)


def frame_sheet(
    assembly: Assembly,
    frame: Frame,
    seen: Seen,
    findings: Sequence[Numbered],
    *,
    chosen: Numbered | None = None,
    size: tuple[float, float] = A4,
) -> str:
    """The page of a frame as SVG. `findings` are those of the frame by number, `chosen` the one that is enlarged."""
    side = 1.0
    if chosen is not None and chosen[1].at is not None:
        side = _place(frame, chosen[1])[0] * (-1.0 if seen == "from aft" else 1.0)
    return _FrameSheet(assembly, frame, seen, size, left=side < -_MIDDLE).drawn(findings, chosen)


class _FrameSheet:
    def __init__(self, assembly: Assembly, frame: Frame, seen: Seen, size: tuple[float, float], *, left: bool) -> None:
        self.assembly, self.frame, self.seen = assembly, frame, seen
        self.width, self.height = size
        low = self.height - _EDGE - _FOOT
        if self.width >= self.height:
            wide = self.width - 2 * _EDGE - _BESIDE - 4.0
            start = _EDGE + (_BESIDE + 4.0 if left else 0.0)
            self.main = Box(left=start, top=_EDGE, right=start + wide, low=low)
            start = _EDGE if left else self.width - _EDGE - _BESIDE
            self.beside = Box(left=start, top=_EDGE, right=start + _BESIDE, low=low)
        else:
            split = low - 0.42 * (low - _EDGE)
            self.main = Box(left=_EDGE, top=_EDGE, right=self.width - _EDGE, low=split - 4.0)
            self.beside = Box(left=_EDGE, top=split, right=self.width - _EDGE, low=low)

    def drawn(self, findings: Sequence[Numbered], chosen: Numbered | None) -> str:
        """The text of the file."""
        what = f"{self.assembly.name}: frame {self.frame.name}"
        said = "" if chosen is None else f" {chosen[1].message}."
        self.svg = Svg(
            self.width, self.height, title=what, description=f"The frame in its plane, {self.seen}.{said} {FIT_ONLY}"
        )
        with self.svg.group("page"):
            self.svg.box(0.0, 0.0, self.width, self.height, fill=PAPER)
        sight = self._sight()
        self._foot(sight)
        figure = FramePlot(self.svg, self.frame, self.assembly, sight, self.seen)
        figure.draw(() if chosen is None else [subject.name for subject in chosen[1].subjects])
        places = Places(page=self.main.polygon(), clear=CLEAR, drawn=figure.drawn)
        places.cross(*figure.line_boxes())
        if chosen is None:
            self._rings(findings, sight, places)
            figure.name(places)
            self._lists(findings)
        else:
            self._enlarged(chosen, figure, places)
            figure.name(places)
        return self.svg.text()

    def _sight(self) -> Sight:
        bounds = bounds_of(self.frame, timbers_of(self.frame, self.assembly))
        left, low, right, high = bounds
        room = self.main.right - self.main.left - 2 * _NAMES[0], self.main.low - self.main.top - 2 * _NAMES[1]
        return Sight.of(bounds, self.main.middle, fitting(right - left, high - low, room), self.seen)

    # ---- findings

    def _rings(self, findings: Sequence[Numbered], sight: Sight, places: Places) -> None:
        """A ring with a number about each; those in one place share one ring."""
        placed = [each for each in findings if each[1].at is not None]
        spots = [sight.point(*_place(self.frame, finding)) for _, finding in placed]
        groups = together(spots, placed, 1.2)
        with self.svg.group("findings"):
            for at, group in groups:
                draw_form(self.svg, worst_form([finding for _, finding in group]), at, 2.6)
                places.take(disc(at, 5.2))
            for at, group in groups:
                words = ", ".join(str(number) for number, _ in group)
                size = (max(width(words, WORDS) / 1.1 + 1.4, 3.5), 3.5)
                colour = worst_form([finding for _, finding in group]).colour
                boxes = around(size, at, (2.6 + CLEAR, 4.7, 6.7, 9.7, 13.7))
                badge(self.svg, places.first_or_best(boxes).middle, words, colour=colour)

    def _enlarged(self, chosen: Numbered, figure: FramePlot, places: Places) -> None:
        """The ring, the inset, the lines from the one to the other, and what the finding says."""
        number, finding = chosen
        beside, sight = self.beside, figure.sight
        radius = min((beside.right - beside.left) / 2, (beside.low - beside.top) * 0.3)
        inset = Inset(at=(beside.right - radius, beside.top + radius), radius=radius)
        text_top, text_left, text_right = beside.top, beside.left, inset.at[0] - radius - 6.0
        if self.width >= self.height:
            inset = Inset(at=((beside.left + beside.right) / 2, beside.top + radius), radius=radius)
            text_top, text_right = beside.top + 2 * radius + 6.0, beside.right
        if finding.at is not None:
            place = _place(self.frame, finding)
            at = sight.point(*place)
            marks = [each for each in finding.evidence if each.frame == self.frame.number]
            span = next((each for each in marks if isinstance(each, Span)), None)
            axes = [each for each in marks if isinstance(each, Axis)]
            cut = span is not None and in_depth(span, axes, self.frame)
            if span is not None and cut:
                shown = sight.shape(SectionInset(inset, finding, self.frame, marks, span).draw(self.svg))
            else:
                shown = sight.shape(Detail(inset, finding, figure, marks, place).draw(self.svg))
            left, _, right, _ = shown.bounds
            about = max((right - left) / 2, _RING if not cut else 2.6)
            with self.svg.group("ghosts"):
                for mark in marks:
                    if isinstance(mark, Ghost):
                        shape = flat(mark, lambda points: self.frame.placement.to_frame(points)[:, :2])
                        draw_flat(self.svg, mark, sight.shape(shape))
            with self.svg.group("finding"):
                lead = _between(at, about, inset)
                self.svg.line(*lead, fill="none", stroke=form_of(finding).colour, stroke_width=0.2)
                draw_form(self.svg, form_of(finding), at, about, dot=False)
            places.take(disc(at, 2 * about).boundary)
            places.cross(shapely.LineString(lead))
        self._says(number, finding, text_left, text_top, text_right)

    def _says(self, number: int, finding: Finding, left: float, top: float, right: float) -> None:
        """The finding in words: what, where it comes from, and the cure."""
        with self.svg.group("says", fill=INK):
            words = f"{finding.level}: {finding.check}" + (", waived" if finding.waived else "")
            badge(self.svg, (left + 2.6, top + 2.2), str(number), colour=badge_colour(finding))
            self.svg.words((left + 6.6, top + 3.4), words, HEADING, font_weight="bold")
            y = top + 3.4 + 1.5 * HEADING
            y = self._paragraph(left, y, right, finding.message, WORDS)
            if finding.waived:
                y = self._paragraph(left, y + 1.2, right, f"waived: {finding.waived}", WORDS)
            if finding.cure:
                y = self._paragraph(left, y + 1.2, right, f"cure: {finding.cure}", WORDS)
            source = "" if finding.source is None else str(finding.source)
            self._paragraph(left, y + 1.2, right, source, SMALL, QUIET)

    def _lists(self, findings: Sequence[Numbered]) -> None:
        """What the rings stand for, and the parts of the frame."""
        left, top, right = self.beside.left, self.beside.top, self.beside.right
        with self.svg.group("lists", fill=INK):
            y = top + HEADING
            if findings:
                self.svg.words((left, y), "Found", HEADING, font_weight="bold")
                y += 1.9 * HEADING
                for n, (number, finding) in enumerate(findings):
                    brief = f"{finding.message} (waived)" if finding.waived else str(finding.message)
                    lines = wrapped(brief, SMALL, right - left - 8.0)
                    if y + len(lines) * LINE * SMALL > self.beside.low - 12.0:
                        self._paragraph(left + 7.0, y, right, f"and {len(findings) - n} more", SMALL)
                        y += LINE * SMALL
                        break
                    badge(self.svg, (left + 2.4, y - 0.8), str(number), colour=badge_colour(finding))
                    y = self._paragraph(left + 7.0, y, right, brief, SMALL) + 1.6
                y += HEADING
            self._parts(left, y, right)

    def _parts(self, left: float, y: float, right: float) -> None:
        """Label, stock and thickness of the parts, as far as there is room."""
        rows = sorted({(part.label, part.face, part.stock, part.thickness) for part in self.frame.parts})
        room = int((self.beside.low - y) / (LINE * SMALL)) - 2
        if room < 2 or not rows:
            return
        self.svg.words((left, y), "Parts", HEADING, font_weight="bold")
        y += 1.6 * HEADING
        columns = (left, left + 42.0, left + 55.0, left + 67.0)
        shown = rows if len(rows) <= room else rows[: room - 1]
        for label, face, stock, thickness in shown:
            for x, words in zip(columns, (label, face, stock, f"{thickness:g} mm"), strict=True):
                self.svg.words((x, y), words, SMALL, fill=INK if x == left else QUIET)
            y += LINE * SMALL
        if len(shown) < len(rows):
            self.svg.words((left, y), f"and {len(rows) - len(shown)} more", SMALL, fill=QUIET)

    def _paragraph(self, left: float, y: float, right: float, words: str, size: float, colour: str = INK) -> float:
        """Words wrapped between left and right from the line `y` on; the line after them."""
        for line in wrapped(words, size, right - left):
            self.svg.words((left, y), line, size, fill=colour)
            y += LINE * size
        return y

    # ---- below the drawing

    def _foot(self, sight: Sight) -> None:
        frame = self.frame
        top = self.height - _EDGE - _FOOT
        with self.svg.group("foot", fill=INK):
            ends = (_EDGE, top + 2.5), (self.width - _EDGE, top + 2.5)
            self.svg.line(*ends, fill="none", stroke=INK, stroke_width=0.2)
            title = f"{self.assembly.name}, {frame.name}"
            self.svg.words((_EDGE, top + 9.0), title, TITLE, font_weight="bold")
            port = "left" if sight.side < 0 else "right"
            rake = float(np.degrees(frame.placement.rake))
            raked = f", raked {rake:g} degrees" if rake else ""
            said = f"{frame.kind}, station {frame.placement.station:g}{raked}; seen {self.seen}, port on the {port}"
            self.svg.words((_EDGE, top + 13.6), said, SMALL, fill=QUIET)
            start = _EDGE + max(width(title, TITLE), width(said, SMALL)) + 8.0
            end = signs_key(self.svg, (start, top + 6.6), frame, self.seen)
            right = self.width - _EDGE
            scale_bar(self.svg, (right, top + 7.2), sight.scale, f"scale {scale_words(sight.scale)}, mm")
            below = end < right - width(_ONLY, SMALL)  # else above the line, where there is always room
            self.svg.words((right, top + (13.6 if below else 1.6)), _ONLY, SMALL, fill=QUIET, text_anchor="end")


def _place(frame: Frame, finding: Finding) -> Point:
    """Where a finding is, in the frame's (y, v), mm. It must have a place."""
    assert finding.at is not None
    y, v, _ = frame.placement.to_frame([finding.at])[0]
    return float(y), float(v)


def _between(at: Point, about: float, inset: Inset) -> tuple[Point, Point]:
    """A line from the rim of a ring to the rim of the inset."""
    a, b = np.array(at), np.array(inset.at)
    way = (b - a) / np.hypot(*(b - a))
    start, end = a + about * way, b - inset.radius * way
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))

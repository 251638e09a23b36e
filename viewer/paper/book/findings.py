"""A report as a page: every finding in words and drawn where it is, in the look of the book."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Axis, Place, Span

from ...marks.forms import form_of
from ...reports.fold import FEWEST, Fold
from ...reports.report import Report
from ...reports.style import count
from ...reports.text_report import counted, groups
from ..detail import Detail
from ..figure import FramePlot
from ..inset import Inset
from ..look import INK, QUIET, THIN, TONES
from ..section import SectionInset, in_depth
from ..sight import Seen, Sight
from ..signs import draw_form
from ..svg import Svg
from .markup import Markup, bullets, document, element
from .profile import profile
from .style import STYLE

_WIDE, _HIGH, _RADIUS = 170.0, 80.0, 35.0  # mm; the drawing of a finding, and the circle in which it is enlarged
_MOST_DRAWN = 150
"""Findings that are drawn, the first of the report; more would make a page that no phone opens."""


def findings_html(assembly: Assembly, report: Report) -> str:
    """The whole file, a newline at its end; findings that read alike are one, as in the text report."""
    drawn = _Drawings(assembly, report)
    chapters = [
        element("section", element("h2", title), *(drawn.fold(fold) for fold in folds))
        for title, folds in groups(report, FEWEST)
    ]
    return document(
        f"{assembly.name}: what does not fit",
        STYLE,
        element("p", f"{report.plan}: {counted(report)}"),
        *([element("p", f"Only the first {_MOST_DRAWN} are drawn.", class_="rule")] if drawn.most == 0 else []),
        *chapters,
        element("p", FIT_ONLY, class_="rule"),
    )


class _Drawings:
    """The findings of one report, their frames drawn once."""

    def __init__(self, assembly: Assembly, report: Report) -> None:
        self.assembly, self.report = assembly, report
        self.frames = {frame.number: frame for frame in assembly.frames}
        self.numbers = {id(finding): n for n, finding in enumerate(report.findings, start=1)}
        self.most = _MOST_DRAWN
        self._plots: dict[str, FramePlot] = {}

    def fold(self, fold: Fold) -> Markup:
        """What is said of findings that read alike, and the first of them drawn."""
        finding = fold.first
        level = "waived" if finding.waived else str(finding.level)
        head = f"{form_of(finding).sign} {level}, finding {self.numbers[id(finding)]}: {finding.check}"
        held = [each.message for each in self.report.held_by(finding)]
        return element(
            "div",
            element("p", element("b", head)),
            element("p", fold.message),
            *self._more(fold),
            *self._drawing(finding),
            *([element("details", element("summary", f"{count(len(held), 'finding')} of this"), bullets(held))]
              if held else []),
            class_="card caution" if level == "error" else "card",
        )  # fmt: skip

    def _more(self, fold: Fold) -> Iterator[Markup]:
        finding = fold.first
        if finding.waived:
            yield element("p", f"Accepted: {finding.waived}")
        elif cure := fold.cure or finding.cure:
            yield element("p", element("b", "Cure: "), f"{cure}{'' if fold.cure else ' (of the first)'}")
        if len(fold.findings) > 1:
            where = ", ".join(f"F{frame}" if frame else "the boat" for frame in fold.frames)
            yield element("p", f"{len(fold.findings)} of these: {where}.")
        if finding.source is not None:
            yield element("p", str(finding.source), class_="quiet")

    def _drawing(self, finding: Finding) -> Iterator[Markup]:
        """Where it is in its frame, and enlarged; of the whole boat where along her; nothing without a place."""
        if finding.at is None or not self.most:
            return
        self.most -= 1
        frame = self.frames.get(finding.frame)
        made = (
            profile(self.assembly, (finding, finding.at))
            if frame is None
            else self._in_frame(finding, frame, finding.at)
        )
        yield element("div", made, class_="drawing")

    def _in_frame(self, finding: Finding, frame: Frame, place: Place) -> Markup:
        plot = self._plot(frame)
        svg = Svg(_WIDE, _HIGH, title=str(finding.message), description="")
        y, v, _ = frame.placement.to_frame([place])[0].tolist()
        at = y, v
        self._where(svg, plot, finding, at)
        inset = Inset(at=(_WIDE - _RADIUS - 2.0, _RADIUS + 2.0), radius=_RADIUS)
        marks = [mark for mark in finding.evidence if mark.frame == frame.number]
        span = next((mark for mark in marks if isinstance(mark, Span)), None)
        if span is not None and in_depth(span, [mark for mark in marks if isinstance(mark, Axis)], frame):
            SectionInset(inset, finding, frame, marks, span).draw(svg)
        else:
            Detail(inset, finding, plot, marks, at).draw(svg)
        return Markup(svg.inline())

    def _plot(self, frame: Frame) -> FramePlot:
        """The frame's layers, worked out once; it is not drawn with these."""
        if frame.number not in self._plots:
            seen: Seen = "from aft" if frame.view.side < 0 else "from forward"
            sight = Sight.of((0.0, 0.0, 1.0, 1.0), (0.0, 0.0), 1.0, seen)
            empty = Svg(1.0, 1.0, title="", description="")
            self._plots[frame.number] = FramePlot(empty, frame, self.assembly, sight, seen)
        return self._plots[frame.number]

    def _where(self, svg: Svg, plot: FramePlot, finding: Finding, at: tuple[float, float]) -> None:
        """The frame small, its parts in their tones, and the finding's form about its place."""
        shapes = [layer.part.shape for layer in plot.layers] or [shapely.Point(at)]
        left, low, right, high = shapely.total_bounds([*shapes, shapely.Point(at)]).tolist()
        room = _WIDE - 2 * _RADIUS - 16.0, _HIGH - 16.0
        scale = min(room[0] / max(right - left, 1.0), room[1] / max(high - low, 1.0))
        sight = Sight.of((left, low, right, high), (4.0 + room[0] / 2, 2.0 + _RADIUS), scale, plot.seen)
        for layer in plot.layers:
            shape = sight.shape(shapely.simplify(layer.part.shape, 0.1 / scale))
            svg.shape(shape, fill=TONES[layer.part.role], stroke=INK, stroke_width=THIN)
        draw_form(svg, form_of(finding), sight.point(*at), 3.0)
        svg.words((2.0, _HIGH - 2.0), f"F{finding.frame} seen {plot.seen}", 2.5, fill=QUIET)

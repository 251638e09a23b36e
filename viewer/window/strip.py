"""The station strip: the boat's profile with a tick for each frame and a pin for each finding."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding, Level
from scrieve.shared.wording import trimmed

from ..marks.colours import INK, PAPER, STRONG
from ..marks.forms import form_of
from ..scene.looks import CHOSEN, WATER
from .paper import HELD, QUIET, RULE, paint_form, sized
from .pins import Pin, pins_of
from .profile import Line, Profile, Tick, profile_of

_EDGE = 34.0  # points left free at both ends
_HEAD = 30.0  # for the pins
_FOOT = 40.0  # for the frames' names and stations
_NAME = 42.0  # what a frame's name takes
_GRIP = 5.0  # how near to the line of the cut one takes hold of it
_REACH = 11.0  # how near to a pin a click means it
_TALL = 138


class StationStrip(QWidget):
    """Tells `frame_chosen` (number) and `finding_chosen` (place in the list) when one is clicked, and `cut_moved`
    (x, mm) while the line of the cut is dragged."""

    frame_chosen = Signal(str)
    finding_chosen = Signal(int)
    cut_moved = Signal(float)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("station strip")
        self.setAccessibleName("Station strip")
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._profile: Profile | None = None
        self._findings: tuple[Finding, ...] = ()
        self._frame = ""
        self._finding = -1
        self._cut: float | None = None
        self._pins: tuple[Pin, ...] | None = None
        self._drags = False

    def sizeHint(self) -> QSize:
        """As high as profile, pins and names want."""
        return QSize(600, _TALL)

    def show_boat(self, assembly: Assembly, findings: Sequence[Finding]) -> None:
        """Shows this boat; notes and findings without a place get no pin."""
        self._profile, self._findings = profile_of(assembly), tuple(findings)
        self._frame, self._finding, self._pins = "", -1, None
        self.update()

    def choose(self, frame: str, finding: int, cut: float | None = None) -> None:
        """Marks the frame in hand ("" for none), the finding in hand (-1 for none), and where the boat is cut."""
        if (frame, finding, cut) != (self._frame, self._finding, self._cut):
            if finding != self._finding:
                self._pins = None
            self._frame, self._finding, self._cut = frame, finding, cut
            self.update()

    def tick(self, frame: str) -> QPointF:
        """Where a frame's tick meets the datum line, in the widget's points."""
        return self._at(next(tick.station for tick in self._ticks() if tick.number == frame), 0.0)

    def pins(self) -> tuple[Pin, ...]:
        """The pins as they stand."""
        if self._pins is None:
            placed = [
                (n, self._at(finding.at[0], 0.0).x())
                for n, finding in enumerate(self._findings)
                if finding.at is not None and finding.level is not Level.NOTE
            ]
            self._pins = pins_of(placed, self.width(), selected=self._finding)
        return self._pins

    def named(self) -> set[str]:
        """The frames whose names have room, from aft; the one in hand has it before all others."""
        held = [self._at(tick.station, 0.0).x() for tick in self._ticks() if tick.number == self._frame]
        named, taken = {self._frame}, list(held)
        for tick in sorted(self._ticks(), key=lambda tick: tick.station):
            x = self._at(tick.station, 0.0).x()
            if all(abs(x - other) >= _NAME for other in taken[-1:] + held):
                named.add(tick.number)
                taken.append(x)
        return named

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The pins stand elsewhere."""
        self._pins = None
        super().resizeEvent(event)

    # ---- painting

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paints the strip."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(PAPER))
        painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(RULE))
        if self._profile is None:
            return
        self._paint_profile(painter, self._profile)
        named = self.named()
        for tick in self._profile.ticks:
            self._paint_tick(painter, tick, named=tick.number in named)
        if self._cut is not None:
            x = self._at(self._cut, 0.0).x()
            painter.setPen(QPen(QColor(CHOSEN), 1.5, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(x, _HEAD - 4), QPointF(x, self.height() - _FOOT + 4))
        for pin in self.pins():
            self._paint_pin(painter, pin)

    def _paint_profile(self, painter: QPainter, profile: Profile) -> None:
        level = self._at(0.0, 0.0).y()
        painter.setPen(QPen(QColor(WATER), 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(_EDGE / 2, level), QPointF(self.width() - _EDGE / 2, level))
        painter.setPen(QPen(QColor("#944f2e"), 1.6))
        for batten in profile.battens:
            painter.drawPolyline(self._places(batten))

    def _paint_tick(self, painter: QPainter, tick: Tick, *, named: bool) -> None:
        chosen = tick.number == self._frame
        foot = self._at(tick.station, 0.0).x()
        if chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(HELD))
            painter.drawRoundedRect(QRectF(foot - 26, self.height() - _FOOT + 2, 52, _FOOT - 5), 5, 5)
        painter.setPen(QPen(QColor(CHOSEN if chosen else INK), 4.0 if chosen else 2.2))
        painter.drawPolyline(self._places(tick.line))
        if not named:
            return
        usual = painter.font()
        painter.setPen(QColor("#12476f" if chosen else INK))
        painter.setFont(sized(usual, bold=True))
        name = painter.fontMetrics().elidedText(tick.name, Qt.TextElideMode.ElideRight, round(_NAME))
        painter.drawText(QRectF(foot - 40, self.height() - _FOOT + 4, 80, 16), Qt.AlignmentFlag.AlignCenter, name)
        painter.setPen(QColor(QUIET))
        painter.setFont(sized(usual, by=0.85))
        station = trimmed(tick.station)
        painter.drawText(QRectF(foot - 40, self.height() - _FOOT + 19, 80, 15), Qt.AlignmentFlag.AlignCenter, station)
        painter.setFont(usual)

    def _paint_pin(self, painter: QPainter, pin: Pin) -> None:
        at = QPointF(pin.x, pin.y)
        if pin.more:
            painter.setPen(QColor(INK))
            painter.setFont(sized(painter.font(), by=0.85))
            painter.drawText(QRectF(pin.x - 6, pin.y - 8, 40, 16), Qt.AlignmentFlag.AlignVCenter, f"+{pin.more}")
            painter.setFont(self.font())
            return
        finding = self._findings[pin.finding]
        held = pin.finding == self._finding
        form = form_of(finding)
        painter.setPen(QPen(QColor(form.colour), 1.2))
        painter.drawLine(at, QPointF(pin.x, _HEAD + 4))
        size = 5.5 if held else 4.2
        paint_form(painter, form, at, size)
        if held:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(STRONG), 2.0))
            painter.drawEllipse(at, size + 4, size + 4)

    # ---- the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Takes hold of the line of the cut; chooses a pin's finding, or elsewhere the nearest frame."""
        where = event.position()
        pin = self._pin_at(where)
        self._drags = pin is None and self._on_cut(where)
        if self._drags:
            return
        if pin is not None:
            self.finding_chosen.emit(pin.finding)
        elif self._ticks():
            nearest = min(self._ticks(), key=lambda tick: abs(self._at(tick.station, 0.0).x() - where.x()))
            self.frame_chosen.emit(nearest.number)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drags the cut along the boat; over it the mouse shows that one can."""
        if self._drags and event.buttons() & Qt.MouseButton.LeftButton:
            self.cut_moved.emit(self._station(event.position().x()))
        else:
            self.setCursor(
                Qt.CursorShape.SplitHCursor if self._on_cut(event.position()) else Qt.CursorShape.ArrowCursor
            )

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Lets go of the cut."""
        self._drags = False

    def _on_cut(self, where: QPointF) -> bool:
        return (
            self._cut is not None
            and abs(self._at(self._cut, 0.0).x() - where.x()) <= _GRIP
            and where.y() < self.height() - _FOOT
        )

    def event(self, event: QEvent) -> bool:
        """Says what a pin or a tick stands for when the mouse rests on it."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            where = QPointF(event.pos())
            pin = self._pin_at(where)
            words = self._finding_words(pin.finding) if pin is not None else self._frame_words(where)
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def _finding_words(self, finding: int) -> str:
        """In the form that wraps."""
        found = self._findings[finding]
        return f"<p><b>{escape(found.check)}</b> {escape(found.message)}</p>"

    def _frame_words(self, where: QPointF) -> str:
        for tick in self._ticks():
            if abs(self._at(tick.station, 0.0).x() - where.x()) < _REACH:
                return f"{tick.name}: station {trimmed(tick.station)} mm, {tick.kind}"
        return ""

    def _pin_at(self, where: QPointF) -> Pin | None:
        near = [((pin.x - where.x()) ** 2 + (pin.y - where.y()) ** 2, n) for n, pin in enumerate(self.pins())]
        distance, n = min(near, default=(float("inf"), -1))
        return self.pins()[n] if distance <= _REACH**2 else None

    # ---- where things are

    def _ticks(self) -> tuple[Tick, ...]:
        return self._profile.ticks if self._profile is not None else ()

    def _places(self, line: Line) -> list[QPointF]:
        return [self._at(x, z) for x, z in line.tolist()]

    def _station(self, across: float) -> float:
        """The x, mm, that is painted so far across; not beyond the boat."""
        x0, x1, _, _ = self._profile.span if self._profile is not None else (0.0, 1.0, 0.0, 1.0)
        return x0 + (x1 - x0) * min(max((across - _EDGE) / (self.width() - 2 * _EDGE), 0.0), 1.0)

    def _at(self, x: float, z: float) -> QPointF:
        x0, x1, z0, z1 = self._profile.span if self._profile is not None else (0.0, 1.0, 0.0, 1.0)
        across = (self.width() - 2 * _EDGE) * (x - x0) / max(x1 - x0, 1.0)
        down = (self.height() - _HEAD - _FOOT - 10) * (z1 - z) / max(z1 - z0, 1.0)
        return QPointF(_EDGE + across, _HEAD + 6 + down)

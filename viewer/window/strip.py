"""The station strip: the boat's profile with a tick for each frame and a pin for each finding."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QMouseEvent, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from scrieve.model.assembly import Assembly
from scrieve.model.frame import Frame
from scrieve.shared.findings import Finding, Level

from ..scene.looks import CHOSEN, INK, PAPER, STRONG, WATER
from .paper import HELD, QUIET, RULE, sized
from .pins import Pin, pins_of

_EDGE = 34.0  # points left free at both ends
_HEAD = 30.0  # for the pins
_FOOT = 40.0  # for the frames' names and stations
_REACH = 11.0  # how near to a pin a click means it
_TALL = 138


class StationStrip(QWidget):
    """Tells `frame_chosen` (number) and `finding_chosen` (place in the list) when one is clicked."""

    frame_chosen = Signal(str)
    finding_chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("station strip")
        self.setAccessibleName("Station strip")
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._assembly: Assembly | None = None
        self._findings: tuple[Finding, ...] = ()
        self._frame = ""
        self._finding = -1
        self._cut: float | None = None

    def sizeHint(self) -> QSize:
        """As high as profile, pins and names want."""
        return QSize(600, _TALL)

    def show_boat(self, assembly: Assembly, findings: Sequence[Finding]) -> None:
        """Shows this boat; notes and findings without a place get no pin."""
        self._assembly, self._findings = assembly, tuple(findings)
        self._frame, self._finding = "", -1
        self.update()

    def choose(self, frame: str, finding: int, cut: float | None = None) -> None:
        """Marks the frame in hand ("" for none), the finding in hand (-1 for none), and where the boat is cut."""
        if (frame, finding, cut) != (self._frame, self._finding, self._cut):
            self._frame, self._finding, self._cut = frame, finding, cut
            self.update()

    def tick(self, frame: str) -> QPointF:
        """Where a frame's tick meets the datum line, in the widget's points."""
        chosen = next(f for f in self._frames() if f.number == frame)
        return self._at(chosen.placement.station, 0.0)

    def pins(self) -> tuple[Pin, ...]:
        """The pins as they stand."""
        placed = [
            (n, self._at(finding.at[0], 0.0).x())
            for n, finding in enumerate(self._findings)
            if finding.at is not None and finding.level is not Level.NOTE
        ]
        return pins_of(placed, self.width(), in_hand=self._finding)

    # ---- painting

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paints the strip."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(PAPER))
        painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(RULE))
        if self._assembly is None:
            return
        self._paint_profile(painter)
        for frame in self._frames():
            self._paint_frame(painter, frame)
        if self._cut is not None:
            x = self._at(self._cut, 0.0).x()
            painter.setPen(QPen(QColor(CHOSEN), 1.5, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(x, _HEAD - 4), QPointF(x, self.height() - _FOOT + 4))
        for pin in self.pins():
            self._paint_pin(painter, pin)

    def _paint_profile(self, painter: QPainter) -> None:
        level = self._at(0.0, 0.0).y()
        painter.setPen(QPen(QColor(WATER), 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(_EDGE / 2, level), QPointF(self.width() - _EDGE / 2, level))
        painter.setPen(QPen(QColor("#944f2e"), 1.6))
        for batten in () if self._assembly is None else self._assembly.battens:
            if batten.side == "starboard":
                continue
            x = np.linspace(batten.centres[0, 0], batten.centres[-1, 0], 60)
            line = QPainterPath()
            for n, (px, _, pz) in enumerate(batten.centre(x)):
                place = self._at(float(px), float(pz))
                if n:
                    line.lineTo(place)
                else:
                    line.moveTo(place)
            painter.drawPath(line)

    def _paint_frame(self, painter: QPainter, frame: Frame) -> None:
        chosen = frame.number == self._frame
        foot = self._at(frame.placement.station, 0.0).x()
        if chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(HELD))
            painter.drawRoundedRect(QRectF(foot - 26, self.height() - _FOOT + 2, 52, _FOOT - 5), 5, 5)
        painter.setPen(QPen(QColor(CHOSEN if chosen else INK), 4.0 if chosen else 2.2))
        low, high = (frame.placement.point(0.0, v) for v in _heights(frame))
        painter.drawLine(self._at(low[0], low[2]), self._at(high[0], high[2]))
        usual = painter.font()
        painter.setPen(QColor("#12476f" if chosen else INK))
        painter.setFont(sized(usual, bold=True))
        painter.drawText(QRectF(foot - 40, self.height() - _FOOT + 4, 80, 16), Qt.AlignmentFlag.AlignCenter, frame.name)
        painter.setPen(QColor(QUIET))
        painter.setFont(sized(usual, by=0.85))
        station = f"{frame.placement.station:.0f}"
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
        strong = finding.level is Level.ERROR and not finding.waived
        colour = QColor(STRONG if strong else INK)
        painter.setPen(QPen(colour, 1.2))
        painter.drawLine(at, QPointF(pin.x, _HEAD + 4))
        painter.setBrush(colour if strong else QColor(PAPER))
        size = 5.5 if held else 4.2
        if strong:
            painter.drawEllipse(at, size, size)
        else:  # another form as well as another colour
            corners = [(0.0, -size), (size, size * 0.8), (-size, size * 0.8)]
            painter.drawPolygon(QPolygonF([QPointF(pin.x + dx, pin.y + dy) for dx, dy in corners]))
        if held:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(STRONG), 2.0))
            painter.drawEllipse(at, size + 4, size + 4)

    # ---- the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click on a pin chooses its finding, elsewhere the nearest frame."""
        where = event.position()
        pin = self._pin_at(where)
        if pin is not None:
            self.finding_chosen.emit(pin.finding)
        elif self._frames():
            nearest = min(self._frames(), key=lambda f: abs(self._at(f.placement.station, 0.0).x() - where.x()))
            self.frame_chosen.emit(nearest.number)

    def event(self, event: QEvent) -> bool:
        """Says what a pin or a tick stands for when the mouse rests on it."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            where = QPointF(event.pos())
            pin = self._pin_at(where)
            words = self._findings[pin.finding].message if pin is not None else self._frame_words(where)
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def _frame_words(self, where: QPointF) -> str:
        for frame in self._frames():
            if abs(self._at(frame.placement.station, 0.0).x() - where.x()) < _REACH:
                return f"{frame.name}: station {frame.placement.station:g} mm, {frame.kind}"
        return ""

    def _pin_at(self, where: QPointF) -> Pin | None:
        near = [((pin.x - where.x()) ** 2 + (pin.y - where.y()) ** 2, n) for n, pin in enumerate(self.pins())]
        distance, n = min(near, default=(float("inf"), -1))
        return self.pins()[n] if distance <= _REACH**2 else None

    # ---- where things are

    def _frames(self) -> tuple[Frame, ...]:
        return self._assembly.frames if self._assembly is not None else ()

    def _span(self) -> tuple[float, float, float, float]:
        """Least and greatest x, least and greatest z of what is painted, mm."""
        stations = [frame.placement.station for frame in self._frames()] or [0.0]
        heights = [v for frame in self._frames() for v in _heights(frame)] or [0.0]
        battens = () if self._assembly is None else self._assembly.battens
        xs = [*stations, *(float(x) for batten in battens for x in batten.centres[[0, -1], 0])]
        return min(xs), max(xs), min(0.0, *heights), max(1.0, *heights)

    def _at(self, x: float, z: float) -> QPointF:
        x0, x1, z0, z1 = self._span()
        across = (self.width() - 2 * _EDGE) * (x - x0) / max(x1 - x0, 1.0)
        down = (self.height() - _HEAD - _FOOT - 10) * (z1 - z) / max(z1 - z0, 1.0)
        return QPointF(_EDGE + across, _HEAD + 6 + down)


def _heights(frame: Frame) -> tuple[float, float]:
    """From where to where the core of a frame reaches along its v, mm."""
    reach = [v for part in frame.core for v in (part.shape.bounds[1], part.shape.bounds[3])]
    return (min(reach), max(reach)) if reach else (0.0, 0.0)

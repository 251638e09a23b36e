"""The mouse over the picture: drag to go round, with the right button to slide, wheel to near, click to take."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from .camera import Camera

_STILL = 4.0
"""points that the mouse may move in a click."""

_TURN = np.radians(220.0)
"""for a drag over the height of the picture."""

_NOTCH = 0.85
"""how much nearer one notch of the wheel goes."""


class Mouse(QObject):
    """Watches the mouse over a widget, and keeps all of it from the widget itself.

    `clicked` and `hovered` hand over the place in the widget's points; `dragging` is told when a drag begins
    and ends.
    """

    clicked = Signal(QPointF)
    hovered = Signal(QPointF)
    dragging = Signal(bool)
    wheeled = Signal(QPointF, float)

    def __init__(self, widget: QWidget, camera: Camera) -> None:
        super().__init__(widget)
        self.widget, self.camera = widget, camera
        self._pressed: QPointF | None = None
        self._last = QPointF()
        self._button = Qt.MouseButton.NoButton
        self._drags = False
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Takes what concerns the mouse; the rest goes its way."""
        kind = event.type()
        if isinstance(event, QWheelEvent):
            self.wheeled.emit(event.position(), _NOTCH ** (event.angleDelta().y() / 120.0))
            return True
        if not isinstance(event, QMouseEvent):
            # what keys and gestures would do by themselves is not ours
            return kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.Enter, QEvent.Type.Leave)
        if kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick):
            self._pressed = self._last = event.position()
            self._button = event.button()
        elif kind == QEvent.Type.MouseMove:
            self._move(event)
        elif kind == QEvent.Type.MouseButtonRelease:
            self._release(event)
        return True

    def _move(self, event: QMouseEvent) -> None:
        here = event.position()
        if self._pressed is None:
            self.hovered.emit(here)
            return
        if not self._drags:
            off = here - self._pressed
            if abs(off.x()) + abs(off.y()) <= _STILL:
                return
            self._drags = True
            self.dragging.emit(True)
        across, down = here.x() - self._last.x(), here.y() - self._last.y()
        self._last = here
        tall = max(1, self.widget.height())
        if self._button == Qt.MouseButton.LeftButton and not event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.camera.turn(-across / tall * _TURN, down / tall * _TURN)
        else:
            self.camera.slide(-across / tall, down / tall)

    def _release(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            return
        drags, self._drags, self._pressed = self._drags, False, None
        if drags:
            self.dragging.emit(False)
        elif self._button == Qt.MouseButton.LeftButton:
            self.clicked.emit(event.position())

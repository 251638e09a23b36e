"""Widgets that use keys themselves while they have the focus, though the window has deeds on the same keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

SLIDING = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End,
    Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
)  # fmt: skip
PRESSING = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class _Keeper(QObject):
    def __init__(self, widget: QWidget, keys: tuple[Qt.Key, ...]) -> None:
        super().__init__(widget)
        self._keys = keys
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() in self._keys
            and event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
        ):
            event.accept()
            return True
        return False


def keep_keys(widget: QWidget, keys: tuple[Qt.Key, ...]) -> None:
    """Lets `widget` have these keys while it has the focus."""
    _Keeper(widget, keys)

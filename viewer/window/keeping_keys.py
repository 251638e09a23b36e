"""Widgets that use keys themselves while they have the focus, though the window has actions on the same keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

SLIDING = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End,
    Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
)  # fmt: skip
LISTING = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
)  # fmt: skip
PRESSING = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)
READING = (*LISTING, Qt.Key.Key_Return, Qt.Key.Key_Enter)
"""Texts with links: scrolling, and following the link that has the focus."""

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class _Keeper(QObject):
    def __init__(self, widget: QWidget, keys: tuple[Qt.Key, ...]) -> None:
        super().__init__(widget)
        self._keys = keys
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            not isinstance(event, QKeyEvent)
            or event.key() not in self._keys
            or event.modifiers() not in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
        ):
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        if event.type() == QEvent.Type.KeyPress and event.key() in _ENTER and isinstance(watched, QAbstractButton):
            watched.click()  # by itself a button is pressed by Space alone
            return True
        return False


def keep_keys(widget: QWidget, keys: tuple[Qt.Key, ...]) -> None:
    """Lets `widget` have these keys while it has the focus; Return, if it is one of them, presses a button."""
    _Keeper(widget, keys)

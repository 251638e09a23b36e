"""A list whose lines wrap: each is as high as its words want at whatever width the list has."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QListWidget, QStyledItemDelegate

from .keeping_keys import LISTING, keep_keys


class WrappedList(QListWidget):
    """Lays its lines out anew whenever its width changes; by itself Qt does so only for some changes of size.

    `name` is the widget's, `title` what a screen reader says of it, `lines` paints a line and says how high it is.
    """

    def __init__(self, name: str, title: str, lines: QStyledItemDelegate) -> None:
        super().__init__()
        self.setObjectName(name)
        self.setAccessibleName(title)
        lines.setParent(self)
        self.setItemDelegate(lines)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._laid_out = -1
        keep_keys(self, LISTING)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The line in hand, where it was seen, is seen after it too."""
        current = self.currentIndex()
        seen = current.isValid() and QRect(QPoint(0, 0), event.oldSize()).intersects(self.visualRect(current))
        super().resizeEvent(event)
        if self.viewport().width() != self._laid_out:
            self._laid_out = self.viewport().width()
            self.scheduleDelayedItemsLayout()  # done before the next painting, once for many changes
        if seen:
            self.scrollTo(current)

"""The page of keys, made from the table of actions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from itertools import groupby

from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from .actions import ACTIONS, Action
from .paper import QUIET, available

_WIDE = 860
_HEADING = 1.6  # lines that a heading takes
_FOLDED = 1.6  # lines that one of the mouse takes

MOUSE = (
    ("Drag", "go round the boat"),
    ("Drag with the right or middle button, or with Shift", "slide"),
    ("Wheel", "nearer to what is under the mouse, or further off"),
    ("Click on a part, a screw, a batten", "its card"),
    ("Click on a mark or a pin", "the finding, close up"),
    ("Click on the station strip", "that frame in hand"),
    ("Drag the line of the cut on the strip", "cut elsewhere"),
)


class KeysPage(QDialog):
    """All actions with their keys, in the order of the menus, and what the mouse does."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys and mouse")
        self.text = QTextBrowser()
        self.text.setHtml(keys_words())
        self._box = box = QVBoxLayout(self)
        box.addWidget(self.text)
        self._buttons = buttons = QDialogButtonBox()
        buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.rejected.connect(self.reject)
        box.addWidget(buttons)

    def showEvent(self, event: QShowEvent) -> None:
        """Fits it to its words, which have their fonts only now."""
        self._fit()
        super().showEvent(event)

    def _fit(self) -> None:
        """As large as its words, or as the screen where that is smaller; then it scrolls."""
        room = available(self)
        wide = min(_WIDE, room.width())
        margins = self._box.contentsMargins()
        document = self.text.document()
        document.setTextWidth(wide - margins.left() - margins.right())
        words = math.ceil(document.size().height())
        tall = margins.top() + words + self._box.spacing() + self._buttons.sizeHint().height() + margins.bottom()
        self.resize(wide, min(tall, room.height()))

    def paintEvent(self, event: QPaintEvent) -> None:
        """A rule round it, for desktops that draw no border."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(QColor(QUIET))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))


def keys_words() -> str:
    """The page as HTML, in two columns of about the same length."""
    groups = [(name, list(actions)) for name, actions in groupby(ACTIONS, key=lambda action: action.group)]
    tables = [_table(name, [(each.words.rstrip("…"), key_words(each)) for each in own]) for name, own in groups]
    tables.append(_table("Mouse", MOUSE, wide=True))
    lines = [len(actions) + _HEADING for _, actions in groups] + [_FOLDED * len(MOUSE) + _HEADING]
    half = min(range(len(tables)), key=lambda n: max(sum(lines[:n]), sum(lines[n:])))
    left, right = "".join(tables[:half]), "".join(tables[half:])
    return (
        f'<table width="100%" cellspacing="0"><tr><td width="48%" valign="top">{left}</td>'
        f'<td width="4%"></td><td width="48%" valign="top">{right}</td></tr></table>'
    )


def key_words(action: Action) -> str:
    """ "Shift+N or P"."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(dict.fromkeys(QKeySequence(key).toString(native) for key in action.keys))


def _table(name: str, pairs: Sequence[tuple[str, str]], *, wide: bool = False) -> str:
    rows = "".join(
        f'<tr><td style="padding:2px 10px 2px 0" width="{"46" if wide else "60"}%">{escape(words)}</td>'
        f'<td style="padding:2px 0; color:{QUIET}" align="{"left" if wide else "right"}">{escape(keys)}</td></tr>'
        for words, keys in pairs
    )
    return f'<p style="margin:12px 0 4px 0"><b>{escape(name)}</b></p><table width="100%" cellspacing="0">{rows}</table>'

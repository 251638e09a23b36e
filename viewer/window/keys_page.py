"""The page of keys, made from the table of deeds."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from itertools import groupby

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from .deeds import DEEDS, Deed
from .paper import QUIET

MOUSE = (
    ("Drag", "go round the boat"),
    ("Drag with the right or middle button, or with Shift", "slide"),
    ("Wheel", "nearer to what is under the mouse, or further off"),
    ("Click on a part, a screw, a batten", "its card"),
    ("Click on a mark or a pin", "the finding, close up"),
    ("Click on the station strip", "that frame in hand"),
)


class KeysPage(QDialog):
    """All deeds with their keys, in the order of the menus, and what the mouse does."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys and mouse")
        self.text = QTextBrowser()
        self.text.setHtml(keys_words())
        box = QVBoxLayout(self)
        box.addWidget(self.text)
        buttons = QDialogButtonBox()
        buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.rejected.connect(self.reject)
        box.addWidget(buttons)
        room = self.screen().availableSize()
        self.resize(min(860, room.width()), min(760, room.height()))


def keys_words() -> str:
    """The page as HTML, in two columns."""
    groups = [_group(name, list(deeds)) for name, deeds in groupby(DEEDS, key=lambda deed: deed.group)]
    groups.append(_table("Mouse", MOUSE, wide=True))
    half = (len(groups) + 1) // 2 - 1
    left, right = "".join(groups[:half]), "".join(groups[half:])
    return (
        f'<table width="100%" cellspacing="0"><tr><td width="48%" valign="top">{left}</td>'
        f'<td width="4%"></td><td width="48%" valign="top">{right}</td></tr></table>'
    )


def key_words(deed: Deed) -> str:
    """ "Shift+N or P"."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(dict.fromkeys(QKeySequence(key).toString(native) for key in deed.keys))


def _group(name: str, deeds: list[Deed]) -> str:
    return _table(name, [(deed.words.rstrip("…"), key_words(deed)) for deed in deeds])


def _table(name: str, pairs: Sequence[tuple[str, str]], *, wide: bool = False) -> str:
    rows = "".join(
        f'<tr><td style="padding:2px 10px 2px 0" width="{"46" if wide else "60"}%">{escape(words)}</td>'
        f'<td style="padding:2px 0; color:{QUIET}" align="{"left" if wide else "right"}">{escape(keys)}</td></tr>'
        for words, keys in pairs
    )
    return f'<p style="margin:12px 0 4px 0"><b>{escape(name)}</b></p><table width="100%" cellspacing="0">{rows}</table>'

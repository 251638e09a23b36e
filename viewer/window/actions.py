"""Everything that can be done in the window: name, key and words, in one table; and the page of keys made from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import groupby

from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do. `name` is the method that does it, of whoever does what is in its `group`.

    `keys` are as Qt writes them.
    """

    name: str
    group: str
    words: str
    keys: tuple[str, ...]
    stays: bool = False
    """Whether it is switched on and off."""


def _action(group: str, name: str, words: str, *keys: str, stays: bool = False) -> Action:
    return Action(name=name, group=group, words=words, keys=keys, stays=stays)


ACTIONS = (
    _action("Boat", "read_again", "Read the plan again", "F5", "Ctrl+R"),
    _action("Boat", "save_picture", "Save a picture…", "Ctrl+S"),
    _action("Boat", "leave", "Close", "Ctrl+Q"),
    _action("Look from", "look_quarter", "Port quarter", "1"),
    _action("Look from", "look_bow", "Port bow", "2"),
    _action("Look from", "look_starboard_quarter", "Starboard quarter", "Ctrl+1"),
    _action("Look from", "look_starboard_bow", "Starboard bow", "Ctrl+2"),
    _action("Look from", "look_port", "Port", "3"),
    _action("Look from", "look_starboard", "Starboard", "4"),
    _action("Look from", "look_aft", "Aft, looking forward", "5"),
    _action("Look from", "look_forward", "Forward, looking aft", "6"),
    _action("Look from", "look_above", "Above", "7"),
    _action("Look from", "look_below", "Below", "8"),
    _action("Look from", "whole_boat", "The whole boat", "0", "Home"),
    _action("Look from", "look_at_hand", "What is in hand", "Z"),
    _action("Look from", "come_closer", "Closer", "+", "="),
    _action("Look from", "go_further", "Further off", "-"),
    _action("Look from", "go_left", "Go round to the left", "Shift+Left"),
    _action("Look from", "go_right", "Go round to the right", "Shift+Right"),
    _action("Look from", "go_higher", "Go higher", "Shift+Up"),
    _action("Look from", "go_lower", "Go lower", "Shift+Down"),
    _action("Look from", "slide_left", "Slide to the left", "Ctrl+Left"),
    _action("Look from", "slide_right", "Slide to the right", "Ctrl+Right"),
    _action("Look from", "slide_up", "Slide up", "Ctrl+Up"),
    _action("Look from", "slide_down", "Slide down", "Ctrl+Down"),
    _action("Frame", "next_frame", "Next frame forward", "Right"),
    _action("Frame", "previous_frame", "Next frame aft", "Left"),
    _action("Frame", "fade_others", "Fade the others", "F", stays=True),
    _action("Frame", "only_frame", "This frame only", "O", stays=True),
    _action("Frame", "next_part", "Next part of it", "PgDown"),
    _action("Frame", "previous_part", "Part before", "PgUp"),
    _action("Show", "spread", "Spread", "S", stays=True),
    _action("Show", "cut", "Cut open", "C", stays=True),
    _action("Show", "cut_forward", "Cut further forward", "]"),
    _action("Show", "cut_aft", "Cut further aft", "["),
    _action("Show", "turn_cut", "Keep the other side", "X"),
    _action("Show", "measure", "Measure", "M", stays=True),
    _action("Show", "label", "Labels", "L", stays=True),
    _action("Show", "take_middle", "Take what is in the middle", "Return", "Enter"),
    _action("Show", "let_go", "Let go", "Esc"),
    _action("Findings", "next_finding", "Next finding", "N"),
    _action("Findings", "previous_finding", "Finding before", "Shift+N", "P"),
    _action("Build order", "play", "Play", "Space", stays=True),
    _action("Build order", "next_step", "Next step", "."),
    _action("Build order", "previous_step", "Step before", ","),
    _action("Build order", "finished_boat", "The finished boat", "B"),
    _action("Go to", "go_to_findings", "The findings", "F2"),
    _action("Go to", "go_to_steps", "The build order", "F3"),
    _action("Go to", "go_to_picture", "The picture", "F4"),
    _action("Help", "list_keys", "Keys and mouse", "F1", "?"),
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

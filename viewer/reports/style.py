"""How text is laid out: width and colour, decided once, used by every text writer."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from scrieve.shared.findings import Level
from scrieve.shared.plain_text import plain as plain

_SIGNS = {
    Level.ERROR: "\x1b[1;31m",
    Level.WARNING: "\x1b[33m",
    Level.NOTE: "\x1b[36m",
    "strong": "\x1b[1m",
    "quiet": "\x1b[2m",
}
_PLAIN = "\x1b[0m"


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """`width` in columns to wrap at, None for one line a sentence (as in pipes and files); colour or none."""

    width: int | None = None
    colour: bool = False

    def paint(self, text: str, sign: str) -> str:
        """The text in the colour of a level, `strong` or `quiet`; untouched where there is no colour."""
        if not self.colour or not text or sign not in _SIGNS:
            return text
        return f"{_SIGNS[sign]}{text}{_PLAIN}"

    def lines(self, text: str, *, first: str = "", rest: str | None = None, sign: str = "") -> list[str]:
        """The text after `first`, wrapped, further lines after `rest` (default: as far in as `first`).

        Only the text is painted. Long words are never broken, so that a name can be searched for.
        """
        hang = " " * len(first) if rest is None else rest
        if self.width is None:
            pieces = [text]
        else:
            room = max(self.width - max(len(first), len(hang)), 20)
            pieces = textwrap.wrap(text, room, break_long_words=False, break_on_hyphens=False) or [""]
        return [(first if i == 0 else hang) + self.paint(piece, sign) for i, piece in enumerate(pieces)]


def count(number: int, noun: str) -> str:
    """ "1 frame", "7 frames", "no frames"."""
    return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"

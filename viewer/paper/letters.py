"""How wide words are, without the font: enough to keep them from running into one another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

HEIGHT = 0.72
"""of the size: a capital letter above its line."""

LINE = 1.35
"""of the size: from line to line."""

_ROOM = 1.16  # how much wider than Helvetica the widest font is that a reader may put in its place (DejaVu Sans)

# Widths in thousandths of the size, from memory of the published metrics of Helvetica (Adobe Core 14).
_BY_WIDTH: Mapping[int, str] = MappingProxyType(
    {
        191: "'",
        222: "ijl",
        260: "|",
        278: " !,./:;I[\\]ft",
        333: "()-`r",
        334: "{}",
        355: '"',
        389: "*",
        400: "°",
        469: "^",
        500: "Jckszvxy",
        556: "#$0123456789?L_abdeghnopqu",
        584: "+<=>~±×",
        611: "FTZ",
        667: "&ABEKPSVXY",
        722: "CDHNRUw",
        778: "GOQ",
        833: "Mm",
        889: "%",
        944: "W",
        1015: "@",
    }
)
_WIDTHS = {letter: width / 1000 for width, letters in _BY_WIDTH.items() for letter in letters}
_WIDEST = 1.0


def width(words: str, size: float) -> float:
    """mm, at most, that words of this size take; letters that are not known count as square."""
    return _ROOM * size * sum(_WIDTHS.get(letter, _WIDEST) for letter in words)


def size_of(words: str, size: float) -> tuple[float, float]:
    """mm: how wide and how high a box has to be for words of this size."""
    return width(words, size), HEIGHT * size


def wrapped(words: str, size: float, room: float) -> list[str]:
    """The words in lines no wider than `room` mm; one that is too wide by itself has a line of its own."""
    return lines_of(words, size, room, width)


def lines_of(words: str, size: float, room: float, wide: Callable[[str, float], float]) -> list[str]:
    """The words in lines that `wide` says are no wider than `room`, but for single words that are."""
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and wide(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def first_words(words: Sequence[str]) -> str:
    """The words that several names begin with, in common: "port leg" of "port leg inner" and "port leg outer"."""
    split = [name.split() for name in words]
    common = []
    for group in zip(*split, strict=False):
        if len(set(group)) > 1:
            break
        common.append(group[0])
    return " ".join(common) or words[0]

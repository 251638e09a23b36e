"""Words along the edge of a picture: what it is, and what is to be known of it."""

from __future__ import annotations

from collections.abc import Sequence

from ..flat.letters import LINE
from ..scene.looks import INK, PAPER, QUIET
from ..style import plain
from .canvas import Canvas, cut_short, wrapped

_TITLE = 1.45  # times common words
_EDGE = 1.6  # times common words, from the edge of the picture
_MOST = 4  # lines below a title


def caption(canvas: Canvas, title: str, lines: Sequence[str], size: float, *, width: float = 1.0) -> None:
    """A title and what goes with it at the lower left, in so much of the picture's width."""
    room = canvas.width * width - 2 * _EDGE * size
    rows = _rows(lines, size, room)
    y = canvas.height - _EDGE * size - len(rows) * LINE * size
    for words in _titles(title, size, room)[::-1]:
        canvas.words((_EDGE * size, y), words, _TITLE * size, INK, bold=True, halo=PAPER)
        y -= 1.25 * _TITLE * size
    y = canvas.height - _EDGE * size - (len(rows) - 1) * LINE * size
    for n, words in enumerate(rows):
        canvas.words((_EDGE * size, y + n * LINE * size), words, size, QUIET, halo=PAPER)


def height(title: str, lines: Sequence[str], size: float, canvas_width: float, *, width: float = 1.0) -> float:
    """points that the caption takes from the lower edge up."""
    room = canvas_width * width - 2 * _EDGE * size
    titles = len(_titles(title, size, room))
    return _EDGE * size + len(_rows(lines, size, room)) * LINE * size + titles * 1.25 * _TITLE * size + 0.6 * size


def _titles(title: str, size: float, room: float) -> list[str]:
    rows = wrapped(plain(title), _TITLE * size, room, bold=True)
    return rows if len(rows) <= 2 else [rows[0], cut_short(" ".join(rows[1:]), _TITLE * size, room, bold=True)]


def _rows(lines: Sequence[str], size: float, room: float) -> list[str]:
    rows = [row for line in lines for row in wrapped(plain(line), size, room)]
    return rows if len(rows) <= _MOST else [*rows[: _MOST - 1], cut_short(f"{rows[_MOST - 1]} …", size, room)]

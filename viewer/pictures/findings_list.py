"""Findings in a picture: forms about their places, and the list of their numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.geometry.plane import disc
from scrieve.shared.findings import Finding, Level

from ..marks.colours import INK, PAPER, QUIET
from ..marks.forms import badge_colour, worst_form
from ..marks.placing import Places, Point, around, together
from ..paper.letters import LINE
from ..reports.style import count, plain
from .canvas import Canvas, wide, wrapped
from .captions import sizes
from .subject import brief

LIST = 0.27
"""of the picture's width, for the list of findings, at least."""

_WIDEST = 0.45  # of the picture's width; then words are smaller, and at last they wrap
_HEAD = 6.0  # times common words, above and below the rows of the list
_PAST = 1.6  # times common words, from the list to the edge of the picture

_ROW = (1.3, 1.75)  # times common words, from row to row of the list: at least, at most
_NEAR = 0.55  # times common words; findings this close in the picture share a ring
_CLEAR = 0.2  # times common words, between numbers and anything else

Numbered = tuple[int, Finding]


def rings(
    canvas: Canvas,
    shown: Sequence[Numbered],
    places: Sequence[Point],
    size: float,
    taken: Sequence[shapely.Polygon],
    *,
    share: float,
) -> None:
    """The form of its finding about each place, and its number beside it, clear of the boxes that are `taken`.

    The list has that `share` of the width.
    """
    groups = together(places, shown, _NEAR * size)
    radius, clear = 0.75 * size, _CLEAR * size
    room = Places(page=shapely.box(0, 0, canvas.width * (1 - share), canvas.height), clear=clear)
    room.take(*taken, *(disc(at, 2 * radius) for at, _ in groups))
    for at, group in groups:
        canvas.mark(worst_form([finding for _, finding in group]), at, radius, 0.17 * size)
    badges: list[tuple[Point, str, str]] = []
    for at, group in groups:
        words = ", ".join(str(number) for number, _ in group)
        pill = wide(words, 0.85 * size, bold=True) + 1.2 * size, 1.5 * size
        gaps = [radius + clear + far * size for far in (0.0, 0.6, 1.1, 2.0, 3.0)]
        middle = room.first_or_best(around(pill, at, gaps)).middle
        colour = worst_form([finding for _, finding in group]).colour
        badges.append((middle, words, colour))
        way = np.subtract(middle, at)
        far = float(np.hypot(*way))
        if far > radius + pill[0] / 2 + size:
            start = np.array(at) + way / far * radius
            canvas.line([(float(start[0]), float(start[1])), middle], colour, 0.1 * size, halo=PAPER)
    for middle, words, colour in badges:
        canvas.badge(middle, words, 0.85 * size, colour)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """What the numbers stand for, down the right-hand side: words `size` points large, in that `share` of the width.

    `starts` are the beginnings of the frames' names and of the words, points from the left of the list.
    """

    shown: Sequence[Numbered]
    size: float
    share: float
    starts: tuple[float, float]

    def draw(self, canvas: Canvas) -> None:
        """Writes it; below what there is room for how many there are more."""
        if not self.shown:
            return
        size, left = self.size, canvas.width * (1 - self.share) + self.size
        y = 2.6 * size
        errors = sum(finding.level is Level.ERROR for _, finding in self.shown)
        said = [count(errors, "error")] if errors else []
        said += [count(len(self.shown) - errors, "warning")] if len(self.shown) > errors else []
        for words in wrapped(", ".join(said), 1.2 * size, canvas.width - left - _PAST * size, bold=True):
            canvas.words((left, y), words, 1.2 * size, INK, bold=True)
            y += 1.2 * LINE * size
        y += 0.7 * size
        room = canvas.width - left - self.starts[1] - _PAST * size
        told = [wrapped(brief(finding), size, room) for _, finding in self.shown]
        more = LINE * size * sum(len(rows) - 1 for rows in told)  # lines that go on
        free = canvas.height - y - 1.5 * size
        row = max(_ROW[0], min(_ROW[1], (free - more) / size / len(told))) * size
        ends: NDArray[np.float64] = np.cumsum([row + LINE * size * (len(rows) - 1) for rows in told])
        most = int(np.searchsorted(ends, free + row, side="right"))
        most = most if most == len(told) else max(most - 1, 0)
        pill = min(0.85, 0.56 * row / size) * size
        for (number, finding), rows in list(zip(self.shown, told, strict=True))[:most]:
            canvas.badge(
                (left + self.starts[0] / 2 - 0.3 * size, y - 0.36 * size), str(number), pill, badge_colour(finding)
            )
            canvas.words((left + self.starts[0], y), _frame(finding), size, INK, bold=True)
            for n, words in enumerate(rows):
                canvas.words((left + self.starts[1], y + n * LINE * size), words, size, INK)
            y += row + LINE * size * (len(rows) - 1)
        if most < len(told):
            canvas.words((left, y), f"and {len(told) - most} more", size, QUIET)


def listing(shown: Sequence[Numbered], picture: tuple[int, int]) -> Listing:
    """The list for a picture of this size: as wide as its words are, within limits; of no width for nothing."""
    if not shown:
        return Listing(shown=shown, size=0.0, share=0.0, starts=(0.0, 0.0))
    for size in sizes(picture):
        badges = max(wide(str(number), 0.85 * size, bold=True) for number, _ in shown) + 1.5 * size
        frames = max(wide(_frame(finding), size, bold=True) for _, finding in shown) + 0.8 * size
        words = max(wide(brief(finding), size) for _, finding in shown)
        share = (size + badges + frames + words + _PAST * size) / picture[0]
        if share <= _WIDEST and (_HEAD + _ROW[0] * len(shown)) * size <= picture[1]:
            break
    return Listing(shown=shown, size=size, share=max(LIST, min(share, _WIDEST)), starts=(badges, badges + frames))


def _frame(finding: Finding) -> str:
    return f"F{plain(finding.frame)}" if finding.frame else ""

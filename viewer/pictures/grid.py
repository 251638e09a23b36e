"""How many small pictures go onto a page side by side, and how large they are."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

from ..flat.letters import LINE

WIDTH = 2400
"""points; how wide a page is, if no other size is asked for."""

LEAST = 100
"""points; a small picture is not made narrower."""

LINES = 3
"""of words below each small picture."""

_TALL = 0.68  # height of a small picture, of its width
_GAP = 0.03  # of the width of a small picture, to each side of it
_HEAD = 5.0  # times the words, above all pictures
_BELOW = LINES * LINE + 1.4  # times the words, below each picture
_MOST = 12  # small pictures in a row, where no size is asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Pictures of `cell` (width, height) points in `columns` on a `page`; words are `size` points large."""

    columns: int
    cell: tuple[int, int]
    size: float
    page: tuple[int, int]

    @property
    def head(self) -> float:
        """points above the first row."""
        return _HEAD * self.size

    @property
    def row(self) -> float:
        """points from row to row."""
        return self.cell[1] + _BELOW * self.size

    @property
    def step(self) -> float:
        """points from picture to picture."""
        return self.page[0] / self.columns


def grid_of(count: int, size: tuple[int, int] | None) -> Grid | None:
    """The grid for so many pictures, on a page of this size with the largest pictures; None where they get too small.

    Without a size the page is as high as it has to be.
    """
    if size is None:
        columns = min(_MOST, max(2, round(sqrt(0.8 * count))))
        cell = int(WIDTH / columns * (1 - 2 * _GAP))
        free = _grid(columns, cell, (WIDTH, 0))
        high = round(free.head + ceil(count / columns) * free.row + free.size)
        return _grid(columns, cell, (WIDTH, high))
    best = max((_fitted(columns, count, size) for columns in range(1, count + 1)), key=lambda grid: grid.cell[0])
    return best if best.cell[0] >= LEAST else None


def _fitted(columns: int, count: int, page: tuple[int, int]) -> Grid:
    """The grid of so many columns on a page, its pictures no larger than they can be."""
    cell = int(page[0] / columns * (1 - 2 * _GAP))
    words = _words(cell)
    high = (page[1] - _HEAD * words) / ceil(count / columns) - _BELOW * words
    return _grid(columns, min(cell, int(high / _TALL)), page)


def _grid(columns: int, cell: int, page: tuple[int, int]) -> Grid:
    return Grid(columns=columns, cell=(cell, int(cell * _TALL)), size=_words(cell), page=page)


def _words(cell: int) -> float:
    """points; the size of words below a picture so wide."""
    return max(9.0, min(cell / 24, 15.0))

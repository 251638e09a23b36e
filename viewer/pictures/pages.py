"""A page of many small pictures: all steps of the build, or all findings, numbered and titled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt

from PIL import Image

from ..marks.colours import INK, PAPER, QUIET
from ..paper.letters import LINE
from ..reports.style import plain
from ..scene.looks import RULE
from .canvas import Canvas, wide, wrapped

WIDTH = 2400
"""points; how wide a page is, if no other size is asked for."""

LEAST = 64
"""points; a small picture is not made narrower."""

_TALL = 0.68  # height of a small picture, of its width
_GAP = 0.03  # of the width of a small picture, to each side of it
_HEAD = 5.0  # times the words, above all pictures
_BELOW = 1.4  # times the words, below each picture besides the lines of its title
_SMALLEST = 9.0  # points; words
_MOST = 12  # small pictures in a row, where no size is asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Pictures of `cell` (width, height) points in `columns` on a `page`; words are `size` points large.

    `titles` are the lines below each picture, which begin `beside` points from its left edge.
    """

    columns: int
    cell: tuple[int, int]
    size: float
    page: tuple[int, int]
    beside: float
    titles: tuple[tuple[str, ...], ...]

    @property
    def step(self) -> float:
        """points from picture to picture."""
        return self.page[0] / self.columns

    def place(self, n: int) -> tuple[float, float]:
        """Where the left upper corner of a picture is, points; each row is as high as its titles need."""
        rows = n // self.columns
        lines = sum(
            max(map(len, self.titles[row * self.columns : (row + 1) * self.columns]), default=0) for row in range(rows)
        )
        top = rows * (self.cell[1] + _BELOW * self.size) + (_HEAD + LINE * lines) * self.size
        return self.step * (n % self.columns + _GAP), top

    @property
    def height(self) -> float:
        """points from the top of the page to the end of what is below the last row."""
        return self.place(self.columns * ceil(len(self.titles) / self.columns))[1]


def grid_of(numbered: Sequence[tuple[int, str]], size: tuple[int, int] | None) -> Grid | None:
    """The grid for pictures of these numbers and titles, the largest that there is room for on a page of this size.

    None where they get too small. Without a size the page is as high as it has to be.
    """
    count = len(numbered)
    if size is None:
        columns = min(_MOST, max(2, round(sqrt(0.8 * count))))
        cell = int(WIDTH / columns * (1 - 2 * _GAP))
        made = _grid(numbered, columns, cell, (WIDTH, 0))
        return _grid(numbered, columns, cell, (WIDTH, round(made.height + made.size)))
    fitted = (_grid(numbered, columns, None, size) for columns in range(1, min(count, size[0] // LEAST) + 1))
    best = max(fitted, key=lambda grid: grid.cell[0], default=None)
    return best if best is not None and best.cell[0] >= LEAST else None


def _grid(numbered: Sequence[tuple[int, str]], columns: int, cell: int | None, page: tuple[int, int]) -> Grid:
    """The grid with pictures of this width, or for None with the largest for which the titles leave room."""
    column = int(page[0] / columns * (1 - 2 * _GAP))
    words = max(_SMALLEST, min(column / 24, 15.0))
    beside = max(wide(str(number), 0.9 * words, bold=True) for number, _ in numbered) + 1.5 * words
    titles = tuple(tuple(wrapped(plain(title), words, column - beside)) for _, title in numbered)
    made = Grid(columns=columns, cell=(0, 0), size=words, page=page, beside=beside, titles=titles)
    if cell is None:
        cell = min(column, int((page[1] - made.height) / ceil(len(numbered) / columns) / _TALL))
    return replace(made, cell=(cell, int(cell * _TALL)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """One picture of a page, its number and the colour of that."""

    number: int
    colour: str
    picture: Image.Image


def page(grid: Grid, title: str, said: str, pictures: Iterable[Small]) -> Canvas:
    """The page, its pictures taken one after the other."""
    sheet = Image.new("RGB", grid.page, PAPER)
    taken: list[tuple[int, int, int, str]] = []
    for n, small in enumerate(pictures):
        left, top = (round(place) for place in grid.place(n))
        sheet.paste(small.picture, (left, top))
        taken.append((left, top, small.number, small.colour))
    canvas = Canvas(sheet, grid.page)
    size = grid.size
    edge = grid.place(0)[0]
    canvas.words((edge, 2.4 * size), plain(title), 1.9 * size, INK, bold=True)
    canvas.words((edge, 3.9 * size), plain(said), size, QUIET)
    for (left, top, number, colour), rows in zip(taken, grid.titles, strict=True):
        low = top + grid.cell[1]
        corners = [(left, top), (left + grid.cell[0], top), (left + grid.cell[0], low), (left, low), (left, top)]
        canvas.line(corners, RULE, 1.0)
        half = wide(str(number), 0.9 * size, bold=True) / 2 + 0.45 * size
        canvas.badge((left + half, low + 1.05 * size), str(number), 0.9 * size, colour)
        for n, words in enumerate(rows):
            canvas.words((left + grid.beside, low + (1.4 + n * LINE) * size), words, size, INK)
    return canvas

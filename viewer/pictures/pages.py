"""A page of many small pictures: all steps of the build, or all findings, numbered and titled."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from PIL import Image

from ..marks.colours import INK, PAPER, QUIET
from ..paper.letters import LINE
from ..reports.style import plain
from ..scene.looks import RULE
from .canvas import Canvas, wide
from .grid import Grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """One picture of a page: its number, the colour of its number, and how it is taken."""

    number: int
    colour: str
    take: Callable[[], Image.Image]


def page(grid: Grid, title: str, said: str, pictures: Iterable[Small]) -> Canvas:
    """The page, its pictures taken one after the other."""
    sheet = Image.new("RGB", grid.page, PAPER)
    taken: list[tuple[int, int, Small]] = []
    for n, small in enumerate(pictures):
        left, top = (round(place) for place in grid.place(n))
        sheet.paste(small.take(), (left, top))
        taken.append((left, top, small))
    canvas = Canvas(sheet, grid.page)
    size = grid.size
    edge = grid.place(0)[0]
    canvas.words((edge, 2.4 * size), plain(title), 1.9 * size, INK, bold=True)
    canvas.words((edge, 3.9 * size), plain(said), size, QUIET)
    for (left, top, small), rows in zip(taken, grid.titles, strict=True):
        low = top + grid.cell[1]
        corners = [(left, top), (left + grid.cell[0], top), (left + grid.cell[0], low), (left, low), (left, top)]
        canvas.line(corners, RULE, 1.0)
        number = str(small.number)
        half = wide(number, 0.9 * size, bold=True) / 2 + 0.45 * size
        canvas.badge((left + half, low + 1.05 * size), number, 0.9 * size, small.colour)
        for n, words in enumerate(rows):
            canvas.words((left + grid.beside, low + (1.4 + n * LINE) * size), words, size, INK)
    return canvas

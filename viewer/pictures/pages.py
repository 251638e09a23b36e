"""A page of many small pictures: all steps of the build, or all findings, numbered and titled."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from PIL import Image

from ..flat.letters import LINE
from ..scene.looks import INK, PAPER, QUIET, RULE
from ..style import plain
from .canvas import Canvas, cut_short, wide, wrapped
from .grid import LINES, Grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """One picture of a page: its number, its title, the colour of its number, and how it is taken."""

    number: int
    title: str
    colour: str
    take: Callable[[], Image.Image]


def page(grid: Grid, title: str, said: str, pictures: Iterable[Small]) -> Canvas:
    """The page, its pictures taken one after the other."""
    sheet = Image.new("RGB", grid.page, PAPER)
    canvas_words: list[tuple[tuple[float, float], Small]] = []
    for n, small in enumerate(pictures):
        left = grid.step * (n % grid.columns) + (grid.step - grid.cell[0]) / 2
        top = grid.head + grid.row * (n // grid.columns)
        sheet.paste(small.take(), (round(left), round(top)))
        canvas_words.append(((round(left), round(top)), small))
    canvas = Canvas(sheet, grid.page)
    size = grid.size
    edge = (grid.step - grid.cell[0]) / 2
    canvas.words((edge, 2.4 * size), plain(title), 1.9 * size, INK, bold=True)
    canvas.words((edge, 3.9 * size), plain(said), size, QUIET)
    for (left, top), small in canvas_words:
        low = top + grid.cell[1]
        corners = [(left, top), (left + grid.cell[0], top), (left + grid.cell[0], low), (left, low), (left, top)]
        canvas.line(corners, RULE, 1.0)
        number = str(small.number)
        half = wide(number, 0.9 * size, bold=True) / 2 + 0.45 * size
        canvas.badge((left + half, low + 1.05 * size), number, 0.9 * size, small.colour)
        _title(canvas, small.title, left + 2 * half + 0.6 * size, low + 1.4 * size, left + grid.cell[0], size)
    return canvas


def _title(canvas: Canvas, title: str, left: float, y: float, right: float, size: float) -> None:
    rows = wrapped(plain(title), size, right - left)
    if len(rows) > LINES:
        rows = [*rows[: LINES - 1], cut_short(" ".join(rows[LINES - 1 :]), size, right - left)]
    for row in rows:
        canvas.words((left, y), row, size, INK)
        y += LINE * size

"""Words along the edge of a picture: what it is, and what is to be known of it. All of them: the picture yields."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..marks.colours import INK, PAPER, QUIET
from ..paper.letters import LINE
from ..reports.style import plain
from .canvas import Canvas, wrapped
from .subject import letters, misused

SMALLEST = 8.0
"""points; words are not made smaller to find room for them."""

_TITLE = 1.45  # times common words
_EDGE = 1.6  # times common words, from the edge of the picture
_GIVEN, _MOST = 0.5, 0.75  # of the picture's height: given to words of the common size, and to the smallest ones


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """A title and what goes with it at the lower left, in rows; common words are `size` points large."""

    titles: tuple[str, ...]
    rows: tuple[str, ...]
    size: float

    @property
    def height(self) -> float:
        """points that it takes from the lower edge up."""
        return (_EDGE + len(self.rows) * LINE + len(self.titles) * 1.25 * _TITLE + 0.6) * self.size

    def draw(self, canvas: Canvas) -> None:
        """Writes it."""
        size, x = self.size, _EDGE * self.size
        y = canvas.height - x - (len(self.rows) - 1) * LINE * size
        for n, words in enumerate(self.rows):
            canvas.words((x, y + n * LINE * size), words, size, QUIET, halo=PAPER)
        for n, words in enumerate(reversed(self.titles)):
            canvas.words(
                (x, y - LINE * size - n * 1.25 * _TITLE * size), words, _TITLE * size, INK, bold=True, halo=PAPER
            )


def sizes(picture: tuple[int, int]) -> Iterator[float]:
    """points: how large words may be in a picture, the common size first, then smaller ones."""
    most = letters(picture)
    yield most
    yield from (float(size) for size in range(int(most - 0.5), int(SMALLEST) - 1, -1))


def caption(title: str, lines: Sequence[str], picture: tuple[int, int], *, width: float = 1.0) -> Caption:
    """The caption in so much of the picture's width, smaller where it would take more than half of the height.

    Raises UseError, which names a size that does, where not even the smallest words leave room for a picture.
    """
    for times in range(10, 200):
        larger = (picture[0] * times // 10, picture[1] * times // 10)
        made = next(_fitting(title, lines, larger, width), None)
        if made is not None and times == 10:
            return made
        if made is not None:
            got, wanted = (f"{each[0]}x{each[1]}" for each in (picture, larger))
            raise misused(f"--size is too small for the words of this picture: {wanted} has room for them (got {got})")
    raise misused("there is no --size of this shape with room for the words of this picture")


def _fitting(title: str, lines: Sequence[str], picture: tuple[int, int], width: float) -> Iterator[Caption]:
    for size in sizes(picture):
        room = picture[0] * width - 2 * _EDGE * size
        made = Caption(
            titles=tuple(wrapped(plain(title), _TITLE * size, room, bold=True)),
            rows=tuple(row for line in lines for row in wrapped(plain(line), size, room)),
            size=size,
        )
        if made.height <= (_GIVEN if size > SMALLEST else _MOST) * picture[1]:
            yield made

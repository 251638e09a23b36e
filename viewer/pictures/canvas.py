"""A canvas: what was rendered, and lines, arrows and words drawn over it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache, partial
from io import BytesIO
from itertools import pairwise
from typing import Any, Literal

import numpy as np
import shapely
from PIL import Image, ImageColor, ImageDraw, ImageFont

from ..marks.arrow import Point, arrow
from ..marks.colours import INK, PAPER
from ..marks.forms import Form
from ..paper.letters import lines_of
from ..system.extra import package_folder

FINE = 3
_MOST = 60_000_000  # points of what is drawn over a picture

HALO = 2.2
"""points of paper round lines that lie over wood, at most; about half as much as they are thick."""


class Canvas:
    """A picture of `width` by `height` points on which is drawn in points, x to the right and y down.

    What was rendered may come several times as large. Lines are drawn FINE times as large, which is what smooths
    them, and words at the size of the picture.
    """

    def __init__(self, rendered: Image.Image, size: tuple[int, int]) -> None:
        self.width, self.height = size
        self.fine = next((n for n in (FINE, 2) if self.width * self.height * n**2 <= _MOST), 1)
        self._under = rendered.convert("RGB")
        self._over = Image.new("RGBA", (self.width * self.fine, self.height * self.fine), (0, 0, 0, 0))
        self._pen = ImageDraw.Draw(self._over)
        self._said: list[tuple[Point, str, dict[str, Any]]] = []

    def picture(self) -> Image.Image:
        """What is on it, smoothed."""
        size = (self.width, self.height)
        picture = self._under.resize(size, Image.Resampling.BOX).convert("RGBA")
        picture.alpha_composite(self._over.resize(size, Image.Resampling.BOX))
        picture = picture.convert("RGB")
        pen = ImageDraw.Draw(picture)
        for at, words, style in self._said:
            pen.text(at, words, **style)
        return picture

    # ---- lines

    def line(
        self, points: Sequence[Point], colour: str, width: float, *, halo: str | None = None, dashes: float = 0.0
    ) -> None:
        """A line through points; `halo` is the colour of what goes round it, `dashes` the length of its dashes."""
        if halo:
            self._stroke(points, halo, width + 2 * _halo(width), 0.0)
        self._stroke(points, colour, width, dashes)

    def polygon(self, points: Sequence[Point], fill: str, *, opacity: float = 1.0) -> None:
        """A full shape."""
        over = Image.new("RGBA", self._over.size, (0, 0, 0, 0))
        ImageDraw.Draw(over).polygon(self._fine(points), fill=_rgba(fill, opacity))
        self._over.alpha_composite(over)

    def disc(self, at: Point, radius: float, fill: str) -> None:
        """A full circle."""
        self._pen.ellipse(self._box(at, radius), fill=_rgba(fill))

    def ring(self, at: Point, radius: float, colour: str, width: float) -> None:
        """A circle on paper of its own."""
        rim = 0.6 * HALO
        self._pen.ellipse(
            self._box(at, radius + width / 2 + rim), outline=_rgba(PAPER), width=round((width + 2 * rim) * self.fine)
        )
        self._pen.ellipse(
            self._box(at, radius + width / 2), outline=_rgba(colour), width=max(1, round(width * self.fine))
        )

    def mark(self, form: Form, at: Point, radius: float, width: float) -> None:
        """The form of a finding about a place, on paper of its own."""
        if form.shape == "ring":
            self.ring(at, radius, form.colour, width)
        else:
            corners = [(at[0] + x * 1.2 * radius, at[1] - y * 1.2 * radius) for x, y in form.corners]
            self.line([*corners, *corners[:2]], form.colour, width, halo=PAPER)
        if form.dot:
            self.disc(at, 0.2 * radius + 0.5 * HALO, PAPER)
            self.disc(at, 0.2 * radius, form.colour)

    def arrow(
        self, start: Point, end: Point, colour: str, width: float, *, head: float, halo: str | None = None
    ) -> None:
        """An arrow with a slim head; none where it has no length."""
        made = arrow([start, end], head)
        if made is not None:
            self.headed([made.shaft], [made.head], colour, width, halo=halo)

    def headed(
        self, lines: Iterable[Sequence[Point]], heads: Iterable[shapely.Polygon], colour: str, width: float, *,
        halo: str | None = None,
    ) -> None:  # fmt: skip
        """Lines with full heads of arrows: an arrow, or a dimension."""
        corners = [[(float(x), float(y)) for x, y in head.exterior.coords] for head in heads]
        lines, rim = list(lines), 2 * _halo(width)
        if halo:
            for line in lines:
                self._stroke(line, halo, width + rim, 0.0)
            for head in corners:
                self._stroke([*head, head[1]], halo, rim, 0.0)
        for line in lines:
            self._stroke(line, colour, width, 0.0)
        for head in corners:
            self._pen.polygon(self._fine(head), fill=_rgba(colour))

    def box(self, left: float, top: float, right: float, low: float, fill: str, *, radius: float = 0.0,
            opacity: float = 1.0) -> None:  # fmt: skip
        """A full rectangle with rounded corners."""
        corners = self._fine([(left, top), (right, low)])
        self._pen.rounded_rectangle(corners, radius * self.fine, fill=_rgba(fill, opacity))

    # ---- words

    def words(self, at: Point, words: str, size: float, colour: str = INK, *, bold: bool = False, anchor: str = "ls",
              halo: str | None = None) -> None:  # fmt: skip
        """Words; `anchor` says what of them lies at the place, as Pillow has it ("ls": left end of their line)."""
        style: dict[str, Any] = {"font": _font(round(size), bold), "fill": colour, "anchor": anchor}
        if halo:
            style |= {"stroke_width": max(2, round(size / 6)), "stroke_fill": halo}
        self._said.append((at, words, style))

    def badge(self, at: Point, words: str, size: float, colour: str) -> None:
        """A number on a full pill."""
        half = (wide(words, size, bold=True) / 2 + 0.45 * size, 0.8 * size)
        x, y = at
        self.box(
            x - half[0] - 1.5, y - half[1] - 1.5, x + half[0] + 1.5, y + half[1] + 1.5, PAPER, radius=half[1] + 1.5
        )
        self.box(x - half[0], y - half[1], x + half[0], y + half[1], colour, radius=half[1])
        self.words((x, y), words, size, PAPER, bold=True, anchor="mm")

    # ---- at the size of the lines

    def _stroke(self, points: Sequence[Point], colour: str, width: float, dashes: float) -> None:
        pieces = [list(points)] if not dashes else _dashed(points, dashes)
        thick = max(1, round(width * self.fine))
        for piece in pieces:
            fine = self._fine(piece)
            self._pen.line(fine, fill=_rgba(colour), width=thick, joint="curve")
            if thick > 2 and not dashes:
                for x, y in (fine[0], fine[-1]):
                    r = thick / 2 - 0.5
                    self._pen.ellipse((x - r, y - r, x + r, y + r), fill=_rgba(colour))

    def _fine(self, points: Sequence[Point]) -> list[Point]:
        return [(x * self.fine, y * self.fine) for x, y in points]

    def _box(self, at: Point, radius: float) -> tuple[float, float, float, float]:
        (x, y), r = self._fine([at])[0], radius * self.fine
        return x - r, y - r, x + r, y + r


def encoded(picture: Image.Image) -> bytes:
    """The picture as PNG: the same bytes for the same picture."""
    stream = BytesIO()
    picture.save(stream, "PNG", compress_level=9)
    return stream.getvalue()


def encoded_moving(pictures: Sequence[Image.Image], times: Sequence[int]) -> bytes:
    """Pictures one after the other, each for so many ms, over and over, as WebP."""
    stream = BytesIO()
    first, *more = pictures
    first.save(stream, "WEBP", save_all=True, append_images=more, duration=list(times), loop=0, quality=80, method=3)
    return stream.getvalue()


def wide(words: str, size: float, *, bold: bool = False) -> float:
    """points that words take."""
    return _length(words, round(size), bold)


@lru_cache(maxsize=1 << 16)
def _length(words: str, size: int, bold: bool) -> float:
    return float(_font(size, bold).getlength(words))


def wrapped(words: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """The words in lines no wider than `room` points; one that is too wide by itself is broken."""
    length = partial(wide, bold=bold)
    return [piece for row in lines_of(words, size, room, length) for piece in _broken(row, size, room, length)]


def _broken(row: str, size: float, room: float, length: Callable[[str, float], float]) -> list[str]:
    pieces = [""]
    for letter in row:
        if pieces[-1] and length(pieces[-1] + letter, size) > room:
            pieces.append("")
        pieces[-1] += letter
    return pieces if length(row, size) > room else [row]


@lru_cache(maxsize=64)
def _font(size: int, bold: bool) -> ImageFont.FreeTypeFont:
    """A font that comes with a library, so that pictures are alike on every machine."""
    name: Literal["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"] = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(package_folder("matplotlib") / "mpl-data" / "fonts" / "ttf" / name, max(size, 6))


def _halo(width: float) -> float:
    return min(HALO, 0.8 + 0.5 * width)


def _dashed(points: Sequence[Point], length: float) -> list[list[Point]]:
    """The pieces of a line that is drawn in dashes, as long as the gaps between them."""
    out: list[list[Point]] = []
    for a, b in pairwise(points):
        start, way = np.array(a), np.subtract(b, a)
        far = float(np.hypot(*way))
        for from_ in np.arange(0.0, far, 2 * length):
            ends = [start + way * min(at, far) / far for at in (from_, from_ + length)]
            out.append([(float(x), float(y)) for x, y in ends])
    return out


def _rgba(colour: str, opacity: float = 1.0) -> tuple[int, int, int, int]:
    red, green, blue = ImageColor.getrgb(colour)[:3]
    return red, green, blue, round(255 * opacity)

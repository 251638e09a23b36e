"""The writer of SVG: shapes and words on paper, millimetres, the same text for the same drawing.

Every style is written beside what it styles and every cut-off is worked out beforehand, so that nothing depends on
what a reader makes of style sheets, patterns or clips.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from xml.sax.saxutils import escape, quoteattr

import numpy as np
import shapely

from ..reports.style import plain

Point = tuple[float, float]

FONT = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"

_FINE = 3  # decimals of a millimetre of paper
_NAMED = re.compile(r'(?m)^ *<g id="[^"]*"')  # as `group` writes it; in words < is escaped
_CHORD = 0.004  # mm of paper; corners that lie closer to a straight line are left out


class Svg:
    """A page of `width` by `height` mm, x to the right and y down. Later things lie over earlier ones."""

    def __init__(self, width: float, height: float, *, title: str, description: str) -> None:
        self.width, self.height = width, height
        self._title, self._description = title, description
        self._lines: list[str] = []
        self._depth = 1

    def inline(self) -> str:
        """The drawing as it stands within a page that has others: no declaration, and no names for its groups."""
        return _NAMED.sub("<g", self.text().partition("\n")[2])

    def text(self) -> str:
        """The whole file."""
        size = f'width="{number(self.width)}mm" height="{number(self.height)}mm"'
        box = f'viewBox="0 0 {number(self.width)} {number(self.height)}"'
        head = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} font-family="{FONT}">',
            f" <title>{_words(self._title)}</title>",
            f" <desc>{_words(self._description)}</desc>",
        ]
        return "\n".join([*head, *self._lines, "</svg>", ""])

    @contextmanager
    def group(self, name: str, **style: object) -> Iterator[None]:
        """What is drawn meanwhile is a group, and takes its style where it has none of its own."""
        self._put(f"<g id={quoteattr(plain(name))}{_style(style)}>")
        self._depth += 1
        yield
        self._depth -= 1
        self._put("</g>")

    def shape(self, shape: shapely.Geometry, **style: object) -> None:
        """Polygons with their holes, or lines, of any number; nothing for an empty one."""
        path = _path(shape)
        if path:
            rule = ' fill-rule="evenodd"' if "Polygon" in shape.geom_type else ""
            self._put(f'<path d="{path}"{rule}{_style(style)}/>')

    def line(self, *points: Point, **style: object) -> None:
        """A line through points."""
        self._put(f'<path d="{_run(points)}"{_style(style)}/>')

    def circle(self, at: Point, radius: float, **style: object) -> None:
        """A circle."""
        x, y = at
        self._put(f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"{_style(style)}/>')

    def box(
        self, left: float, top: float, width: float, height: float, *, radius: float = 0.0, **style: object
    ) -> None:
        """A rectangle, its corners rounded by `radius`."""
        place = f'x="{number(left)}" y="{number(top)}" width="{number(width)}" height="{number(height)}"'
        corner = f' rx="{number(radius)}"' if radius else ""
        self._put(f"<rect {place}{corner}{_style(style)}/>")

    def words(self, at: Point, words: str, size: float, *, turned: float = 0.0, **style: object) -> None:
        """Words from `at` on, the left end of their line; `turned` degrees clockwise about it."""
        x, y = at
        turn = f' transform="rotate({number(turned)} {number(x)} {number(y)})"' if turned else ""
        place = f'x="{number(x)}" y="{number(y)}" font-size="{number(size)}"'
        self._put(f"<text {place}{turn}{_style(style)}>{_words(words)}</text>")

    def _put(self, line: str) -> None:
        self._lines.append(" " * self._depth + line)


def number(value: float) -> str:
    """A thousandth of a millimetre is fine enough; no trailing nothing, no minus nought."""
    text = f"{float(value):.{_FINE}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _words(text: str) -> str:
    return escape(plain(text))


def _style(style: dict[str, object]) -> str:
    """`stroke_width=1` is written stroke-width="1"; None leaves it out."""
    return "".join(
        f" {name.replace('_', '-')}={quoteattr(number(value) if isinstance(value, float) else str(value))}"
        for name, value in style.items()
        if value is not None
    )


def _path(shape: shapely.Geometry) -> str:
    parts: list[str] = []
    for piece in shapely.get_parts(shapely.simplify(shape, _CHORD)):
        if piece.is_empty:
            continue
        if piece.geom_type == "Polygon":
            parts += [_run(np.asarray(ring.coords)[:-1]) + "Z" for ring in (piece.exterior, *piece.interiors)]
        elif piece.geom_type in ("LineString", "LinearRing"):
            parts.append(_run(np.asarray(piece.coords)))
    return "".join(parts)


def _run(points: Sequence[Point] | np.ndarray) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def joined(lines: Iterable[tuple[Point, Point]]) -> shapely.MultiLineString:
    """Many short lines as one shape."""
    return shapely.multilinestrings([shapely.linestrings(line) for line in lines])

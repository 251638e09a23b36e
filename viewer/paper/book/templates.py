"""Templates: parts at full size over sheets of paper, with marks by which the sheets are laid together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.geometry.plane import mirrored
from scrieve.model.sequence.steps.words import in_a_row, short
from scrieve.shared.findings import Finding

from ..letters import width, wrapped
from ..look import DASHES, HEAVY, INK, PAPER, QUIET, STRONG
from ..svg import Svg
from .markup import Markup, document, element, warning
from .style import STYLE, WIDTH
from .unsound import unsound

TILE = (170.0, 220.0)
"""mm of a part on one sheet, across and up; A4 and Letter both hold it with what is drawn past its edges."""

_PAST = 5.0  # mm that is drawn past the edge of a tile, so that sheets overlap
_FOOT = 18.0  # mm below it for the bar and the words
_LETTERS, _SMALL = 5.5, 3.5  # mm
_ALIKE = 0.05  # mm; outlines that differ by less are cut from one template


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """Parts of one outline, `turned` those that are its mirror image; the `screws` that are drilled through the first.

    `shape` is the first part's, seen from forward, laid so that it takes the fewest sheets, `screws` along with it.
    """

    parts: tuple[Part, ...]
    turned: tuple[Part, ...]
    shape: shapely.Polygon
    screws: tuple[tuple[str, shapely.Point], ...]


def templates_html(
    assembly: Assembly, frames: Sequence[Frame], *, plan: str = "", findings: Sequence[Finding] = ()
) -> str:
    """The whole file for these frames, a newline at its end; every sheet says where errors are among `findings`."""
    said = unsound(findings, plan)
    sheets = [sheet for frame in frames for template in templates(frame) for sheet in _sheets(template, said)]
    return document(
        f"{assembly.name}: templates",
        STYLE,
        warning(said),
        element("p", "Full size. Print at 100 %, measure the bar, cut to the crosses or hold two sheets to a window, "
                "cross on cross. Outlines are as drawn, seen from forward; turned over they are those seen from aft."),
        *(element("section", sheet) for sheet in sheets),
    )  # fmt: skip


def templates(frame: Frame) -> tuple[Template, ...]:
    """The templates of a frame's parts, in the order of their names, each outline once."""
    left = sorted(frame.parts, key=lambda part: part.name)
    out = []
    while left:
        first = left[0]
        same = [part for part in left if _alike(part.drawn_shape, first.drawn_shape)]
        over = [part for part in left if part not in same and _alike(mirrored(part.drawn_shape), first.drawn_shape)]
        left = [part for part in left if part not in same and part not in over]
        screws = [each for each in frame.screws if each.plies and each.plies[0].part is first]
        shape, *points = _laid([first.drawn_shape, *(shapely.Point(each.at) for each in screws)])
        marks = zip((each.name.rpartition(" ")[2] for each in screws), points, strict=True)
        out.append(Template(parts=tuple(same), turned=tuple(over), shape=shape, screws=tuple(marks)))
    return tuple(out)


def _alike(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    """Whether two outlines are one, wherever they lie level."""
    if abs(one.area - other.area) > _ALIKE * one.length:
        return False
    (a, b), (c, d) = one.centroid.coords[0], other.centroid.coords[0]
    moved = affinity.translate(other, a - c, b - d)
    return bool(shapely.symmetric_difference(one, moved).area < _ALIKE * one.length)


def _laid(things: Sequence[shapely.Geometry]) -> list[shapely.Geometry]:
    """The first and what goes with it, turned so that it takes the fewest sheets; its least corner at 0, 0."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(things[0]).exterior.coords)
    along = float(np.degrees(np.arctan2(*(corners[1] - corners[0])[::-1])))
    laid = [[affinity.rotate(each, turn, origin=(0, 0)) for each in things] for turn in (0.0, 90.0, -along, 90 - along)]
    best = min(laid, key=lambda those: len(_tiles(those[0])))
    left, low, _, _ = best[0].bounds
    return [affinity.translate(each, -left, -low) for each in best]


def _tiles(shape: shapely.Polygon) -> list[tuple[int, int]]:
    """The tiles (row from below, column from the left) that an outline lies on."""
    left, low, right, high = shape.bounds
    rows, columns = (int(np.ceil(size / tile)) for size, tile in ((high - low, TILE[1]), (right - left, TILE[0])))
    return [
        (row, column)
        for row in range(rows)
        for column in range(columns)
        if shapely.intersects(shape, _box(row, column, (left, low)))
    ]


def _box(row: int, column: int, origin: tuple[float, float] = (0.0, 0.0), past: float = 0.0) -> shapely.Polygon:
    x, y = origin[0] + column * TILE[0], origin[1] + row * TILE[1]
    return shapely.box(x - past, y - past, x + TILE[0] + past, y + TILE[1] + past)


def _sheets(template: Template, warned: str) -> Iterator[Markup]:
    tiles = _tiles(template.shape)
    for number, (row, column) in enumerate(tiles, start=1):
        said = f"sheet {chr(65 + row)}{column + 1}, {number} of {len(tiles)}: {_whose(template)}"
        yield _sheet(template, row, column, said, warned)


def _whose(template: Template) -> str:
    frame = f"F{template.parts[0].frame}"
    said = f"{frame} {in_a_row([_named(part) for part in template.parts])}"
    return said + (f"; turned over {in_a_row([_named(part) for part in template.turned])}" if template.turned else "")


def _named(part: Part) -> str:
    return f"{short(part.name)}{f' ({part.face})' if part.face != 'core' and part.role != 'leg' else ''}"


def _sheet(template: Template, row: int, column: int, said: str, warned: str) -> Markup:
    height = TILE[1] + 2 * _PAST + _FOOT
    svg = Svg(WIDTH, height, title=said, description="")
    x, y = _PAST - column * TILE[0], _PAST + (row + 1) * TILE[1]

    def on_paper(shape: shapely.Geometry) -> shapely.Geometry:
        return shapely.transform(shape, lambda points: np.column_stack([points[:, 0] + x, y - points[:, 1]]))

    window = _box(row, column, past=_PAST)
    wood = shapely.intersection(template.shape, window)
    line = shapely.intersection(template.shape.boundary, window)
    svg.shape(on_paper(line), fill="none", stroke=INK, stroke_width=HEAVY)
    for number, at in template.screws:
        if window.contains(at):
            (cx, cy) = on_paper(at).coords[0]
            for arm in ((3.0, 0.0), (0.0, 3.0)):
                svg.line((cx - arm[0], cy - arm[1]), (cx + arm[0], cy + arm[1]), stroke=INK, stroke_width=0.2)
            svg.words((cx + 1.0, cy - 1.0), number, _SMALL, fill=INK)
    _register(svg, row, column)
    largest = max(shapely.get_parts(wood), key=lambda piece: piece.area, default=shapely.Polygon())
    if not largest.is_empty:
        tx, ty = on_paper(shapely.maximum_inscribed_circle(largest, tolerance=1.0)).coords[0]  # its middle
        words = f"F{template.parts[0].frame} {short(template.parts[0].name)}"
        half = width(words, _LETTERS) / 2
        tx = min(max(tx, half + 1.0), WIDTH - half - 1.0)
        svg.words((tx, ty), words, _LETTERS, fill=QUIET, text_anchor="middle")
    _foot(svg, height, said, warned)
    return Markup(svg.inline())


def _register(svg: Svg, row: int, column: int) -> None:
    """A cross with a ring at each corner of the tile, named alike on the sheets that share it; the edges between."""
    right, low = _PAST + TILE[0], _PAST + TILE[1]
    svg.line((_PAST, _PAST), (right, _PAST), (right, low), (_PAST, low), (_PAST, _PAST), fill="none", stroke=QUIET,
             stroke_width=0.13, stroke_dasharray=DASHES)  # fmt: skip
    for up, across in ((0, 0), (0, 1), (1, 0), (1, 1)):
        x, y = _PAST + across * TILE[0], low - up * TILE[1]
        svg.circle((x, y), 2.0, fill="none", stroke=STRONG, stroke_width=0.2)
        for arm in ((4.5, 0.0), (0.0, 4.5)):
            svg.line((x - arm[0], y - arm[1]), (x + arm[0], y + arm[1]), stroke=STRONG, stroke_width=0.2)
        inside = x + (2.6 if across == 0 else -2.6), y + (-2.6 if up == 0 else 2.6 + _SMALL * 0.72)
        svg.words(inside, f"{row + up}.{column + across}", _SMALL, fill=STRONG,
                  text_anchor="end" if across else None)  # fmt: skip


def _foot(svg: Svg, height: float, said: str, warned: str) -> None:
    """A bar of 100 mm, which sheet this is, and what is said of the plan's errors."""
    y = height - 10.0
    for line in wrapped(warned, _SMALL, WIDTH - 2 * _PAST)[:1] if warned else ():
        svg.words((_PAST, y - 3.4), line, _SMALL, fill=STRONG, font_weight="bold")
    for n in range(10):
        fill = INK if n % 2 == 0 else PAPER
        svg.box(_PAST + 10.0 * n, y - 2.0, 10.0, 2.0, fill=fill, stroke=INK, stroke_width=0.15)
    svg.words((_PAST + 103.0, y), "100 mm: measure it before you cut", _SMALL, fill=INK)
    lines = wrapped(said, _SMALL, WIDTH - 2 * _PAST)
    for n, line in enumerate(lines[:2]):
        svg.words((_PAST, y + 4.6 + n * 1.3 * _SMALL), line, _SMALL, fill=INK)

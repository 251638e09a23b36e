"""The parts of a frame as small outlines, so that they are told apart in a pile: sizes, stock, how many."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import affinity

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.sequence.measurements.part_sizes import part_size
from scrieve.model.sequence.steps.words import in_a_row, sideless

from ...reports.style import count
from ..letters import width
from ..look import INK, OUTLINE, SMALL, TONES, WORDS
from ..sight import fitting, scale_words
from ..signs import scale_bar
from ..svg import Svg
from .markup import Markup
from .style import WIDTH

_LONG = 48.0  # mm of paper for the longest
_APART, _LINE = 4.0, 3.1


def part_outlines(frame: Frame) -> Markup:
    """Each part once, to one scale, its long side level, seen from forward; sides and faces of one kind together."""
    kinds: dict[tuple[object, ...], list[Part]] = {}
    for part in sorted(frame.parts, key=lambda part: (part.role != "core", part.name)):
        size = part_size(part)
        key = sideless(part.name), part.stock, part.thickness, round(size.length), round(size.breadth)
        kinds.setdefault(key, []).append(part)
    cells = [(_level(same[0]), _said(same), TONES[same[0].role]) for same in kinds.values()]
    longest = max(shape.bounds[2] for shape, _, _ in cells)
    scale = fitting(longest, longest, (_LONG, _LONG))
    placed, height = _rows([(shape, words, scale) for shape, words, _ in cells])
    svg = Svg(WIDTH, height + 8.0, title=f"parts of {frame.name}", description="")
    for (shape, words, tone), (x, y) in zip(cells, placed, strict=True):
        deep = shape.bounds[3] * scale
        flat = affinity.affine_transform(shape, (scale, 0, 0, -scale, x, y + deep))
        svg.shape(flat, fill=tone, stroke=INK, stroke_width=OUTLINE, stroke_linejoin="round")
        for n, line in enumerate(words):
            tall, weight = (SMALL, "normal") if n else (WORDS, "bold")
            svg.words((x, y + deep + (n + 1) * _LINE), line, tall, fill=INK, font_weight=weight)
    scale_bar(svg, (WIDTH - 2.0, height + 5.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def _level(part: Part) -> shapely.Polygon:
    """Its outline with its long side level and its least corner at 0, 0."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(part.drawn_shape).exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.argmax(np.hypot(*sides.T)))]
    turn = (float(np.degrees(np.arctan2(along[1], along[0]))) + 90.0) % 180.0 - 90.0
    laid = affinity.rotate(part.drawn_shape, -turn, origin=(0, 0))
    left, low, _, _ = laid.bounds
    return affinity.translate(laid, -left, -low)


def _said(same: Sequence[Part]) -> list[str]:
    first, size = same[0], part_size(same[0])
    sides = in_a_row(list(dict.fromkeys(part.side for part in same if part.side != "centre")))
    faces = in_a_row(list(dict.fromkeys(part.face for part in same if part.face != "core")))
    return [
        sideless(first.name),
        f"{size.length:.0f} x {size.breadth:.0f} mm",
        f"{first.stock}, {size.thickness:g} mm",
        ", ".join(filter(None, [count(len(same), "piece"), faces and f"{faces} face"])),
        sides,
    ]


def _rows(
    cells: Sequence[tuple[shapely.Polygon, Sequence[str], float]],
) -> tuple[list[tuple[float, float]], float]:
    """Where each cell begins, row under row, and how high all of them are."""
    at, x, y, deep = [], 0.5, 2.0, 0.0
    for shape, words, scale in cells:
        wide = max(shape.bounds[2] * scale, *(width(line, WORDS if n == 0 else SMALL) for n, line in enumerate(words)))
        high = shape.bounds[3] * scale + len(words) * _LINE
        if x > 1.0 and x + wide > WIDTH:
            x, y, deep = 0.5, y + deep + _APART, 0.0
        at.append((x, y))
        x, deep = x + wide + _APART, max(deep, high)
    return at, y + deep

"""How much too small or too large a sheet, or a shape on it, is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt

import numpy as np

from scrieve.shared.units import MM_PER_UNIT, PLAN_UNITS

from ..boat.cut_sheet import SheetShape
from ..geometry.outline import Outline
from .congruence import alike
from .difference import Pattern
from .stack import Floats, Stack

_SAME_FORM = 1e-3
"""share by which area over length squared may differ where two outlines are of one form but for scale."""

_SAME_FACTOR = 1e-3
"""share by which factors may differ that are one."""

_UNITS = sorted({MM_PER_UNIT[one] / MM_PER_UNIT[other] for one in PLAN_UNITS for other in PLAN_UNITS if one != other})


def drawn_factor(shapes: Stack, parts: Stack, within: float) -> float:
    """What a sheet's lengths have to be multiplied by; 1 where half its shapes or more may be parts as they are.

    It is the factor that most shapes ask for to be parts, at least half of them.
    """
    count = len(shapes.counts)
    if not count or not len(parts.counts):
        return 1.0
    as_they_are = len(set(alike(parts, shapes, within)[1].tolist()))
    if 2 * as_they_are >= count:
        return 1.0
    form, wanted = np.abs(shapes.areas) / shapes.lengths**2, np.abs(parts.areas) / parts.lengths**2
    which, part = np.nonzero(np.abs(form[:, None] / wanted[None, :] - 1) <= _SAME_FORM)
    factors = parts.lengths[part] / shapes.lengths[which]
    real = np.abs(factors - 1) > _SAME_FACTOR
    which, factors = which[real], factors[real]
    best, most = 1.0, as_they_are
    for factor in np.unique(np.round(factors, 9)):
        near = np.abs(factors / factor - 1) <= _SAME_FACTOR
        votes = len(set(which[near].tolist()))
        if votes > most and 2 * votes >= count:
            best, most = float(np.median(factors[near])), votes
    return named_factor(best)


def named_factor(factor: float) -> float:
    """The factor between two units of length if this is one to within a thousandth, else the factor itself."""
    nearest = min(_UNITS, key=lambda unit: abs(log(unit / factor)))
    return nearest if abs(nearest / factor - 1) <= _SAME_FACTOR else factor


def likely_factor(shape: SheetShape, pattern: Pattern, within: float) -> float:
    """What a shape has to be multiplied by to be of a part's size; 1 where that is no matter of scale."""
    own = Stack([shape.outline])
    area, length = float(abs(own.areas[0])), float(own.lengths[0])
    wanted, whole = float(abs(pattern.stack.areas[0])), float(pattern.stack.lengths[0])
    if abs(area / length**2 / (wanted / whole**2) - 1) > _SAME_FORM:
        return 1.0
    factor = sqrt(wanted / area)
    # a part's greatest width is less than half the way round it
    if abs(factor - 1) * whole / 2 <= 2 * within or abs(whole / length / factor - 1) > _SAME_FACTOR / 2:
        return 1.0
    return named_factor(factor)


def scaled(shapes: Sequence[SheetShape], factor: float) -> list[SheetShape]:
    """The shapes times a factor; as they are where it is 1."""
    if factor == 1.0 or not shapes:
        return list(shapes)
    outlines = [_times(shape.outline, factor) for shape in shapes]
    regions = Stack(outlines).regions()
    return [
        SheetShape(
            outline=outline,
            region=region,
            layer=shape.layer,
            source=shape.source,
            texts=shape.texts,
            holes=tuple(_times(hole, factor) for hole in shape.holes),
            marks=tuple(_times(mark, factor) for mark in shape.marks),
            gap=shape.gap * factor,
            pockets=tuple(replace(pocket, outline=_times(pocket.outline, factor)) for pocket in shape.pockets),
        )
        for shape, outline, region in zip(shapes, outlines, regions, strict=True)
    ]


def _times(outline: Outline, factor: float) -> Outline:
    points: Floats = outline.points * factor
    return Outline(points=points, bulges=outline.bulges)

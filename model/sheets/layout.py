"""How shapes lie on their sheet: how close to one another, how far past its edge, how much of it they use."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.tolerances import COINCIDENT, ROUNDING, SAGITTA, exceeds

from ..boat.cut_sheet import CutSheet, SheetShape
from ..geometry.overlap import deepest
from .stack import Floats, Stack, Whole

_SAME = 1e-3
"""share of their area by which two outlines in one place may differ that are one drawn twice."""

_AT_ONCE = 1_000_000  # pairs of shapes held in memory at once
_MOST = 100  # overlaps that are measured, those of the greatest area


class Close(NamedTuple):
    """Two shapes (by index) that lie `apart` mm from one another, below 0 where they overlap, about `at`."""

    one: int
    other: int
    apart: float
    at: tuple[float, float]


def too_close(shapes: Sequence[SheetShape], cutter: float) -> list[Close]:
    """The pairs of shapes between which a cutter of this diameter cannot pass, closest first.

    Without a cutter (0) only those that overlap.
    """
    if len(shapes) < 2:
        return []
    found: list[Close] = []
    over: list[tuple[int, int, shapely.Geometry]] = []
    for ones, others in _neighbours(_bounds(shapes), cutter):
        wood = _wood(shapes, sorted({*ones.tolist(), *others.tolist()}))
        here = np.array([wood[one] for one in ones.tolist()], dtype=object)
        there = np.array([wood[other] for other in others.tolist()], dtype=object)
        apart = shapely.distance(here, there)
        for n in np.flatnonzero((apart > 0.0) & (apart < cutter - 2 * SAGITTA)):
            way = shapely.get_coordinates(shapely.shortest_line(here[n], there[n]))
            found.append(Close(int(ones[n]), int(others[n]), float(apart[n]), _point(way.mean(axis=0))))
        meeting = np.flatnonzero(apart <= 0.0)
        common = shapely.intersection(here[meeting], there[meeting])
        # the same outline drawn twice in one place is one too many, and not one over another
        once = shapely.area(common) < shapely.area(here[meeting]) * (1 - _SAME)
        met = meeting[once]
        over += zip(ones[met].tolist(), others[met].tolist(), common[once], strict=True)
        over = sorted(over, key=lambda each: -each[2].area)[:_MOST]
    wood = _wood(shapes, sorted({index for one, other, _ in over for index in (one, other)}))
    for one, other, region in over:
        overlap = deepest(wood[one], wood[other])
        if overlap is not None:
            found.append(Close(one, other, -overlap.depth, overlap.at))
        elif cutter > 0.0:
            touch = region.representative_point()
            found.append(Close(one, other, 0.0, (touch.x, touch.y)))
    return sorted(found, key=lambda close: (round(close.apart, 6), close.one, close.other))


def _neighbours(bounds: Floats, cutter: float) -> Iterator[tuple[Whole, Whole]]:
    """The pairs of shapes whose bounds are closer than the cutter is wide, or overlap, some at a time."""
    tree = shapely.STRtree(shapely.box(*bounds.T))
    grown = shapely.box(*(bounds + np.array([-cutter, -cutter, cutter, cutter])).T)
    for some in np.array_split(np.arange(len(bounds)), 1 + len(bounds) ** 2 // _AT_ONCE):
        ones, others = tree.query(grown[some])
        ones = some[ones]
        ones, others = ones[ones < others], others[ones < others]
        gaps = np.maximum(bounds[others, :2] - bounds[ones, 2:], bounds[ones, :2] - bounds[others, 2:])
        near = np.hypot(*np.maximum(gaps, 0.0).T) < cutter - COINCIDENT
        near |= np.all(gaps < -COINCIDENT, axis=1)
        order = np.lexsort([others[near], ones[near]])
        if len(order):
            yield ones[near][order], others[near][order]


def past_edge(sheet: CutSheet, shapes: Sequence[SheetShape]) -> list[tuple[int, float]]:
    """The shapes (by index) that reach past the edge drawn on their sheet, and by how much, mm; the worst first."""
    if not sheet.edges or not shapes:
        return []
    bounds = _bounds(shapes)
    over = np.min(
        [
            np.max([e[0] - bounds[:, 0], e[1] - bounds[:, 1], bounds[:, 2] - e[2], bounds[:, 3] - e[3]], axis=0)
            for e in sheet.edges
        ],
        axis=0,
    )
    found = [(int(index), float(over[index])) for index in np.flatnonzero(over > ROUNDING)]
    return sorted(found, key=lambda each: (-round(each[1], 6), each[0]))


def past_size(sheet: CutSheet, shapes: Sequence[SheetShape]) -> float:
    """How much more room the shapes take than the stock has, mm, the sheet laid the better way round; from 0.

    0 also where an edge is drawn, which tells more, and where the plan gives the stock no size.
    """
    if sheet.edges or sheet.size is None or not shapes:
        return 0.0
    bounds = _bounds(shapes)
    room = np.array(sheet.size)
    taken = bounds[:, 2:].max(axis=0) - bounds[:, :2].min(axis=0)
    over = float(min(np.max(taken - room), np.max(taken - room[::-1])))
    return over if exceeds(over, 0.0) else 0.0


def larger_than_stock(sheet: CutSheet) -> tuple[float, float] | None:
    """The size drawn, where an edge drawn on the sheet is larger than the stock; None where none is."""
    if sheet.size is None:
        return None
    for left, low, right, high in sheet.edges:
        long, wide = max(right - left, high - low), min(right - left, high - low)
        if exceeds(long, max(sheet.size)) or exceeds(wide, min(sheet.size)):
            return long, wide
    return None


def use(sheet: CutSheet, shapes: Sequence[SheetShape]) -> float | None:
    """The share of the sheet's area that is cut out as parts; None where its size is known neither way."""
    whole = sum((right - left) * (high - low) for left, low, right, high in sheet.edges)
    if not whole and sheet.size is not None:
        whole = sheet.size[0] * sheet.size[1]
    if not whole:
        return None
    area = float(np.abs(Stack([shape.outline for shape in shapes]).areas).sum())
    holes = [hole for shape in shapes for hole in shape.holes]
    return (area - float(np.abs(Stack(holes).areas).sum())) / whole


def _bounds(shapes: Sequence[SheetShape]) -> Floats:
    bounds = shapely.bounds(np.array([shape.region for shape in shapes], dtype=object))
    return np.asarray(bounds.reshape(-1, 4), dtype=np.float64)


def _wood(shapes: Sequence[SheetShape], which: Sequence[int]) -> dict[int, shapely.Geometry]:
    """What is cut of each of these shapes, holes taken out: in a hole another may lie."""
    out: dict[int, shapely.Geometry] = {}
    for index in which:
        shape = shapes[index]
        inner = Stack([*shape.holes, *shape.marks]).regions()
        holes = [region for region in inner if region.is_valid]
        out[index] = shapely.difference(shape.region, shapely.union_all(holes)) if holes else shape.region
    return out


def _point(values: Floats) -> tuple[float, float]:
    return float(values[0]), float(values[1])

"""What is on the cut sheets against what the boat needs: which shape is which part, and what is left over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from scrieve.shared.tolerances import exceeds

from ..boat.cut_sheet import CutSheet, SheetShape
from ..boat.part import Part
from ..geometry.outline import Outline
from ..plan.label_reading import LabelReader
from .assignment import assigned
from .congruence import alike, apart, copies
from .difference import MOST, Laying, Pattern, laid, nearest_sizes, only_reliefs
from .move import RigidMotion
from .naming import Meant, Names
from .pocketing import pocket_faults
from .scale import drawn_factor, likely_factor, scaled
from .stack import Complexes, Stack, without_needless_corners

_NEAR = 4
"""parts of the nearest size that a shape is laid on when it fits none."""

_RELIEVED, _OF_ITS_SIZE = 0.1, 0.3
"""share by which area and length may differ of a shape with its corners relieved, and of one that is another form."""

_MOST_LAID = 300
"""shapes that fit nothing by their corners and are laid on parts: the largest; smaller ones are of no part."""

_OTHER_STOCK, _OTHER_NAME, _OTHER_POCKETS, _NO_NAME, _ONE_OF_SEVERAL = 20, 6, 3, 2, 1
"""What it costs to take a shape for a part against the sheet's stock, what is written in it or its pockets."""


class PlacedShape(NamedTuple):
    """A shape on a sheet (by index), at its true scale, and the parts (by index) that its texts mean."""

    sheet: int
    shape: SheetShape
    meant: Meant


class Differing(NamedTuple):
    """A shape that is a part's but for a difference, or but for its scale (`factor` to be multiplied by)."""

    shape: int
    part: int
    laying: Laying
    factor: float


class Comparison(NamedTuple):
    """Shapes and parts by index. `factors` are what the sheets' lengths have to be multiplied by.

    `pairs` gives the part of each shape that is one; `fits` the parts that a shape has the form of.
    `missing` are parts that are on no sheet, `surplus` shapes without a part, `marks` those of them on
    layers that hold no part at all.
    """

    parts: tuple[Part, ...]
    shapes: tuple[PlacedShape, ...]
    factors: tuple[float, ...]
    pairs: dict[int, int]
    fits: dict[int, frozenset[int]]
    differing: tuple[Differing, ...]
    missing: tuple[int, ...]
    surplus: tuple[int, ...]
    marks: tuple[int, ...]


def compared(
    parts: Sequence[Part], sheets: Sequence[CutSheet], *, within: float, cutter: float, reader: LabelReader
) -> Comparison:
    """The sheets against the parts; outlines up to `within` mm apart are the same. Either face may be up.

    `cutter` is its diameter, mm: what a cutter does in inside corners is no difference. `reader` reads the texts.
    """
    names, stack = Names(parts, reader), Stack([without_needless_corners(part.drawn) for part in parts])
    factors = tuple(drawn_factor(Stack([s.outline for s in sheet.shapes]), stack, within) for sheet in sheets)
    shapes = tuple(
        PlacedShape(index, true, names.meant(true.texts))
        for index, (sheet, factor) in enumerate(zip(sheets, factors, strict=True))
        for true in scaled(sheet.shapes, factor)
    )
    matcher = _Matcher(parts, stack, shapes, within=within, cutter=cutter)
    stocks = [sheet.stock for sheet in sheets]
    fits = matcher.named(stocks) or matcher.fits()
    costs = {
        (shape, part): _cost(shapes[shape], parts[part], part, stocks[shapes[shape].sheet], within)
        for shape, fitting in fits.items()
        for part in fitting
    }
    pairs = assigned(costs)
    found = set(pairs.values())
    left = [part for part in range(len(parts)) if part not in found]
    extra = [shape for shape in range(len(shapes)) if shape not in pairs]
    differing = matcher.differing([shape for shape in extra if shape not in fits], left)
    explained = {each.shape: each.part for each in differing}
    extra = [shape for shape in extra if shape not in explained]
    cut = {shapes[shape].shape.layer for shape in (*pairs, *explained)}
    marks = {s for s in extra if cut and shapes[s].shape.layer not in cut and not shapes[s].meant}
    return Comparison(
        parts=tuple(parts),
        shapes=shapes,
        factors=factors,
        pairs=pairs,
        fits=fits,
        differing=differing,
        missing=tuple(part for part in left if part not in explained.values()),
        surplus=tuple(shape for shape in extra if shape not in marks),
        marks=tuple(sorted(marks)),
    )


def _cost(placed: PlacedShape, part: Part, index: int, stock: str, within: float) -> int:
    cost = 0 if part.stock == stock else _OTHER_STOCK
    cost += _OTHER_POCKETS if pocket_faults(part, placed.shape, within) else 0
    if not placed.meant:
        return cost + _NO_NAME
    if index not in placed.meant:
        return cost + _OTHER_NAME
    return cost if len(placed.meant) == 1 else cost + _ONE_OF_SEVERAL


class _Matcher:
    """Tells which shapes have the form of which parts: by corners, and where that does not tell, by distance."""

    def __init__(
        self, parts: Sequence[Part], stack: Stack, shapes: Sequence[PlacedShape], *, within: float, cutter: float
    ) -> None:
        self._parts, self._stack, self._shapes = parts, stack, shapes
        self._within, self._cutter = within, cutter
        self._patterns: dict[int, Pattern] = {}
        self._kinds: list[int] = []

    def named(self, stocks: Sequence[str]) -> dict[int, frozenset[int]] | None:
        """For each shape the part that its text means, where all have one of their own, its form and its stock.

        Then nothing is left to be told, and no shape need be compared with every part of its form.
        """
        named = {min(placed.meant): shape for shape, placed in enumerate(self._shapes) if len(placed.meant) == 1}
        if not len(named) == len(self._shapes) == len(self._parts) or any(
            stocks[self._shapes[shape].sheet] != self._parts[part].stock for part, shape in named.items()
        ):
            return None
        stack = Stack([self._shapes[shape].shape.outline for _, shape in sorted(named.items())])
        every = np.arange(len(self._parts))
        off, moves = apart(self._stack, stack, (every, every))
        if (off > self._within / 2).any():
            return None
        for (part, shape), move in zip(sorted(named.items()), moves, strict=True):
            if move is None or not _holes_agree(self._parts[part], self._shapes[shape].shape, move, self._within / 2):
                return None
        return {shape: frozenset((part,)) for part, shape in named.items()}

    def fits(self) -> dict[int, frozenset[int]]:
        """For each shape that has the form of a part or of several those parts."""
        outlines = [placed.shape.outline for placed in self._shapes]
        found: dict[int, set[int]] = {}
        # a bound from above: half the limit leaves room for what it does not see
        for part, shape, move in copies(self._stack, Stack(outlines), self._within / 2):
            if _holes_agree(self._parts[part], self._shapes[shape].shape, move, self._within / 2):
                found.setdefault(shape, set()).add(part)
        rest = [shape for shape in range(len(outlines)) if shape not in found]
        rest = sorted(rest, key=lambda index: -self._shapes[index].shape.region.area)[:_MOST_LAID]
        near: dict[int, set[int]] = {shape: set() for shape in rest}
        for part, n in zip(*alike(self._stack, Stack([outlines[s] for s in rest]), self._within), strict=True):
            near[rest[n]].add(int(part))
        for shape in rest:
            if fitting := self._fitting(shape, near[shape]):
                found[shape] = fitting
        return {shape: frozenset(fitting) for shape, fitting in sorted(found.items())}

    def _fitting(self, shape: int, near: Iterable[int]) -> set[int]:
        """The parts that a shape has the form of by distance, reliefs in corners left out of account."""
        found: set[int] = set()
        drawn = self._shapes[shape].shape
        for part in self._candidates(shape, near, range(len(self._parts)), _RELIEVED):
            pattern = self._pattern(part)
            laying = laid(pattern, drawn, self._within)
            if not exceeds(laying.off, self._within) or only_reliefs(
                pattern, drawn, laying, self._cutter, self._within
            ):
                found |= {other for other, kind in enumerate(self._kind_of_all()) if kind == part}
        return found

    def differing(self, shapes: Sequence[int], parts: Sequence[int]) -> tuple[Differing, ...]:
        """The shapes among these that are one of these parts but for a difference, each part at most once.

        Those are taken first whose label says so, then those of which most agrees.
        """
        found = []
        for shape in sorted(shapes, key=lambda index: -self._shapes[index].shape.region.area)[:_MOST_LAID]:
            placed = self._shapes[shape]
            for kind in self._candidates(shape, (), parts, _OF_ITS_SIZE):
                pattern = self._pattern(kind)
                factor = likely_factor(placed.shape, pattern, self._within)
                laying = laid(pattern, scaled([placed.shape], factor)[0], self._within)
                if factor != 1.0 and laying.off > self._within * max(factor, 1.0):  # no mere matter of scale
                    factor, laying = 1.0, laid(pattern, placed.shape, self._within)
                for part in parts:
                    named = part in placed.meant
                    if self._kind_of_all()[part] == kind and (named or laying.agree >= MOST):
                        found.append((not named, -laying.agree, laying.off, shape, part, laying, factor))
        out: dict[int, Differing] = {}
        taken: set[int] = set()
        for *_, shape, part, laying, factor in sorted(found, key=lambda each: each[:5]):
            if shape not in out and part not in taken:
                out[shape] = Differing(shape, part, laying, factor)
                taken.add(part)
        return tuple(out[shape] for shape in sorted(out))

    def _candidates(self, shape: int, near: Iterable[int], parts: Iterable[int], unlike: float) -> list[int]:
        """Parts that a shape may be, one of each form: those its label means, those near it and of its size.

        Area and length round of those of its size may be `unlike` its own by that share.
        """
        kinds = self._kind_of_all()
        among = set(parts)
        placed = self._shapes[shape]
        first = sorted({kinds[part] for part in (*placed.meant, *near) if part in among})
        patterns = [self._pattern(kind) for kind in sorted({kinds[part] for part in among})]
        sized = nearest_sizes(placed.shape, patterns, _NEAR, unlike)
        by_name = {self._pattern(kind): kind for kind in sorted({kinds[part] for part in among})}
        return list(dict.fromkeys([*first, *(by_name[pattern] for pattern in sized)]))

    def _pattern(self, part: int) -> Pattern:
        if part not in self._patterns:
            self._patterns[part] = Pattern(self._parts[part])
        return self._patterns[part]

    def _kind_of_all(self) -> list[int]:
        """For each part the first that has its very form."""
        if not self._kinds:
            kinds = list(range(len(self._parts)))
            for one, other, move in copies(self._stack, self._stack, self._within / 10):
                if one < kinds[other] and kinds[one] == one:
                    of_other = SheetShape(
                        outline=self._parts[other].drawn,
                        region=self._parts[other].drawn_shape,
                        layer="",
                        source=self._parts[other].source,
                        holes=self._parts[other].holes,
                    )
                    if _holes_agree(self._parts[one], of_other, move, self._within / 10):
                        kinds[other] = one
            self._kinds = kinds
        return self._kinds


def _holes_agree(part: Part, shape: SheetShape, move: RigidMotion, within: float) -> bool:
    """Whether every hole of the part is in the shape and every one in the shape in the part.

    What is drawn in the shape on another layer may be a hole of the part, but need not.
    """
    if not part.holes and not shape.holes:
        return True
    wanted = [_points_of(hole, None) for hole in part.holes]
    cut = [_points_of(hole, move) for hole in shape.holes]
    marked = [_points_of(mark, move) for mark in shape.marks]
    return all(any(_same(one, other, within) for other in (*cut, *marked)) for one in wanted) and all(
        any(_same(one, other, within) for one in wanted) for other in cut
    )


def _points_of(hole: Outline, move: RigidMotion | None) -> Complexes:
    """What a hole is known by: of a circle its centre and its radius to the side, else its corners and middles."""
    stack = Stack([hole])
    corners, middles = stack.corners, stack.middles
    if len(corners) == 2 and np.all(np.abs(hole.bulges) == 1.0):
        centre = corners.mean(keepdims=True)
        radius = abs(corners[1] - corners[0]) / 2
        centre = centre if move is None else move.of(centre)
        return np.array([centre[0], centre[0] + radius])
    points = np.concatenate([corners, middles])
    return points if move is None else move.of(points)


def _same(one: Complexes, other: Complexes, within: float) -> bool:
    """Whether every point of each lies on one of the other."""
    near = np.abs(one[:, None] - other[None, :]) <= within
    return bool(near.any(axis=0).all() and near.any(axis=1).all())

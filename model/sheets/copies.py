"""Cut sheets that are in the plan twice, so that what is on them would be cut once too often."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..boat.assembly import Assembly
from ..boat.cut_sheet import CutSheet
from .comparison import Comparison, compared


class Copy(NamedTuple):
    """A sheet that holds the same as another that stays; `often` shapes are on the sheets too often with it."""

    sheet: CutSheet
    other: CutSheet
    often: int


class Once(NamedTuple):
    """A boat with its copies of sheets left out, how the others compare with it, and the copies."""

    assembly: Assembly
    found: Comparison
    copies: tuple[Copy, ...]


def without_copies(assembly: Assembly) -> Once:
    """The boat's cut sheets, each once, but for those that are wanted more often: they may well be cut twice."""
    found, copies = _compared(assembly), list[Copy]()
    while _wrong(assembly, found):
        best: tuple[int, Once] | None = None
        for index, other in _alike(assembly.sheets):
            sheets = assembly.sheets[:index] + assembly.sheets[index + 1 :]
            fewer = replace(assembly, sheets=sheets)
            there = _compared(fewer)
            wrong = _wrong(fewer, there)
            if wrong < (_wrong(assembly, found) if best is None else best[0]):
                often = len(found.surplus) - len(there.surplus)
                copy = Copy(assembly.sheets[index], assembly.sheets[other], often)
                best = wrong, Once(fewer, there, (*copies, copy))
        if best is None:
            break
        assembly, found, copies = best[1].assembly, best[1].found, list(best[1].copies)
    return Once(assembly, found, tuple(copies))


def _compared(assembly: Assembly) -> Comparison:
    return compared(
        tuple(assembly.parts()),
        assembly.sheets,
        within=assembly.limits["cut_sheet"],
        cutter=assembly.cutter_diameter,
        reader=assembly.label_reader,
    )


def _wrong(assembly: Assembly, found: Comparison) -> int:
    """How many parts and shapes do not go together."""
    other = sum(
        found.parts[part].stock != assembly.sheets[found.shapes[shape].sheet].stock
        for shape, part in found.pairs.items()
    )
    return len(found.surplus) + len(found.missing) + other


def _alike(sheets: Sequence[CutSheet]) -> list[tuple[int, int]]:
    """Every sheet that holds the same as another, by index, the last first, with that other."""
    out = []
    for index in reversed(range(len(sheets))):
        same = [other for other in range(len(sheets)) if other != index and _same(sheets[index], sheets[other])]
        if same:
            out.append((index, same[0]))
    return out


def _same(one: CutSheet, other: CutSheet) -> bool:
    if len(one.shapes) != len(other.shapes) or not one.shapes:
        return False
    return all(
        a.outline.points.shape == b.outline.points.shape and np.array_equal(a.outline.points, b.outline.points)
        for a, b in zip(one.shapes, other.shapes, strict=True)
    )

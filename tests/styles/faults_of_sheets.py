"""Faults of the cut sheets; the frames are sound."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace

from .frames import Frame
from .planting import Case, Planted, fault
from .sheet import sheets


def _cut(case: Case) -> Frame | None:
    """A frame whose pieces on the sheets may be changed by themselves."""
    frame = case.frame()
    if frame is None or not case.style.sheets:
        return None
    frame.cut = deepcopy(frame.pieces)
    return frame


@fault(sized=False)
def sheet_without_a_part(case: Case) -> Planted | None:
    frame = _cut(case)
    if frame is None:
        return None
    frame.cut.remove(case.pick.choice(frame.cut))
    return case.told("cut-sheet", where=case.frames)


@fault(sized=False)
def sheet_with_a_part_twice(case: Case) -> Planted | None:
    frame = _cut(case)
    if frame is None:
        return None
    frame.cut.append(case.pick.choice(frame.cut))
    return case.told("cut-sheet", where=case.frames)


@fault()
def sheet_with_another_form(case: Case) -> Planted | None:
    frame = _cut(case)
    plates = [] if frame is None else [p for p in frame.cut if p.what == "chine gusset" and p.hand > 0]
    if not plates:
        return None
    plates[0].move(lambda c: c.mark == "arm", (-0.05 * case.times, 0.0))
    return case.told("cut-sheet", where=case.frames)


@fault(sized=False)
def sheet_in_another_unit(case: Case) -> Planted | None:
    if not case.style.sheets:
        return None
    return case.told("cut-sheet", where=case.frames, style=replace(case.style, scale=25.4))


@fault(sized=False)
def sheet_of_another_stock(case: Case) -> Planted | None:
    if not case.style.sheets or case.style.changes or len(sheets(case.style, case.frames)) < 2:
        return None
    line = 'drawing = "sheets/core.dxf"\nstock = "core"'
    changes = {line: line.replace('stock = "core"', 'stock = "ply45"')}
    return case.told("cut-sheet", where=case.frames, style=replace(case.style, changes=changes))


@fault()
def parts_closer_than_the_cutter(case: Case) -> Planted | None:
    if not case.style.sheets:
        return None
    gap = case.style.cutter / case.times
    return case.told("cut-sheet", where=case.frames, style=replace(case.style, gap=gap))

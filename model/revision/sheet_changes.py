"""Cut sheets of two states of a boat: which of the new ones hold what was cut otherwise, or not at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from scrieve.shared.tolerances import exceeds

from ..boat.assembly import Assembly
from ..sheets.copies import without_copies
from ..sheets.report import SheetReport

_AS_DRAWN, _SCALED = 0.0, -1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChange:
    """A new cut sheet, and the parts on it that have to be cut from it, by name."""

    sheet: str
    parts: tuple[str, ...]


def sheet_changes(old: Assembly, new: Assembly, changed: Collection[str]) -> tuple[SheetChange, ...]:
    """The sheets to cut again, as the plan lists them: what is `changed`, by name, lies on them.

    So does what the old sheets had in another form or size than its frame, or not at all, and the new ones have right,
    or the other way about. None where the new plan has no sheets.
    """
    before, after = _lie(old), _lie(new)
    limit = new.limits["cut_sheet"]
    out: dict[str, list[str]] = defaultdict(list)
    for part, (sheet, off) in sorted(after.items()):
        _, was = before.get(part, ("", _SCALED))
        if part in changed or (old.sheets and exceeds(abs(off - was), limit)):
            out[sheet].append(part)
    return tuple(SheetChange(sheet=each.name, parts=tuple(out[each.name])) for each in new.sheets if each.name in out)


def _lie(boat: Assembly) -> dict[str, tuple[str, float]]:
    """For each part on a cut sheet which, and how far its form there is off that in its frame, mm."""
    if not boat.sheets:
        return {}
    once = without_copies(boat)
    report = SheetReport(once.assembly, once.found)
    off = {each.shape: each.laying.off if each.factor == 1.0 else _SCALED for each in report.found.differing}
    found = {}
    for shape, part in sorted(report.whose.items()):
        scaled = report.found.factors[report.found.shapes[shape].sheet] != 1.0
        how = _SCALED if scaled else off.get(shape, _AS_DRAWN)
        found[report.found.parts[part].name] = (report.sheet_of(shape).name, how)
    return found

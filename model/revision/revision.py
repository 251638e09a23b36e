"""A revision: what is different between an old and a new state of a plan."""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from math import dist

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import exceeds

from ..assemble import assemble
from ..boat.assembly import Assembly
from ..boat.frame import Frame
from ..diagnosis.examine import examine
from ..plan.plan import Plan
from ..plan.toml_words import dotted
from .exchanged import exchanged
from .part_changes import PartChange, Point, part_changes
from .sheet_changes import SheetChange, sheet_changes


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyChange:
    """A key of the plan, and what it was and is as written; empty where it was or is not there."""

    key: str
    old: str
    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillChange:
    """Holes of a kind in a frame: how many are elsewhere, `off` mm at most, new, or gone.

    A `kind` is "forward screw", "aft screw" or "dowel".
    """

    frame: str
    kind: str
    moved: int
    off: float
    new: int
    gone: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Revision:
    """All that is different. `came` and `went` are errors and warnings that stand, in the order of their reports.

    `exchanged` are frames, two by two, of which each has the drawing that the other had: it is that which is different.
    """

    keys: tuple[KeyChange, ...]
    exchanged: tuple[tuple[str, str], ...]
    parts: tuple[PartChange, ...]
    drilled: tuple[DrillChange, ...]
    sheets: tuple[SheetChange, ...]
    came: tuple[Finding, ...]
    went: tuple[Finding, ...]

    @property
    def is_cut_anew(self) -> bool:
        """Whether anything that was cut is different: a part's form, stock or thickness, or what lies on a sheet."""
        return bool(self.sheets) or any(part.cut for part in self.parts)


def revision(
    old: Plan, new: Plan, *, today: date | None = None, progress: Callable[[str], None] | None = None
) -> Revision:
    """What is different in the new plan. Raises what reading drawings raises."""
    boats = assemble(old, progress=progress), assemble(new, progress=progress)
    parts = tuple(part_changes(*boats))
    swaps = tuple(exchanged(*boats, {part.frame for part in parts}))
    there = {number for pair in swaps for number in pair}  # their parts are cut as they were, and called otherwise
    sheets = sheet_changes(*boats, {part.name for part in parts if part.cut and part.frame not in there})
    on = {part: tuple(each.sheet for each in sheets if part in each.parts) for each in sheets for part in each.parts}
    before, after = ([*standing(examine(boat, today=today, progress=progress))] for boat in boats)
    return Revision(
        keys=tuple(_keys(old, new)),
        exchanged=swaps,
        parts=tuple(replace(part, sheets=on.get(part.name, ())) for part in parts),
        drilled=tuple(_drilled(*boats)),
        sheets=sheets,
        came=tuple(without(after, before)),
        went=tuple(without(before, after)),
    )


def standing(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The errors and warnings that are not waived."""
    return (each for each in findings if each.level is not Level.NOTE and not each.waived)


def about(finding: Finding) -> tuple[object, ...]:
    """What tells a finding from the others of its boat, in another state of it too."""
    return finding.check, finding.level, finding.frame, finding.parts


def without(findings: Iterable[Finding], others: Iterable[Finding]) -> Iterator[Finding]:
    """Those that are not among the others, by check, level, frame and what they are about."""
    known = Counter(map(about, others))
    for finding in findings:
        known[about(finding)] -= 1
        if known[about(finding)] < 0:
            yield finding


def _keys(old: Plan, new: Plan) -> Iterator[KeyChange]:
    """The keys whose values are others, those of frames by the frames' numbers."""
    before, after = (dict(_values(tomllib.loads(plan.places.text), ())) for plan in (old, new))
    for key in (*after, *(key for key in before if key not in after)):
        if before.get(key) != after.get(key):
            yield KeyChange(key=key, old=_written(before.get(key)), new=_written(after.get(key)))


def _values(value: object, path: tuple[str | int, ...]) -> Iterator[tuple[str, object]]:
    if isinstance(value, dict):
        for key, each in value.items():
            yield from _values(each, (*path, key))
    elif isinstance(value, list) and value and all(isinstance(each, dict) for each in value):
        for n, each in enumerate(value):
            number = each.get("number") if path == ("frames",) else None
            yield from _values(each, (*path, n) if number is None else (f"F{number}",))
    else:
        yield dotted(path), value


def _written(value: object) -> str:
    return "" if value is None else json.dumps(value, ensure_ascii=False, default=str)


def _drilled(old: Assembly, new: Assembly) -> Iterator[DrillChange]:
    ours = {frame.number: frame for frame in old.frames}
    for frame in new.frames:
        for kind, points in _points(frame).items():
            before = _points(ours[frame.number])[kind] if frame.number in ours else []
            moved, off, more, less = _matched(before, points, new.limits["cut_sheet"])
            if moved or more or less:
                yield DrillChange(frame=frame.number, kind=kind, moved=moved, off=off, new=more, gone=less)


def _points(frame: Frame) -> dict[str, list[Point]]:
    """Where holes that are drawn stand, those from forward apart from those from aft."""
    screws = [each for each in frame.screws if not each.proposed]
    of_faces = {
        f"{face} screw": [each.at for each in screws if each.driven_from == face] for face in ("forward", "aft")
    }
    return {**of_faces, "dowel": [each.at for each in frame.dowels if each.source.handle]}


def _matched(old: list[Point], new: list[Point], limit: float) -> tuple[int, float, int, int]:
    """How many points moved and how far at most, and how many are new and gone; the nearest are one another's."""
    pairs = sorted((dist(a, b), i, j) for i, a in enumerate(old) for j, b in enumerate(new))
    left, right, offs = set(range(len(old))), set(range(len(new))), []
    for off, i, j in pairs:
        if i in left and j in right:
            left.remove(i)
            right.remove(j)
            offs.append(off)
    moved = [off for off in offs if exceeds(off, limit)]
    return len(moved), max(moved, default=0.0), len(right), len(left)

"""A plan with its drawings, in memory: changed by edits as its files would be, and set up and checked again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TypeAlias

from scrieve.shared.edits import Edit, OfDrawing, SetKey
from scrieve.shared.errors import DrawingError, ScrieveError
from scrieve.shared.findings import Finding, Level
from scrieve.shared.regular_file import read_whole

from ..assemble import assemble
from ..boat.assembly import Assembly
from ..drawing.collector import MOST_OBJECTS
from ..drawing.document import LARGEST, Opened
from ..plan.plan import Plan
from ..plan.plan_reader import edited
from ..review import review
from .drawing_file import DrawingFile
from .faults import Faults
from .not_editable import NotEditableError
from .sheets_followed import followed

Region: TypeAlias = tuple[tuple[int, int], tuple[int, int]]

_ROUNDED = 1e-3
"""mm; by so much more than outlines may be open a corner may stand off the place that an edit has it at."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """What was changed for a finding: the edits of its cure, and those by which cut sheets follow.

    `was` is what stood in the plan before, by the edit of it.
    """

    finding: Finding
    edits: tuple[Edit, ...]
    was: Mapping[Edit, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """The copy that cures make, those that could be made, and why each of the `others`, by its place, could not be."""

    copy: PlanCopy
    changes: tuple[Change, ...]
    others: Mapping[int, str]


@dataclass(frozen=True, kw_only=True, eq=False)
class PlanCopy:
    """A plan whose `contents` stand for all drawings that have been changed, and its boat."""

    plan: Plan
    boat: Assembly
    today: date | None

    @classmethod
    def of(cls, plan: Plan, today: date | None) -> PlanCopy:
        """The plan as it stands. Raises what setting up raises."""
        return cls(plan=plan, boat=assemble(plan), today=today)

    @cached_property
    def faults(self) -> Faults:
        """Its errors and warnings that stand, with those that are held beneath others."""
        found = review(self.boat, today=self.today, held=True)
        return Faults.of(self.boat, (each for each in found if each.level is not Level.NOTE and not each.waived))

    @cached_property
    def files(self) -> dict[str, bytes]:
        """All files that the plan is made of, by name. Raises DrawingError."""
        plan = self.plan.places.text.encode()
        return {self.plan.file.name: plan} | {name: self._content(name) for name in self.plan.drawings}

    def with_cures(self, cures: Sequence[Finding]) -> Tried:
        """The copy with the edits of these findings made, each all or not at all, and checked. Raises ScrieveError."""
        files: dict[str, DrawingFile] = {}
        keys: dict[Region, SetKey] = {}
        changes, others = [], {}
        near = self.plan.limits["outline"] + _ROUNDED
        for index, cure in enumerate(cures):
            edits = (*cure.edits, *followed(self.boat, cure.edits))
            try:
                new_keys = keys | _keys(edits, keys)
                files |= {
                    name: (files.get(name) or self._opened(name)).with_edits(own, near)
                    for name, own in _of_drawings(edits).items()
                }
                keys = new_keys
                was: dict[Edit, str] = {
                    edit: self.plan.places.text_of(edit.start, edit.end) for edit in edits if isinstance(edit, SetKey)
                }
                changes.append(Change(finding=cure, edits=edits, was=was))
            except NotEditableError as problem:
                others[index] = str(problem)
        plan = edited(self.plan, keys.values()) if keys else self.plan
        contents = {**self.plan.contents, **{name: file.content() for name, file in files.items()}}
        copy = PlanCopy.of(replace(plan, contents=contents), self.today) if changes else self
        return Tried(copy=copy, changes=tuple(changes), others=others)

    def _content(self, name: str) -> bytes:
        known = self.plan.contents.get(name)
        if known is not None:
            return known
        path = self.plan.folder / name
        return read_whole(path, most=LARGEST, error=DrawingError, shown=str(path))

    def _opened(self, name: str) -> DrawingFile:
        content = self._content(name)

        def handles() -> list[str]:
            try:
                return [str(each.dxf.handle or "") for each in Opened(content, name, MOST_OBJECTS).drawn()]
            except ScrieveError as error:
                raise NotEditableError(str(error)) from None

        return DrawingFile(content, handles)


def _of_drawings(edits: Sequence[Edit]) -> dict[str, list[OfDrawing]]:
    out: dict[str, list[OfDrawing]] = defaultdict(list)
    for edit in edits:
        if not isinstance(edit, SetKey):
            out[edit.target.file].append(edit)
    return out


def _keys(edits: Sequence[Edit], known: Mapping[Region, SetKey]) -> dict[Region, SetKey]:
    """The edits of the plan by place. Raises NotEditableError where they are in the way of those that are known."""
    out = {(edit.start, edit.end): edit for edit in edits if isinstance(edit, SetKey)}
    for edit in out.values():
        for other in known.values():
            if edit != other and edit.start <= other.end and other.start <= edit.end:
                raise NotEditableError("another change is made to the same")
    return out

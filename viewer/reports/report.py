"""The report: what was read and found on one plan. Every writer of a format takes these."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeAlias

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.evidence import subject
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel, Screw
from scrieve.shared.errors import Mistake
from scrieve.shared.findings import Finding, Level, Source, Subject

if TYPE_CHECKING:  # loaded where it is asked for
    from scrieve.model.tolerance.tolerance import Tolerance

Unread: TypeAlias = Mapping[str, Sequence[Mistake]]
"""The plans that could not be read, as the user wrote them, and a mistake for each cause."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was found on one plan.

    `plan` is its path as the user wrote it, `file` that of the plan file itself (what drawings and other
    sources are relative to the folder of), `boat` its name. `frames` are the numbers from aft
    forward; `parts`, `screws` and `battens` are counts. `ran` and `left_out` are the slugs of the
    checks that did and did not run, `findings` come as `review` sorts them. `sources` are the files of what these
    are about. `readings` are thicknesses of stocks, mm, that were given besides the plan. `tolerance` is what comes of
    stock, cutter and screws a little off, if that was asked for.
    """

    plan: str
    file: str = ""
    boat: str
    frames: tuple[str, ...] = ()
    parts: int = 0
    screws: int = 0
    battens: int = 0
    ran: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    sources: Mapping[Subject, Source] = field(default_factory=dict)
    readings: Mapping[str, float] = field(default_factory=dict)
    tolerance: Tolerance | None = None

    @classmethod
    def of(
        cls,
        assembly: Assembly,
        findings: Iterable[Finding],
        *,
        plan: str,
        ran: Iterable[str],
        left_out: Iterable[str],
        tolerance: Tolerance | None = None,
    ) -> Report:
        """The report on a boat that was set up and reviewed."""
        findings = tuple(findings)
        return cls(
            plan=plan,
            file=plan if os.path.basename(plan) == assembly.source.file else os.path.join(plan, assembly.source.file),
            boat=assembly.name,
            frames=tuple(frame.number for frame in assembly.frames),
            parts=sum(1 for _ in assembly.parts()),
            screws=sum(len(frame.screws) for frame in assembly.frames),
            battens=len(assembly.battens),
            ran=tuple(ran),
            left_out=tuple(left_out),
            findings=findings,
            sources=_sources(assembly, (*findings, *_beyond(tolerance))),
            readings={} if assembly.plan is None else assembly.plan.readings,
            tolerance=tolerance,
        )

    @property
    def counts(self) -> dict[str, int]:
        """How many findings of each level stand, worst first, and how many are `waived`: these count nowhere else.

        `held` is how many of those that stand follow from another.
        """
        standing = self.standing
        levels = {str(level): sum(finding.level == level for finding in standing) for level in Level}
        held = sum(finding.because is not None for finding in standing)
        return {**levels, "waived": len(self.findings) - len(standing), "held": held}

    @property
    def standing(self) -> tuple[Finding, ...]:
        """The findings that are not waived."""
        return tuple(finding for finding in self.findings if not finding.waived)

    @property
    def roots(self) -> tuple[Finding, ...]:
        """The findings that follow from no other."""
        return tuple(finding for finding in self.findings if finding.because is None)

    def held_by(self, root: Finding) -> tuple[Finding, ...]:
        """The findings that follow from this one."""
        return tuple(finding for finding in self.findings if finding.because is root)

    def fails(self, level: Level | None) -> bool:
        """Whether a standing finding is at this level or worse, as planned or within tolerance; never, for None."""
        return any(failing(finding, level) for finding in (*self.standing, *_beyond(self.tolerance)))

    def with_tolerance(self) -> Report:
        """The same with what comes within tolerance among the findings, for formats that have no place of their own."""
        return replace(self, findings=(*self.findings, *_beyond(self.tolerance)), tolerance=None)


def _beyond(tolerance: Tolerance | None) -> tuple[Finding, ...]:
    return () if tolerance is None else (*tolerance.came, *tolerance.notes)


def _sources(assembly: Assembly, findings: Iterable[Finding]) -> dict[Subject, Source]:
    """Where each thing that the findings are about comes from; the plan, where it is drawn nowhere."""
    known: dict[Subject, Source] = {}
    for frame in assembly.frames:
        things: tuple[Frame | Part | Screw | Dowel, ...] = (frame, *frame.parts, *frame.screws, *frame.dowels)
        known |= {subject(thing): thing.source for thing in things}
    known |= {Subject(kind="sheet", name=sheet.name): Source(file=sheet.name) for sheet in assembly.sheets}
    asked = dict.fromkeys(each for finding in findings for each in finding.subjects)
    return {each: known.get(each, assembly.source) for each in asked}


def failing(finding: Finding, level: Level | None) -> bool:
    """Whether a finding stands, at this level or worse; never, for None."""
    return level is not None and not finding.waived and finding.level.rank <= level.rank

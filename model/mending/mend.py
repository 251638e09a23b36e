"""Mends a plan: every sure cure is made in a copy of its files and checked again; what makes worse is taken back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from scrieve.shared.edits import SetKey
from scrieve.shared.errors import ScrieveError
from scrieve.shared.findings import Finding, Level

from ..boat.assembly import Assembly
from ..plan.plan import Plan
from .advice import advised
from .plan_copy import Change, PlanCopy

MOST_ROUNDS = 10
"""of cures; what is cured may show more to cure, and no boat so far took a third."""

MOST_TRIALS = 120
"""times that a boat is set up and checked again."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Left:
    """A finding that stays, and why."""

    finding: Finding
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mended:
    """What came of mending: the `files` of the mended plan by name, and its boat.

    `changes` come as they were made, in so many `rounds`; `left` are the findings that stand, those that follow from
    others not told apart. `gone` is how many errors and warnings there are less. `given_up`: there was more to try.
    """

    files: Mapping[str, bytes]
    boat: Assembly
    changes: tuple[Change, ...]
    left: tuple[Left, ...]
    findings: tuple[Finding, ...]
    gone: int
    rounds: int
    given_up: bool


def mend(
    plan: Plan,
    *,
    only: Collection[str] = (),
    today: date | None = None,
    progress: Callable[[str], None] | None = None,
) -> Mended:
    """The plan mended as far as sure cures go, of these checks where any are named; no file is touched.

    A cause is undone before what follows from it is looked at. Raises what reading and setting up raise.
    """
    copy, work = PlanCopy.of(plan, today), _Work(progress or (lambda _: None))
    first = copy
    changes: list[Change] = []
    rounds = 0
    while True:
        findings = advised(copy.boat, today=today)
        work.why.clear()
        cures = [each for each in findings if _is_sure(each) and (not only or each.check in only)]
        causes = [cure for cure in cures if any(each.because is cure for each in findings)]
        kept: list[Change] = []
        for those in (causes, cures) if rounds < MOST_ROUNDS else ():
            if those and not kept:
                copy, kept = work.tried(copy, those)
        if not kept:
            break
        changes += kept
        rounds += 1
    told = [each for each in findings if not only or each.check in only]
    return Mended(
        files=copy.files,
        boat=copy.boat,
        changes=tuple(changes),
        left=tuple(Left(finding=each, why=work.why_left(each)) for each in told if _stands(each)),
        findings=tuple(told),
        gone=len(first.faults) - len(copy.faults) if changes else 0,
        rounds=rounds,
        given_up=any(id(each) not in work.why for each in cures),
    )


def _stands(finding: Finding) -> bool:
    return finding.level is not Level.NOTE and not finding.waived and finding.because is None


def _is_sure(finding: Finding) -> bool:
    return bool(finding.edits) and _stands(finding) and all(edit.sure for edit in finding.edits)


class _Work:
    """Trials of cures, and `why` those that were taken back were, by the id of their finding."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._left, self._tell = MOST_TRIALS, tell
        self.why: dict[int, str] = {}

    def why_left(self, finding: Finding) -> str:
        """Why a finding stays."""
        if not finding.edits:
            return "no plain change of the files is known to cure it"
        if not all(edit.sure for edit in finding.edits):
            return "its cure leaves a choice"
        return self.why.get(id(finding), "there was no time to try its cure")

    def tried(self, copy: PlanCopy, cures: Sequence[Finding]) -> tuple[PlanCopy, list[Change]]:
        """The copy with those cures made that do what they should and nothing else, and these; none past all trials."""
        if self._left == 0:
            return copy, []
        self._left -= 1
        self._tell("trial")
        try:
            tried = copy.with_cures(cures)
        except ScrieveError as error:
            if len(cures) > 1:
                return self._apart(copy, cures, set())
            self.why[id(cures[0])] = f"tried: the plan could not be read any more ({error})"
            return copy, []
        self.why |= {id(cures[index]): f"not made: {why}" for index, why in tried.others.items()}
        if not tried.changes:
            return copy, []
        made = [change.finding for change in tried.changes]
        new = tried.copy.faults.new(copy.faults)
        stay = [each for each in made if not self._went(each, copy, tried.copy)]
        if not new and not stay:
            return tried.copy, list(tried.changes)
        frames = {each.frame for each in new}
        blamed = {id(each) for each in made if each in stay or each.frame in frames}
        postponed = [cures[index] for index in tried.others]
        if len(made) == 1:
            self.why[id(made[0])] = f"tried: it brings {new[0].check}: {new[0].message}" if new else "tried: it stays"
            kept = list[Change]()
        else:
            copy, kept = self._apart(copy, made, blamed)
        # what the others were in the way of is as it was told only while none of them is made
        return self.tried(copy, postponed) if postponed and not kept else (copy, kept)

    def _apart(
        self, copy: PlanCopy, cures: Sequence[Finding], blamed: Collection[int]
    ) -> tuple[PlanCopy, list[Change]]:
        """The same in two parts: those that are `blamed` by their ids after the others, or else by halves."""
        first = [each for each in cures if id(each) not in blamed]
        if len(first) in (0, len(cures)):
            first = list(cures[: len(cures) // 2])
        after, kept = self.tried(copy, first)
        rest = [each for each in cures if not any(each is other for other in first)]
        if after.plan.places is not copy.plan.places:  # places in the plan's text are now others
            rest = [each for each in rest if not any(isinstance(edit, SetKey) for edit in each.edits)]
        after, more = self.tried(after, rest) if rest else (after, [])
        return after, [*kept, *more]

    @staticmethod
    def _went(finding: Finding, before: PlanCopy, after: PlanCopy) -> bool:
        """Whether a finding is there no more; of one that explains others, whether there are fewer."""
        known = before.faults.about(finding)
        return after.faults.lacks(finding, before.faults) if known else len(after.faults) < len(before.faults)

"""A trial: the slip of a hypothesis is undone in memory, the checks run again, and what is gone then is told.

The checks whose findings must go run first. The first new finding ends it, and so does the first too many that stays.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence

import shapely

from scrieve.shared.budget import Budget
from scrieve.shared.errors import ScrieveError
from scrieve.shared.findings import Finding, Level
from scrieve.shared.memory_shortage import short_of_memory
from scrieve.shared.names import within_frame
from scrieve.shared.sentences import form

from ..boat.assembly import Assembly
from ..review import found, is_waived
from .case import Case, Hypothesis

CLEARS = 0.8
"""share of its trace that must go; what is left may be a fault of its own. Common practice, no source."""

LOOK, PROOF = 1, 3
"""steps of work: the boat set up again and looked at until something speaks against it; all checks run to the end."""

_ONE_OF_MANY = re.compile(r"\b(?:port|starboard)\b|(?<=screw )\d+|(?<=dowel )\d+")


def cleared(case: Case, hypothesis: Hypothesis, checks: Sequence[str], budget: Budget) -> tuple[Finding, ...]:
    """The findings that go when the slip is undone; none where too few of its trace do, or anything new comes.

    Raises TooCrowded where the budget does not allow the trial.
    """
    budget.spend(LOOK)
    wanted = Counter(finding.check for finding in hypothesis.trace)
    first = sorted(set(wanted) & set(checks), key=lambda check: (-wanted[check], check))
    try:
        if case.boat.edited is None or (boat := case.boat.edited(hypothesis.edits)) is None:
            return ()
        left = _left(case, hypothesis, boat, first)
        if left is not None:
            Budget(budget.left).spend(PROOF)
            left = _left(case, hypothesis, boat, [*first, *(check for check in checks if check not in first)])
            budget.spend(LOOK if left is None else PROOF)
    except (ScrieveError, ValueError, shapely.errors.GEOSException) as error:
        if short_of_memory(error):
            raise
        return ()
    return () if left is None else tuple(finding for finding in case.findings if id(finding) not in left)


def _left(case: Case, hypothesis: Hypothesis, boat: Assembly, checks: Collection[str]) -> set[int] | None:
    """The ids of the findings that these checks still have; None as soon as one is new, or too much is left."""
    before: dict[object, list[Finding]] = {}
    for finding in reversed(case.findings):
        before.setdefault(_identity(finding, hypothesis), []).append(finding)
    trace = set(map(id, hypothesis.trace))
    may_stay = (1.0 - CLEARS) * len(trace)
    left: set[int] = set()
    for finding in found(boat, checks):
        if finding.level is Level.NOTE or is_waived(finding, case.boat.waivers):
            continue
        alike = before.get(_identity(finding, hypothesis))
        if not alike and finding.check in hypothesis.brings and finding.frame == hypothesis.frame:
            continue
        if not alike or alike[-1].level.rank > finding.level.rank:
            return None
        left.add(id(alike.pop()))
        if len(left & trace) > may_stay:
            return None
    return left


def _identity(finding: Finding, hypothesis: Hypothesis) -> object:
    """What is the same of a finding before and after: sides, and numbers counted over, may change."""

    def frame(number: str) -> str:
        return "*" if number in hypothesis.alike else number

    subjects = sorted(
        (each.kind, frame(each.frame), _ONE_OF_MANY.sub("", within_frame(each.name, each.frame)))
        for each in finding.subjects
    )
    return finding.check, frame(finding.frame), tuple(subjects) or form(finding.message)

"""Checks a boat and looks for the causes of what is found: one finding a cause, what follows from it held beneath."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from importlib import import_module
from itertools import zip_longest
from pkgutil import iter_modules

from scrieve.shared.budget import Budget, TooCrowded
from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.wording import joined

from ..boat.assembly import Assembly
from ..checks import CHECKS
from ..review import review
from . import hypotheses
from .case import Case, Hypothesis, Propose
from .trial import cleared

_WORK = 12
"""steps of work for all trials of a boat, so that they take no more than twice the time of the check itself."""

_TIES = 4  # trials that may only find another reading of what is explained

PROPOSE: tuple[Propose, ...] = tuple(
    import_module(f"{hypotheses.__name__}.{module.name}").propose
    for module in sorted(iter_modules(hypotheses.__path__), key=lambda module: module.name)
)
"""Every hypothesis, by the name of its file."""


def examine(
    assembly: Assembly,
    *,
    only: Collection[str] = (),
    skip: Collection[str] = (),
    today: date | None = None,
    progress: Callable[[str], None] | None = None,
) -> tuple[Finding, ...]:
    """The findings as `review` has them, but first the causes that trials prove, each before what follows from it.

    Trials are made where errors and warnings are many and most checks run: few prove nothing.
    """
    findings = review(assembly, only=only, skip=skip, today=today, progress=progress, held=True)
    checks = [slug for slug in CHECKS if (not only or slug in only) and slug not in skip]
    if len(checks) * 2 < len(CHECKS) or assembly.plan is None or assembly.edited is None:
        return _in_turn(findings)
    standing = tuple(each for each in findings if each.level is not Level.NOTE and not each.waived and not each.because)
    case = Case(boat=assembly, plan=assembly.plan, findings=standing)
    causes = list(_causes(case, checks))
    held = {id(each): cause for cause in causes for each in (*cause.held, *(slip.root for slip in cause.slips[:1]))}
    told: list[Finding] = []
    for cause in causes:
        own = cause.slips[0].root
        under = [each for each in findings if held.get(id(each.because or each)) is cause and each is not own]
        root = own or _finding(cause, len(under))
        told += [root, *(replace(each, because=root) for each in under)]
    return _in_turn((*told, *(each for each in findings if id(each.because or each) not in held)))


def _in_turn(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings in their order, each followed by what follows from it."""
    under: dict[int, list[Finding]] = {}
    for each in findings:
        if each.because is not None:
            under.setdefault(id(each.because), []).append(each)
    roots = [each for each in findings if each.because is None]
    return tuple(one for root in roots for one in (root, *under.get(id(root), ())))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Cause:
    """Slips that explain the same findings, which are `held`: more than one where no trial tells which it is."""

    slips: tuple[Hypothesis, ...]
    held: tuple[Finding, ...]


def _causes(case: Case, checks: Sequence[str]) -> Iterator[_Cause]:
    """The causes, that of most findings first."""
    budget, again = Budget(_WORK), Budget(_TIES)
    proved: list[tuple[Hypothesis, tuple[Finding, ...]]] = []
    explained: set[int] = set()
    for hypothesis in _worth_a_trial(case):
        keys = {edit.key for edit in hypothesis.edits if isinstance(edit, SetKey)}
        if not hypothesis.loose and any(
            keys & {edit.key for edit in other.edits if isinstance(edit, SetKey)} for other, _ in proved
        ):
            continue  # the same with another number
        if 2 * sum(id(each) in explained for each in hypothesis.trace) > len(hypothesis.trace):
            if again.left < 1:
                continue
            again.spend(1)
        try:
            gone = hypothesis.trace if hypothesis.evident else cleared(case, hypothesis, checks, budget)
        except TooCrowded:
            break
        if gone:
            proved.append((hypothesis, gone))
            explained |= set(map(id, gone))
    proved.sort(key=lambda each: -len(each[1]))
    held: set[int] = set()
    for n, (hypothesis, gone) in enumerate(proved):
        ids = set(map(id, gone))
        if len(ids & held) * 2 > len(ids):
            continue
        ties = [other for other, same in proved[n + 1 :] if len(same) == len(gone) and set(map(id, same)) == ids]
        yield _Cause(slips=(hypothesis, *ties), held=tuple(each for each in gone if id(each) not in held))
        held |= ids


def _worth_a_trial(case: Case) -> list[Hypothesis]:
    """What the hypotheses propose with trace enough, the one with most first, turn by turn."""
    made = []
    for propose in PROPOSE:
        own = [each for each in propose(case) if len(each.trace) >= each.fewest and (each.edits or each.evident)]
        made.append(sorted(own, key=lambda each: -len(each.trace)))
    made.sort(key=lambda own: -len(own[0].trace) if own else 0)
    return [each for turn in zip_longest(*made) for each in turn if each is not None]


def _finding(cause: _Cause, many: int) -> Finding:
    """The finding that tells a cause, of so many findings."""
    first, *ties = cause.slips
    worst = min((held.level for held in cause.held), key=lambda level: level.rank)
    checks = Counter(held.check for held in cause.held if held.level is worst)
    says = joined([each.says for each in cause.slips], "; or ", "; or ")
    cure = joined([each.cure for each in cause.slips], "; or ", "; or ")
    return Finding(
        check=min(checks, key=lambda check: (-checks[check], check)),
        level=worst,
        message=Sentence.of(
            "{says}: {count} {go}{which}",
            says=says,
            count=Quantity.of(many, f"{many} findings" if many > 1 else "a finding"),
            go=_proof(first, many),
            which="; no trial tells which it is" if ties else "",
        ),
        frame=first.frame,
        cure=cure,
        source=first.source,
        subjects=first.subjects,
        edits=()
        if ties or first.like
        else tuple(replace(edit, sure=not (first.loose or first.read_off)) for edit in first.edits),
    )


def _proof(slip: Hypothesis, many: int) -> str:
    if slip.evident:
        return "are of it" if many > 1 else "is of it"
    return f"{'go' if many > 1 else 'goes'} when that is set right, and none comes"


__all__ = ["PROPOSE", "examine"]

"""Cures that are tried in memory before they are told: what does not cure, or brings an error, is no advice.

All are made at once in one copy of the boat, which is checked again: most are proved by that alone. Others are tried
again one cure a frame, and what cannot be told apart even then by itself, until the budget is spent.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import shapely

from scrieve.shared.budget import Budget, TooCrowded
from scrieve.shared.edits import Add, Edit, SetKey
from scrieve.shared.errors import ScrieveError
from scrieve.shared.findings import Finding, Level, Source
from scrieve.shared.memory_shortage import short_of_memory
from scrieve.shared.sentences import Sentence, quantities

from ..boat.assembly import Assembly
from ..boat.proportion import look_first
from ..checks import CHECKS
from ..diagnosis.examine import examine
from ..drawing import is_added
from ..proposals.unread import is_beside_unread
from ..review import found, is_waived
from .faults import Faults
from .sheets_followed import followed

_LAID_OUT = "cut-sheet"
_TRIALS = 3  # each takes two thirds of the time of a check; then what is left is told untried


def advised(
    assembly: Assembly,
    *,
    only: Collection[str] = (),
    skip: Collection[str] = (),
    today: date | None = None,
    progress: Callable[[str], None] | None = None,
) -> tuple[Finding, ...]:
    """The findings as `examine` has them, but no cure that a trial with these checks speaks against.

    One that leaves its finding or brings an error is not told, nor is one in numbers beside a part that could not be
    read. One that brings a warning is not sure. Not tried are a part that is added, since that wants screws and
    a place on a sheet besides, and what is held beneath another; what there is no budget to try stays as it is.
    """
    examined = examine(assembly, only=only, skip=skip, today=today, progress=progress)
    findings = _replaced(examined, {id(each): of for each in examined if (of := _unfounded(each, assembly))})
    checks = [slug for slug in CHECKS if (not only or slug in only) and slug not in skip]
    cures: dict[tuple[Edit, ...], list[Finding]] = {}
    for each in findings:
        stands = _counts(each, assembly) and each.because is None
        if stands and each.edits and not any(map(_adds_a_part, each.edits)):
            cures.setdefault(each.edits, []).append(each)
    if not cures or assembly.edited is None:
        return findings
    trials = _Trials(assembly, [each for each in findings if _counts(each, assembly)], checks)
    verdicts = trials.verdicts([_Cure.of(edits, of, assembly) for edits, of in cures.items()])
    return _replaced(findings, {id(each): verdicts[id(each)].on(each) for each in findings if id(each) in verdicts})


def _replaced(findings: Sequence[Finding], others: Mapping[int, Finding]) -> tuple[Finding, ...]:
    """The findings with others in the place of some, by their ids, above those that are held beneath them too."""
    new = [others.get(id(each), each) for each in findings]
    return tuple(
        replace(each, because=others[id(each.because)]) if id(each.because) in others else each for each in new
    )


def _unfounded(finding: Finding, assembly: Assembly) -> Finding | None:
    """A finding with another cure where a part beside it could not be read, of whose loss it may come; else None."""
    in_numbers = bool(finding.edits) or any(True for _ in quantities(finding.cure))
    of_plan = CHECKS[finding.check].tells_first or any(isinstance(edit, SetKey) for edit in finding.edits)
    if not in_numbers or of_plan or not is_beside_unread(finding, assembly):
        return None
    frame = next(frame for frame in assembly.frames if frame.number == finding.frame)
    return replace(finding, edits=(), cure=look_first(frame, assembly))


def _counts(finding: Finding, assembly: Assembly) -> bool:
    return finding.level is not Level.NOTE and not is_waived(finding, assembly.waivers)


def _adds_a_part(edit: Edit) -> bool:
    return isinstance(edit, Add) and len(edit.points) > 2 and bool(edit.target.frame)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cure:
    """Edits, the findings that they cure, and the `frames` where they may bring others; None where that is anywhere.

    `bends`: battens may run otherwise then.
    """

    edits: tuple[Edit, ...]
    findings: tuple[Finding, ...]
    frames: frozenset[str] | None
    bends: bool

    @classmethod
    def of(cls, edits: tuple[Edit, ...], findings: Sequence[Finding], boat: Assembly) -> _Cure:
        drawn = [edit for edit in edits if not isinstance(edit, SetKey)]
        keys = [edit.key for edit in edits if isinstance(edit, SetKey)]
        files = {edit.target.file for edit in drawn}
        about = {frame.number for frame in boat.frames if frame.view.shown in files}
        about |= {each.frame for each in findings if each.frame}
        sections = {_object(section.source) for frame in boat.frames for section in frame.sections}
        bends = bool(keys) or not sections.isdisjoint(_objects(edits))
        if bends:
            numbers = [frame.number for frame in boat.frames]
            beside = [n + by for n, number in enumerate(numbers) if number in about for by in (-1, 1)]
            about |= {numbers[n] for n in beside if 0 <= n < len(numbers)}
        anywhere = not about or any(key[0] != "frames" for key in keys)
        return cls(edits=edits, findings=tuple(findings), frames=None if anywhere else frozenset(about), bends=bends)

    @property
    def on_sheets(self) -> bool:
        """Whether a cut sheet is changed."""
        return any(not isinstance(edit, SetKey) and not edit.target.frame for edit in self.edits)

    def meets(self, other: _Cure) -> bool:
        """Whether what comes in some frame may be of either."""
        return self.frames is None or other.frames is None or not self.frames.isdisjoint(other.frames)

    def stands_off(self, other: _Cure) -> bool:
        """Whether it can be told apart of which of the two something comes."""
        return not self.bends and not other.bends and not self.meets(other)

    def goes_with(self, other: _Cure) -> bool:
        """Whether both can be made: no object is changed by both in different ways."""
        mine, its = (set(each.edits) for each in (self, other))
        return _objects(mine - its).isdisjoint(_objects(its)) and _objects(its - mine).isdisjoint(_objects(mine))

    def is_near(self, finding: Finding) -> bool:
        """Whether a finding may come of it."""
        frames = {finding.frame, *(each.frame for each in finding.subjects)} - {""}
        return self.frames is None or not frames or not self.frames.isdisjoint(frames)


def _object(source: Source) -> tuple[str, str]:
    return source.file, source.handle


def _objects(edits: Iterable[Edit]) -> set[tuple[str, str]]:
    """The objects of drawings that edits change, each by its file and handle."""
    return {
        (edit.target.file, handle) for edit in edits if not isinstance(edit, SetKey) for handle in edit.target.handles
    }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Verdict:
    """What a trial says of a cure: whether what it should cure `stays`, and what it `brings`, the worst first."""

    stays: bool
    brings: tuple[Finding, ...]

    def on(self, finding: Finding) -> Finding:
        """The finding with what is left of its cure."""
        if self.stays:
            return replace(
                finding, edits=(), cure="look at the place: the plain change that was tried does not cure it"
            )
        if not self.brings:
            return finding
        worst = self.brings[0]
        if worst.level is not Level.ERROR:
            return replace(finding, edits=tuple(replace(edit, sure=False) for edit in finding.edits))
        cure = Sentence.of(
            "look at the place: the plain change that was tried brings {check}: {message}",
            check=worst.check,
            message=worst.message,
        )
        return replace(finding, edits=(), cure=cure)


class _Trials:
    """Cures made in memory, and the boat checked again; `standing` are the faults that were found before."""

    def __init__(self, boat: Assembly, standing: Iterable[Finding], checks: Sequence[str]) -> None:
        self._boat, self._checks = boat, checks
        self._before = Faults.of(boat, standing)
        self._drawn = set(self._before.drawn.values())
        self._excluded = {each.frame for each in boat.excluded}
        self._budget = Budget(_TRIALS)
        self._open: dict[_Cure, tuple[_Verdict, set[object]]] = {}  # what is sure so far, and what others may bring

    def verdicts(self, cures: Sequence[_Cure]) -> Mapping[int, _Verdict]:
        """What there is to be said of each finding's cure, by its id; nothing of those that were not tried."""
        told: dict[_Cure, _Verdict] = {}
        straight = [each for each in cures if not each.bends]
        try:
            if straight:
                self._try(_those(straight, _Cure.goes_with), told)
            left = sorted(cures, key=lambda cure: cure.bends)
            for fits in (_Cure.stands_off, lambda *_: False):
                waiting = [each for each in left if each not in told]
                while waiting:
                    batch = _those(waiting, fits)
                    self._try(batch, told)
                    waiting = [each for each in waiting if each not in batch and each not in told]
        except TooCrowded:
            pass
        told = {cure: verdict for cure, (verdict, _) in self._open.items()} | told
        return {id(each): verdict for cure, verdict in told.items() for each in cure.findings}

    def _try(self, cures: Sequence[_Cure], told: dict[_Cure, _Verdict]) -> None:
        """Makes these, and adds to what is told of each as far as it can be told then. Raises TooCrowded."""
        self._budget.spend(1)
        edits = tuple(dict.fromkeys(edit for cure in cures for edit in cure.edits))
        try:
            if self._boat.edited is None:
                return
            boat = self._boat.edited((*edits, *followed(self._boat, edits)))
            after = Faults.of(boat, (each for each in found(boat, self._checks) if _counts(each, boat)))
        except (ScrieveError, ValueError, shapely.errors.GEOSException) as error:
            if short_of_memory(error):
                raise
            return
        new = [each for each in after.new(self._before) if self._is_brought(each, after)]
        blamed = [(each, _blamed(each, cures, after)) for each in sorted(new, key=lambda each: each.level.rank)]
        for cure in cures:
            stays = not all(after.lacks(each, self._before) for each in cure.findings)
            if stays and any(cure.meets(other) for other in cures if other is not cure):
                continue
            own = tuple(each for each, likely in blamed if likely == [cure])
            shared = [each for each, likely in blamed if cure in likely and len(likely) > 1]
            verdict = _Verdict(stays=stays, brings=own)
            if not shared or (own and own[0].level.rank <= shared[0].level.rank):
                told[cure] = verdict
            elif not stays:
                self._open[cure] = verdict, {_said(each) for each in shared}
        of_others = {_said(each) for verdict in told.values() for each in verdict.brings}
        told |= {
            cure: verdict for cure, (verdict, shared) in self._open.items() if shared <= of_others and cure not in told
        }

    def _is_brought(self, finding: Finding, after: Faults) -> bool:
        """Whether a new finding was not there before: of what was not judged, or could not be read, it was."""
        if finding.frame in self._excluded:
            return False
        drawn = [after.drawn[each] for each in finding.subjects if each in after.drawn]
        return all(source in self._drawn or is_added(source) for source in drawn)


def _said(finding: Finding) -> object:
    return finding.check, finding.frame, finding.subjects, str(finding.message)


def _blamed(finding: Finding, cures: Sequence[_Cure], after: Faults) -> list[_Cure]:
    """The cures of which a new finding may come: those that changed what it is about, or else all near it."""
    # a part that is changed has to be laid out anew on its sheet: that speaks against no cure of its frame
    likely = [each for each in cures if each.on_sheets or finding.check != _LAID_OUT]
    about = {_object(after.drawn[each]) for each in finding.subjects if each in after.drawn}
    changed = [each for each in likely if not about.isdisjoint(_objects(each.edits))]
    return changed or [each for each in likely if each.is_near(finding)]


def _those(cures: Iterable[_Cure], fits: Callable[[_Cure, _Cure], bool]) -> list[_Cure]:
    """The first of these, and each further one that fits all that are taken before it."""
    out: list[_Cure] = []
    for cure in cures:
        if all(fits(cure, other) for other in out):
            out.append(cure)
    return out

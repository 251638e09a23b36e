"""Runs the checks over a boat and brings the findings into order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding, Level
from scrieve.shared.names import plate_of
from scrieve.shared.sentences import Name, Quantity, Sentence

from .boat.assembly import Assembly
from .checks import CHECKS
from .plan.plan import Waiver
from .relations.scope import followed, in_scope


def review(
    assembly: Assembly,
    *,
    only: Collection[str] = (),
    skip: Collection[str] = (),
    today: date | None = None,
    progress: Callable[[str], None] | None = None,
    held: bool = False,
) -> tuple[Finding, ...]:
    """The findings of all checks (or `only` these, less those to `skip`), worst first, then from aft forward.

    Findings that a waiver of the plan accepts carry its reason; a waiver past its date counts no more, which is a note
    and with `today` None never happens. A waiver that meets nothing is a note, as long as its check ran.
    What comes of a frame of which something is wrong as a whole is left out; with `held` it follows, held beneath the
    finding that says so, or where no check of these says so, as one of the others.
    `progress` is told each check's slug as it begins.
    """
    chosen = [slug for slug in CHECKS if (not only or slug in only) and slug not in skip]
    every = list(_found(assembly, chosen, progress))
    findings = [finding for finding, of in every if not of]
    order = {frame.number: index for index, frame in enumerate(assembly.frames)}
    left_out = set(CHECKS) - set(chosen)
    findings += [
        _idle(waiver, assembly)
        for waiver in assembly.waivers
        if waiver.check not in left_out and not any(_meets(waiver, finding) for finding in findings)
    ]
    in_force = [waiver for waiver in assembly.waivers if today is None or waiver.until is None or today <= waiver.until]
    run_out = [waiver for waiver in assembly.waivers if waiver not in in_force]
    findings += [
        _run_out(waiver, again, assembly)
        for waiver in run_out
        if (again := [f for f in findings if _meets(waiver, f) and not any(_meets(other, f) for other in in_force)])
    ]
    roots = sorted(_waived(findings, in_force), key=lambda finding: _place(finding, order))
    under = [(each, _root(of, roots)) for each, of in every if held and of and each.level is not Level.NOTE]
    beneath = [replace(each, because=root) for each, root in under if root is not None]
    alone = [each for each, root in under if root is None]
    roots = sorted((*roots, *_waived(alone, in_force)), key=lambda finding: _place(finding, order))
    return (*roots, *sorted(_waived(beneath, in_force), key=lambda finding: _place(finding, order)))


def _root(frame: str, findings: Sequence[Finding]) -> Finding | None:
    """The error that says what is wrong with a frame as a whole: where it stands, or what its drawing lacks."""
    errors = [each for each in findings if each.level is Level.ERROR and each.frame in (frame, "")]
    own = [each for each in errors if each.frame]
    elsewhere = [e for e in own if any(isinstance(edit, SetKey) and edit.key[-1] == "station" for edit in e.edits)]
    lacking = [each for each in (*own, *errors) if CHECKS[each.check].tells_first]
    bent = [each for each in own if CHECKS[each.check].rests_on == "curve"]
    return next(iter([*elsewhere, *lacking, *bent]), None)


def found(
    assembly: Assembly, checks: Iterable[str], progress: Callable[[str], None] | None = None
) -> Iterator[Finding]:
    """What these checks find, in no order, one after the other as it is asked for; waivers not looked at.

    What is held beneath what is wrong with a frame as a whole is not among it.
    """
    return (finding for finding, of in _found(assembly, checks, progress) if not of)


def _found(
    assembly: Assembly, checks: Iterable[str], progress: Callable[[str], None] | None
) -> Iterator[tuple[Finding, str]]:
    """The findings, each with the number of the frame that it comes of as a whole, "" where it does of none."""
    boat = in_scope(assembly)
    for slug in checks:
        if progress is not None:
            progress(slug)
        check = CHECKS[slug]
        for finding in check.run(assembly if check.sees_all else boat):
            yield finding, "" if check.tells_first else followed(finding, check.rests_on, assembly)


def is_waived(finding: Finding, waivers: Iterable[Waiver]) -> bool:
    """Whether one of these waivers accepts the finding."""
    return any(_meets(waiver, finding) for waiver in waivers)


def _waived(findings: Iterable[Finding], waivers: Sequence[Waiver]) -> list[Finding]:
    out = []
    for finding in findings:
        waiver = next((waiver for waiver in waivers if _meets(waiver, finding)), None)
        out.append(finding if waiver is None else replace(finding, waived=waiver.reason))
    return out


def _idle(waiver: Waiver, assembly: Assembly) -> Finding:
    """The note on a waiver that no finding needs."""
    return Finding(
        check=waiver.check,
        level=Level.NOTE,
        message=Sentence.of("{waiver} meets no finding", waiver=_called(waiver)),
        cure="take it out of the plan, or set `where` to the frame or part as the report names it",
        source=assembly.source,
    )


def _run_out(waiver: Waiver, again: Sequence[Finding], assembly: Assembly) -> Finding:
    """The note on a waiver past its date, and on the findings that count again since."""
    count = "its finding counts" if len(again) == 1 else f"its {len(again)} findings count"
    subjects = dict.fromkeys(subject for finding in again for subject in finding.subjects)
    return Finding(
        check=waiver.check,
        level=Level.NOTE,
        message=Sentence.of(
            "{waiver} ran out on {until}: {count} again",
            waiver=_called(waiver),
            until=Name(waiver.until),
            count=Quantity.of(len(again), count),
        ),
        cure="mend what it accepted, or set a later `until` in the plan and say why",
        source=assembly.source,
        subjects=tuple(subjects),
    )


def _called(waiver: Waiver) -> Sentence:
    return Sentence.of('the waiver of {check} at "{where}"', check=waiver.check, where=Name(waiver.where))


def _meets(waiver: Waiver, finding: Finding) -> bool:
    """A waiver names a frame ("F5"), a part, or a plate drawn for both faces without the face."""
    if waiver.check != finding.check:
        return False
    names = {f"F{finding.frame}"} if finding.frame else set()
    for part in (subject.name for subject in finding.subjects):
        names |= {part, plate_of(part)}
    return waiver.where in names


def _place(finding: Finding, order: dict[str, int]) -> tuple[object, ...]:
    rank = Level(finding.level).rank
    at = finding.at or (0.0, 0.0, 0.0)
    return (
        rank,
        order.get(finding.frame, -1),
        not CHECKS[finding.check].tells_first,
        finding.check,
        finding.parts,
        tuple(round(c, 6) for c in at),
        finding.message,
    )

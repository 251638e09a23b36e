"""The report as text, for eyes at the end of a day.

The whole boat first, then frame by frame from aft forward, worst first in each: a line of what is
wrong, a line of what cures it, and in a quieter one the check, the place and the source. What is said
alike of many places is folded and what follows from another finding left out, unless every finding is asked for. At
the end the counts, and what this report is not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import quantities
from scrieve.shared.wording import USUAL, decimals, trimmed

from .fold import Fold, folded
from .report import Report
from .room_table import room_table, tried
from .style import Style, count, plain

if TYPE_CHECKING:  # loaded where it is asked for
    from scrieve.model.tolerance.tolerance import Tolerance

_INDENT = "  "
_ROUNDED = 0.01  # share of a number, or hundredths of a mm, by which a sentence may have rounded it
_HANG = " " * 11  # the indent, the longest level word and two spaces


def text_report(reports: Sequence[Report], style: Style, *, every: bool = False) -> str:
    """The text of the report on these plans, a newline at its end; with `every` none of the findings is folded."""
    lines: list[str] = []
    for report in reports:
        lines += [*_boat(report, style, () if every else tuple(Level)), ""]
    lines += style.lines(FIT_ONLY, sign="quiet")
    return "\n".join(lines) + "\n"


def _boat(report: Report, style: Style, folding: Collection[Level]) -> Iterator[str]:
    read = (
        count(len(report.frames), "frame"),
        count(report.parts, "part"),
        count(report.screws, "screw"),
        count(report.battens, "batten"),
    )
    title = f"{plain(report.boat)} ({plain(report.plan)}): " + ", ".join(read)
    yield from style.lines(title, rest=_INDENT, sign="strong")
    if report.readings:
        stocks = ", ".join(f"{plain(name)} {trimmed(thick)} mm" for name, thick in sorted(report.readings.items()))
        yield from style.lines(f"Measured, whatever the plan says: {stocks}", rest=_INDENT)
    yield ""
    for title, folds in groups(report, folding):
        yield style.paint(title, "strong")
        for fold in folds:
            yield from _fold(fold, style)
            yield from _held(fold, report, style, every=not folding)
        yield ""
    yield from _closing(report, style, folding)
    if report.tolerance is not None:
        yield ""
        yield from _tolerance(report.tolerance, style, folding)


def _tolerance(found: Tolerance, style: Style, folding: Collection[Level]) -> Iterator[str]:
    yield style.paint("With stock, cutter and screws a little off", "strong")
    for said in tried(found):
        yield from style.lines(said, first=_INDENT)
    yield ""
    for fold in folded((*found.came, *found.notes), folding):
        yield from _fold(fold, style)
    for fold in folded(found.went, folding):
        many = f" ({len(fold.findings)} of these)" if len(fold.findings) > 1 else ""
        yield from style.lines(plain(fold.message) + many, first=f"{_INDENT}{'goes':{len(_HANG) - len(_INDENT)}}")
    if not (found.came or found.notes or found.went):
        yield from style.lines("Nothing comes and nothing goes.", first=_INDENT)
    yield from room_table(found, style, every=not folding)


def groups(report: Report, folding: Collection[Level]) -> Iterator[tuple[str, list[Fold]]]:
    """The headings and what stands under each: whole boat, frames from aft, what is said of several frames."""
    by_frame: dict[str | None, list[Fold]] = {}
    for fold in sorted(
        folded(report.roots if folding else report.findings, folding),
        key=lambda fold: (bool(fold.first.waived), fold.first.level.rank),
    ):
        by_frame.setdefault(fold.frame, []).append(fold)
    numbers = {finding.frame for finding in report.findings if finding.frame}
    unknown = sorted(numbers - set(report.frames))
    for number in ("", *report.frames, *unknown, None):
        if number in by_frame:
            title = "Several frames" if number is None else _frame(number)
            yield title, by_frame[number]


def _frame(number: str) -> str:
    return f"F{plain(number)}" if number else "Whole boat"


def _fold(fold: Fold, style: Style) -> Iterator[str]:
    finding = fold.first
    word = "waived" if finding.waived else str(finding.level)
    sign = "quiet" if finding.waived else str(finding.level)
    first, *more = style.lines(plain(fold.message), first=_HANG)
    yield _INDENT + style.paint(word, sign) + first[len(_INDENT) + len(word) :]
    yield from more
    if finding.waived:
        yield from style.lines(f"accepted: {plain(finding.waived)}", first=_HANG)
    elif fold.cure:
        yield from style.lines(f"cure: {plain(fold.cure)}", first=_HANG)
    elif finding.cure and finding.level is not Level.NOTE:
        yield from style.lines(f"cure of the first: {plain(finding.cure)}", first=_HANG)
    if len(fold.findings) > 1:
        yield from style.lines(f"{len(fold.findings)} of these: {_where(fold)}", first=_HANG)
    if len(fold.findings) > 1 and finding.level is Level.NOTE:
        yield from style.lines(plain(finding.check), first=_HANG, sign="quiet")
    else:
        yield from style.lines("; ".join(_facts(finding)), first=_HANG, sign="quiet")


def _held(fold: Fold, report: Report, style: Style, *, every: bool) -> Iterator[str]:
    """How many follow from a finding; with `every` of one that follows, that it does."""
    held = len(report.held_by(fold.first))
    if held:
        said = f"{held} findings follow from this" if held > 1 else "1 finding follows from this"
        yield from style.lines(said + ("" if every else " (--all lists them)"), first=_HANG)
    if (root := fold.first.because) is not None:
        yield from style.lines(f"follows from: {plain(root.message)}", first=_HANG, sign="quiet")


def _where(fold: Fold) -> str:
    once = all(number == 1 for number in fold.frames.values())
    return ", ".join(_frame(frame) + ("" if once else f" ({n})") for frame, n in fold.frames.items())


def _facts(finding: Finding) -> Iterator[str]:
    """The check; where; what was measured, as far as the sentence does not say it; where it comes from."""
    slug = plain(finding.check) + (f" ({finding.level})" if finding.waived else "")
    if finding.at is None:
        yield slug
    else:
        x, y, z = (trimmed(value, 1) for value in finding.at)
        yield f"{slug} at x {x}, y {y}, z {z}"
    numbers = (("measured", finding.measured), ("limit", finding.limit))
    places = USUAL if finding.measured is None else decimals(finding.measured, finding.limit)
    unsaid = [
        f"{word} {trimmed(value, places)} {plain(finding.unit)}".strip()
        for word, value in numbers
        if value is not None and not _says(finding, value)
    ]
    if unsaid:
        yield ", ".join(unsaid)
    if finding.source is not None and finding.source.file:
        yield plain(str(finding.source))


def _says(finding: Finding, value: float) -> bool:
    """Whether the message holds this number, at whatever rounding and sign it may have put it."""
    near = max(_ROUNDED * abs(value), _ROUNDED)
    return any(abs(abs(number) - abs(value)) <= near for number in quantities(finding.message))


def _closing(report: Report, style: Style, folding: Collection[Level]) -> Iterator[str]:
    if report.findings:
        yield from style.lines(counted(report), rest=_INDENT, sign="strong")
    if any(len(fold.findings) > 1 for fold in folded(report.roots, folding)):
        yield from style.lines("Findings that read alike are folded into one; --all lists each.", rest=_INDENT)
    if all(finding.level is Level.NOTE for finding in report.findings):
        yield from style.lines("Nothing found wrong.", sign="strong")
        yield from style.lines(f"Looked at: {_listed(report.ran)}.", rest=_INDENT)
    if report.left_out:
        yield from style.lines(f"Not looked at: {_listed(report.left_out)}.", rest=_INDENT)


def counted(report: Report) -> str:
    """ "2 errors (F2, F5), no warnings, 3 notes, 1 waived; 54 more follow from these." """
    counts = report.counts
    said = []
    for level in Level:
        text = count(sum(finding.level is level for finding in report.standing if finding.because is None), level)
        where = _named(report, level) if level is not Level.NOTE else []
        said.append(f"{text} ({_listed(where)})" if where else text)
    if counts["waived"]:
        said.append(f"{counts['waived']} waived")
    follow = (
        f"; {counts['held']} more {'follow' if counts['held'] > 1 else 'follows'} from these" if counts["held"] else ""
    )
    sentence = ", ".join(said) + follow + "."
    return sentence[0].upper() + sentence[1:]


def _named(report: Report, level: Level) -> list[str]:
    """The frames with standing findings of a level, from aft, the whole boat first."""
    met = {finding.frame for finding in report.standing if finding.level is level and finding.because is None}
    order = ["", *report.frames, *sorted(met - set(report.frames) - {""})]
    return [_frame(number).replace("Whole boat", "whole boat") for number in order if number in met]


def _listed(words: Iterable[str]) -> str:
    return ", ".join(words) or "nothing"

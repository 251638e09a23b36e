"""The report as GitHub's workflow commands: each finding a remark beside the file it comes from.

GitHub shows ten remarks of each level and step, so of more than ten the nine worst are shown and the
tenth says how many more there are and where; these stand in the log, folded up, and so does what follows from another
finding. Notes that read alike
are one. What is waived stands in the log with its reason. The commands are those of GitHub's manual,
"Workflow commands for GitHub Actions", read from memory: `::error file=...,line=...,title=...::message`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Level

from .fold import folded
from .located import path_of, relative, root_of
from .report import Report, Unread
from .style import count, plain
from .text_report import counted

SHOWN = 10
"""Remarks of one level that GitHub shows for one step; what is above it is dropped without a word."""

_COMMANDS = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTE: "notice"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Remark:
    """One remark; `plan` as it is shown, `line` 0 where there is none."""

    level: Level
    plan: str
    file: str
    line: int
    title: str
    text: str

    def command(self) -> str:
        """The line that makes GitHub show it."""
        line = f",line={self.line}" if self.line else ""
        about = f"file={_property(self.file)}{line},title={_property(self.title)}"
        return f"::{_COMMANDS[self.level]} {about}::{_message(self.text)}"

    def logged(self) -> str:
        """The same as a line for the log."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return plain(f"{self.level}: {self.title}: {self.text.replace(chr(10), '; ')} ({place})")


def github_report(reports: Sequence[Report], *, unread: Unread, here: Path) -> str:
    """The lines of the report, a newline at its end; paths are told from the root around `here`."""
    root = root_of(here)
    remarks = [*_of_unread(unread, root), *(remark for report in reports for remark in _of(report, root))]
    lines: list[str] = []
    for level in Level:
        lines += _shown(level, [remark for remark in remarks if remark.level is level])
    for report in reports:
        plan = relative(report.plan, root)
        for finding in report.findings:
            if finding.waived:
                said = f"waived {finding.level}: {finding.message}; accepted: {finding.waived}"
                lines.append(plain(f"{said} ({path_of(finding, report, root)})"))
        held = [finding for finding in report.standing if finding.because is not None]
        if held:
            lines.append(f"::group::{count(len(held), 'finding')} that follow from those above")
            lines += [plain(f"{each.level}: {each.message} ({path_of(each, report, root)})") for each in held]
            lines.append("::endgroup::")
        lines.append(plain(f"checked {plan} ({report.boat}): {counted(report)}"))
    return "\n".join([*lines, FIT_ONLY]) + "\n"


def _of(report: Report, root: Path) -> Iterator[_Remark]:
    plan = relative(report.plan, root)
    roots = [finding for finding in report.standing if finding.because is None]
    for fold in folded(roots, [Level.NOTE]):
        finding = fold.first
        title = f"F{fold.frame} {finding.check}" if fold.frame else finding.check
        lines = [fold.message]
        if fold.cure:
            lines.append(f"Cure: {fold.cure}")
        if len(fold.findings) > 1:
            frames = ", ".join(f"F{frame}" if frame else "whole boat" for frame in fold.frames)
            lines.append(f"{len(fold.findings)} of these: {frames}")
        if held := report.held_by(finding):
            lines.append(f"{len(held)} more follow from this, told in the log of this step")
        source = finding.source
        if source is not None and source.handle and len(fold.findings) == 1:
            lines.append(f"Object {source.handle} of the drawing")
        yield _Remark(
            level=finding.level,
            plan=plan,
            file=path_of(finding, report, root),
            line=source.line if source is not None else 0,
            title=title,
            text="\n".join(" ".join(line.split()) for line in lines),
        )


def _of_unread(unread: Unread, root: Path) -> Iterator[_Remark]:
    for plan, mistakes in unread.items():
        shown = relative(plan, root)
        for mistake in mistakes:
            yield _Remark(
                level=Level.ERROR,
                plan=shown,
                file=relative(mistake.path or plan, root),
                line=mistake.line,
                title="the plan cannot be read",
                text=mistake.what,
            )


def _shown(level: Level, remarks: list[_Remark]) -> Iterator[str]:
    """The commands of one level, and the log of what is above GitHub's number."""
    if len(remarks) <= SHOWN:
        yield from (remark.command() for remark in remarks)
        return
    first, rest = remarks[: SHOWN - 1], remarks[SHOWN - 1 :]
    yield from (remark.command() for remark in first)
    where = ", ".join(f"{number} in {plan}" for plan, number in Counter(remark.plan for remark in rest).items())
    text = f"{len(rest)} more {level}s, all told in the log of this step: {where}"
    yield f"::{_COMMANDS[level]} title={_property(f'{len(rest)} more {level}s')}::{_message(text)}"
    yield f"::group::{count(len(rest), f'more {level}')}"
    yield from (remark.logged() for remark in rest)
    yield "::endgroup::"


def _message(text: str) -> str:
    """Text as the data of a command, its lines plain."""
    return "%0A".join(plain(line).replace("%", "%25") for line in text.split("\n"))


def _property(text: str) -> str:
    """Text as a property of a command."""
    return _message(text).replace(":", "%3A").replace(",", "%2C")

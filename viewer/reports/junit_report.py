"""The report as JUnit XML, as runners of tests in the cloud show it.

One suite a plan, one case a check, in the order of their names. A check that found something at the
failing level or worse has failed; one that found nothing, milder things or waived ones has passed, and
says these in its output; one that was left out is skipped. A plan that could not be read is a suite
with one case in error. Readers of this format drop the attributes for file and line, so both stand in
the text. No times: the same boat gives the same bytes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import Mistake
from scrieve.shared.findings import Finding, Level

from .located import path_of, place_of, relative, root_of
from .report import Report, Unread, failing
from .style import plain

_MARKUP = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})


def junit_report(reports: Sequence[Report], *, unread: Unread, fails_on: Level | None, here: Path) -> str:
    """The text of the report, a newline at its end; paths are told from the root around `here`."""
    root = root_of(here)
    suites = [_suite(report, fails_on, root) for report in reports]
    suites += [_unread(plan, mistakes, root) for plan, mistakes in unread.items()]
    total: Counter[str] = Counter()
    for counts, _ in suites:
        total.update(counts)
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<testsuites name="scrieve" {_counted(total)}>']
    for _, suite in suites:
        lines += suite
    return "\n".join([*lines, "</testsuites>"]) + "\n"


def _suite(report: Report, fails_on: Level | None, root: Path) -> tuple[Counter[str], list[str]]:
    """How many cases of each kind there are, and the lines of a plan's suite."""
    found: dict[str, list[Finding]] = {}
    for finding in report.findings:
        found.setdefault(finding.check, []).append(finding)
    plan = _clean(relative(report.plan, root))
    cases: list[str] = []
    counts: Counter[str] = Counter()
    for check in sorted({*report.ran, *report.left_out, *found}):
        findings = found.get(check, [])
        failed = [finding for finding in findings if failing(finding, fails_on)]
        skipped = check in report.left_out
        counts.update({"tests": 1, "failures": bool(failed), "skipped": skipped})
        inside = ["      <skipped/>"] if skipped else list(_failure(failed, report, root))
        milder = [finding for finding in findings if finding not in failed]
        if milder:
            inside += ["      <system-out>", *_told(milder, report, root), "</system-out>"]
        head = f'    <testcase classname="{plan}" name="{_clean(check)}"'
        cases += [f"{head}>", *inside, "    </testcase>"] if inside else [f"{head}/>"]
    return counts, list(_wrapped(plan, counts, cases))


def _unread(plan: str, mistakes: Sequence[Mistake], root: Path) -> tuple[Counter[str], list[str]]:
    """The same of a plan that could not be read."""
    name = _clean(relative(plan, root))
    counts = Counter({"tests": 1, "errors": 1})
    first = _clean(mistakes[0].what if mistakes else "could not be read")
    cases = [
        f'    <testcase classname="{name}" name="read">',
        f'      <error type="unread" message="{first}">',
        *(_clean(_mistake(mistake, root)) for mistake in mistakes),
        "</error>",
        "    </testcase>",
    ]
    return counts, list(_wrapped(name, counts, cases))


def _wrapped(name: str, counts: Counter[str], cases: list[str]) -> Iterator[str]:
    yield f'  <testsuite name="{name}" {_counted(counts)}>'
    yield f'    <properties><property name="scope" value="{_clean(FIT_ONLY)}"/></properties>'
    yield from cases
    yield "  </testsuite>"


def _counted(counts: Counter[str]) -> str:
    return " ".join(f'{kind}="{counts[kind]}"' for kind in ("tests", "failures", "errors", "skipped"))


def _failure(failed: list[Finding], report: Report, root: Path) -> Iterator[str]:
    if not failed:
        return
    worst = min((finding.level for finding in failed), key=lambda level: level.rank)
    more = f" (and {len(failed) - 1} more)" if len(failed) > 1 else ""
    yield f'      <failure type="{worst}" message="{_clean(failed[0].message)}{more}">'
    yield from _told(failed, report, root)
    yield "</failure>"


def _told(findings: list[Finding], report: Report, root: Path) -> Iterator[str]:
    """Each finding on its lines: level, message and place; cure, or why it was accepted."""
    for finding in findings:
        word = f"waived {finding.level}" if finding.waived else str(finding.level)
        yield _clean(f"{word}: {finding.message} ({place_of(finding, path_of(finding, report, root))})")
        if finding.because is not None:
            yield _clean(f"follows from: {finding.because.message}")
        if finding.waived:
            yield _clean(f"accepted: {finding.waived}")
        elif finding.cure:
            yield _clean(f"cure: {finding.cure}")


def _mistake(mistake: Mistake, root: Path) -> str:
    path = relative(mistake.path, root)
    return str(Mistake(path=path, line=mistake.line, what=mistake.what))


def _clean(text: str) -> str:
    """Text that is safe in an element and in an attribute: on one line, control characters spelled out."""
    return plain(text).translate(_MARKUP)

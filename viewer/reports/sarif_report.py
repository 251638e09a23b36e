"""The report as SARIF 2.1.0 (OASIS standard), as code hosts and editors take findings in.

One run whatever the number of plans, since hosts refuse several runs of one tool. A rule for each
check, with its page as help; a result for each finding, waived ones with the reason as an accepted
suppression, what else it is about as related locations, and edits of the plan's own file as a fix; a
plan that could not be read as notifications of the tool. `partialFingerprints` are made of what a
finding is about (plan, check, frame, parts) and of no number, so that it stays the same finding when a
line or a part has moved; among several alike the first, second and so on along the boat.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from urllib.parse import quote

from scrieve.model.checks import CHECKS
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.edits import SetKey
from scrieve.shared.errors import Mistake
from scrieve.shared.findings import Finding, Source

from .edits_json import edit_json
from .explain_page import page
from .json_report import lines_of, number, place
from .located import path_from, path_of, relative, root_of
from .report import Report, Unread
from .style import Style, plain

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_SRCROOT = "%SRCROOT%"  # by custom the root of the checkout: hosts put their own in its place


def sarif_report(reports: Sequence[Report], *, unread: Unread, here: Path) -> str:
    """The text of the report, a newline at its end, a result a line; paths are told from the root around `here`."""
    root = root_of(here)
    ran = {slug for report in reports for slug in report.ran}
    slugs = sorted(ran | {finding.check for report in reports for finding in report.findings})
    rules = {slug: index for index, slug in enumerate(slugs)}
    results = [result for report in reports for result in _results(report, rules, root)]
    driver = {
        "name": "scrieve",
        "version": version("scrieve"),
        "shortDescription": {"text": "Tries a plywood boat's frames together before a sheet is cut."},
        "fullDescription": {"text": FIT_ONLY},
        "rules": [_rule(slug) for slug in slugs],
    }
    notes = [_notification(mistake, root) for mistakes in unread.values() for mistake in mistakes]
    invocation = {"executionSuccessful": not unread, "toolExecutionNotifications": notes}
    listed = lines_of(results, 8)
    return (
        f'{{\n  "$schema": "{SCHEMA}",\n  "version": "2.1.0",\n  "runs": [\n    {{\n'
        f'      "tool": {{"driver": {json.dumps(driver)}}},\n'
        f'      "invocations": [{json.dumps(invocation)}],\n'
        f'      "columnKind": "unicodeCodePoints",\n'
        f'      "results": {listed}\n    }}\n  ]\n}}\n'
    )


def _rule(slug: str) -> dict[str, object]:
    check = CHECKS.get(slug)
    if check is None:  # a waiver may name a check that is to come
        return {"id": slug}
    return {
        "id": slug,
        "shortDescription": {"text": check.title},
        "fullDescription": {"text": _brace(" ".join(check.page.looks_at.split()))},
        "help": {"text": _brace(page(check, Style()))},
        "defaultConfiguration": {"level": str(check.level)},
    }


def _results(report: Report, rules: dict[str, int], root: Path) -> Iterator[dict[str, object]]:
    plan = relative(report.plan, root)
    alike: Counter[str] = Counter()
    for finding in report.findings:
        about = "\n".join((plan, finding.check, finding.frame, *finding.parts))
        mark = sha256(about.encode("utf-8", "surrogatepass")).hexdigest()[:16]
        alike[mark] += 1
        fingerprint = f"{mark}:{alike[mark]}"
        yield {
            "ruleId": finding.check,
            "ruleIndex": rules[finding.check],
            "level": str(finding.level),
            "message": {"text": _message(finding)},
            "locations": [_location(finding, report, root)],
            "relatedLocations": [*_related(finding, report, root), *_held(finding, report, root)],
            # the second name is the one by which GitHub knows a finding again
            "partialFingerprints": {"about/v1": fingerprint, "primaryLocationLineHash": fingerprint},
            "suppressions": [{"kind": "external", "justification": finding.waived}] if finding.waived else [],
            "fixes": list(_fixes(finding, report, root)),
            "properties": _properties(finding),
        }


def _fixes(finding: Finding, report: Report, root: Path) -> Iterator[dict[str, object]]:
    """The cure as replacements of text, where that is all of it; edits of drawings are among the properties alone."""
    edits = [edit for edit in finding.edits if isinstance(edit, SetKey)]
    if not edits or len(edits) < len(finding.edits):
        return
    replacements = [
        {
            "deletedRegion": dict(
                zip(("startLine", "startColumn", "endLine", "endColumn"), (*edit.start, *edit.end), strict=True)
            ),
            "insertedContent": {"text": edit.text},
        }
        for edit in edits
    ]
    where = _physical(path_from(Source(file=edits[0].file), report, root), 0)
    yield {
        "description": {"text": _brace(plain(finding.cure))},
        "artifactChanges": [{**where, "replacements": replacements}],
    }


def _message(finding: Finding) -> str:
    """The sentence and its cure, as one plain text."""
    text = plain(finding.message)
    return _brace(f"{text}. Cure: {plain(finding.cure)}." if finding.cure else f"{text}.")


def _brace(text: str) -> str:
    """Braces doubled, as the standard wants them where none stands for an argument (3.11.5)."""
    return text.replace("{", "{{").replace("}", "}}")


def _location(finding: Finding, report: Report, root: Path) -> dict[str, object]:
    line = finding.source.line if finding.source is not None else 0
    logical = [{"name": name, "kind": "part"} for name in finding.parts]
    if finding.frame:
        logical.insert(0, {"name": f"F{finding.frame}", "kind": "frame"})
    where: dict[str, object] = {"physicalLocation": _physical(path_of(finding, report, root), line)}
    return {**where, "logicalLocations": logical} if logical else where


def _related(finding: Finding, report: Report, root: Path) -> Iterator[dict[str, object]]:
    """What else a finding is about, each in its own file; marks in space have no place in the standard."""
    for other in finding.subjects[1:]:
        source = report.sources.get(other)
        if source is not None:
            yield {
                "physicalLocation": _physical(path_from(source, report, root), source.line),
                "logicalLocations": [{"name": other.name, "kind": other.kind}],
                "message": {"text": _brace(plain(other.name))},
            }


def _held(finding: Finding, report: Report, root: Path) -> Iterator[dict[str, object]]:
    """Where what follows from a finding is, and what a finding follows from."""
    for other in (*report.held_by(finding), *([finding.because] if finding.because else [])):
        follows = "follows from this" if other.because is finding else "this follows from"
        yield {**_location(other, report, root), "message": {"text": _brace(plain(f"{follows}: {other.message}"))}}


def _physical(path: str, line: int) -> dict[str, object]:
    where: dict[str, object] = {
        "artifactLocation": {"uri": quote(path.encode("utf-8", "surrogateescape")), "uriBaseId": _SRCROOT}
    }
    return {**where, "region": {"startLine": line}} if line >= 1 else where


def _properties(finding: Finding) -> dict[str, object]:
    """What the standard has no place for, as far as it is known."""
    known = {
        "at": place(finding.at),
        "measured": number(finding.measured),
        "limit": number(finding.limit),
        "unit": finding.unit,
        "handle": finding.source.handle if finding.source is not None else "",
        "edits": [edit_json(edit) for edit in finding.edits],
    }
    return {name: value for name, value in known.items() if value not in (None, "", [])}


def _notification(mistake: Mistake, root: Path) -> dict[str, object]:
    note: dict[str, object] = {"level": "error", "message": {"text": _brace(plain(mistake.what))}}
    if not mistake.path:
        return note
    physical = _physical(relative(mistake.path, root), mistake.line)
    return {**note, "locations": [{"physicalLocation": physical}]}

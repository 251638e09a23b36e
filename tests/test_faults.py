"""The faulty skiff gives exactly the errors that its README lists; each fault alone gives exactly its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults import FAULTS, FAULTY, SOUND
from planting import Fault, planted, readme

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level

Row = tuple[str, str, Level, tuple[str, ...], float | None]
WITHIN = 0.01  # mm; how near a listed number must be met


def findings(plan: Path) -> list[Finding]:
    return list(review(assemble(read_plan(plan))))


def listed_in(text: str) -> list[Row]:
    """The rows of a README's table: frame, check, level, parts, measured."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line.startswith("| ")
    ]
    return [
        (frame, check.strip("`"), Level(level), tuple(parts.split("; ")) if parts else (), float(mm) if mm else None)
        for frame, check, level, parts, mm, _ in rows
        if check.startswith("`")
    ]


def assert_given(found: list[Finding], wanted: list[Row]) -> None:
    """Every error of `found` is wanted, and whatever is wanted is there once."""

    def key(row: Row) -> tuple:
        return row[:4]

    asked = {key(row) for row in wanted}
    rows = [(f.frame, f.check, f.level, f.parts, f.measured) for f in found]
    got = sorted((row for row in rows if row[2] is Level.ERROR or key(row) in asked), key=key)
    wanted = sorted(wanted, key=key)
    assert [key(row) for row in got] == [key(row) for row in wanted]
    for (*_, measured), (*what, expected) in zip(got, wanted, strict=True):
        if expected is not None:
            assert measured == pytest.approx(expected, abs=WITHIN), what


def test_the_faulty_skiff_gives_every_finding_its_readme_lists_and_no_other_error():
    assert_given(findings(FAULTY), listed_in((FAULTY / "README.md").read_text(encoding="utf-8")))


def test_its_readme_lists_what_was_planted():
    assert (FAULTY / "README.md").read_text(encoding="utf-8") == readme(FAULTS)
    assert len(FAULTS) >= 20
    assert {fault.check for fault in FAULTS} == set(CHECKS)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.did)
def test_a_fault_alone_gives_its_own_findings_and_no_other_error(fault: Fault, tmp_path: Path):
    plan = planted(SOUND, tmp_path / "skiff", (fault,))
    assert_given(findings(plan), [(fault.frame, fault.check, fault.level, parts, mm) for parts, mm in fault.gives])


def test_the_folder_is_what_planting_gives(tmp_path: Path):
    made = planted(SOUND, tmp_path / "skiff", FAULTS)
    assert (made / "plan.toml").read_bytes() == (FAULTY / "plan.toml").read_bytes()
    assert [str(f) for f in findings(made)] == [str(f) for f in findings(FAULTY)]

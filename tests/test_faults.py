"""The faulty skiff gives exactly the errors that its README lists; each fault alone gives exactly its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults import FAULTS, FAULTY, SOUND
from planting import Fault, planted, readme

from scrieve.model.assemble import assemble
from scrieve.model.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level

WITHIN = 0.01  # mm; how near a listed number must be met


def errors(plan: Path) -> list[Finding]:
    return [f for f in review(assemble(read_plan(plan))) if f.level is Level.ERROR]


def listed_in(text: str) -> list[tuple[str, str, tuple[str, ...], float | None]]:
    """The rows of a README's table: frame, check, parts, measured."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line.startswith("| ")
    ]
    return [
        (frame, check.strip("`"), tuple(parts.split("; ")) if parts else (), float(mm) if mm else None)
        for frame, check, parts, mm, _ in rows
        if check.startswith("`")
    ]


def assert_given(found: list[Finding], wanted: list[tuple[str, str, tuple[str, ...], float | None]]) -> None:
    def key(row):
        return row[:3]

    got = sorted(((f.frame, f.check, f.parts, f.measured) for f in found), key=key)
    wanted = sorted(wanted, key=key)
    assert [key(row) for row in got] == [key(row) for row in wanted]
    for (*_, measured), (*what, expected) in zip(got, wanted, strict=True):
        if expected is not None:
            assert measured == pytest.approx(expected, abs=WITHIN), what


def test_the_faulty_skiff_gives_every_error_its_readme_lists_and_no_other():
    assert_given(errors(FAULTY), listed_in((FAULTY / "README.md").read_text(encoding="utf-8")))


def test_its_readme_lists_what_was_planted():
    assert (FAULTY / "README.md").read_text(encoding="utf-8") == readme(FAULTS)
    assert len({fault.check for fault in FAULTS}) >= 10


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.did)
def test_a_fault_alone_gives_its_own_errors_and_no_other(fault: Fault, tmp_path: Path):
    plan = planted(SOUND, tmp_path / "skiff", (fault,))
    assert_given(errors(plan), [(fault.frame, fault.check, parts, mm) for parts, mm in fault.gives])


def test_the_folder_is_what_planting_gives(tmp_path: Path):
    made = planted(SOUND, tmp_path / "skiff", FAULTS)
    assert (made / "plan.toml").read_bytes() == (FAULTY / "plan.toml").read_bytes()
    assert [str(f) for f in errors(made)] == [str(f) for f in errors(FAULTY)]

"""The faults of joints in the demonstration skiff, for the tests of their checks."""

from pathlib import Path

import pytest
from planting import Fault, planted
from replanning import seen_from_the_other_side

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding

HULLS = Path(__file__).parents[1] / "hulls"
SKIFF = HULLS / "skiff"


def findings_of(plan: Path, check: str) -> tuple[Finding, ...]:
    """What one check finds in a plan."""
    return review(assemble(read_plan(plan)), only=[check])


def same_from_forward(fault: Fault, folder: Path) -> None:
    """Asserts that a fault is found, and found alike where the drawings look aft."""
    plan = planted(SKIFF, folder / "skiff", (fault,))
    found = findings_of(plan, fault.check)
    assert found
    seen_from_the_other_side(plan)
    again = findings_of(plan, fault.check)
    assert [(f.frame, f.parts, f.message) for f in again] == [(f.frame, f.parts, f.message) for f in found]
    for one, other in zip(found, again, strict=True):
        assert other.at == pytest.approx(one.at, abs=1e-6)

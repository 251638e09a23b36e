"""The boat that a page is made of."""

from __future__ import annotations

from dataclasses import dataclass

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.steps import Step
from scrieve.shared.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SharedBoat:
    """A boat, checked, with its steps."""

    assembly: Assembly
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]

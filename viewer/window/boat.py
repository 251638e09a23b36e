"""A plan as the window has it: set up, checked, its steps worked out, its bodies made."""

from __future__ import annotations

from dataclasses import dataclass

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.steps.step import Step
from scrieve.shared.findings import Finding

from ..scene.body import Body


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadedBoat:
    """`coarse` are the bodies of fewer triangles."""

    assembly: Assembly
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]
    bodies: tuple[Body, ...]
    coarse: tuple[Body, ...]

"""A plan as the window has it: set up, checked, its steps worked out, its bodies made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from scrieve.model.assemble import assemble
from scrieve.model.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.model.steps import Step, steps_of
from scrieve.shared.findings import Finding

from ..scene.bodies import bodies_of
from ..scene.body import Body
from ..scene.coarse import coarse_bodies


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boat:
    """`coarse` are the bodies of fewer triangles. `files` are the plan and its drawings: what the boat is made from."""

    assembly: Assembly
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]
    bodies: tuple[Body, ...]
    coarse: tuple[Body, ...]
    files: tuple[Path, ...]


def read_boat(path: Path, tell: Callable[[str], None], expect: Callable[[int], None]) -> Boat:
    """The boat of a plan. Raises what reading and setting up raise.

    `expect` is told how many steps of work there are, `tell` what each is as it begins.
    """
    plan = read_plan(path)
    expect(len(plan.frames) + len(CHECKS) + 2)
    assembly = assemble(plan, progress=lambda what: tell(f"reading {what}"))
    findings = review(
        assembly, waivers=plan.waivers, today=date.today(), progress=lambda slug: tell(f"checking: {slug}")
    )
    tell("working out the build order")
    steps = steps_of(assembly, file=str(plan.file))
    tell("building the solids")
    bodies = bodies_of(assembly)
    drawings = {plan.folder / spec.drawing for spec in plan.frames}
    drawings |= {plan.folder / sheet.drawing for sheet in plan.cut_sheets}
    return Boat(
        assembly=assembly,
        findings=findings,
        steps=steps,
        bodies=bodies,
        coarse=coarse_bodies(assembly, bodies),
        files=(plan.file, *sorted(drawings)),
    )

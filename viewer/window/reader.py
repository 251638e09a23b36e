"""Reads a boat in a process of its own: `python -m scrieve.viewer.window.reader PLAN`.

The window stays quick while it works, and the work can be stopped at any moment.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.planfile.plan_reader import PLAN_NAME, read_plan
from scrieve.model.review import review
from scrieve.model.steps import steps_of
from scrieve.shared.errors import ScrieveError

from ..scene.bodies import bodies_of
from ..scene.coarse import coarse_bodies
from .boat import Boat
from .messages import Expect, Refused, Tell, send


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


def main() -> None:
    """Writes what the reading has to tell to stdout, and last the Boat, or Refused."""
    gc.disable()  # it ends before the dead objects matter
    pipe = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed must not come between
    path = Path(sys.argv[1])
    plan = path / PLAN_NAME if path.is_dir() else path
    try:
        boat = read_boat(path, lambda what: send(pipe, Tell(what=what)), lambda steps: send(pipe, Expect(steps=steps)))
    except ScrieveError as error:
        send(pipe, Refused(why=tuple(str(mistake) for mistake in error.mistakes), plan=plan))
    except OSError as error:
        send(pipe, Refused(why=(f"{error.filename or path} cannot be read ({error.strerror or error})",), plan=plan))
    else:
        send(pipe, boat)


if __name__ == "__main__":
    main()

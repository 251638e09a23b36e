"""Reads a boat in a process of its own: `python -m scrieve.viewer.window.reader PLAN`.

The window stays quick while it works, and the work can be stopped at any moment.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
import tomllib
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from threading import Thread
from typing import Any

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.mending.advice import advised
from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.plan.toml_reader import MOST_BYTES
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.errors import PlanError, ScrieveError
from scrieve.shared.library_exits import exits_refused
from scrieve.shared.regular_file import read_whole

from ..scene.bodies import bodies_of, coarse_bodies
from .boat import LoadedBoat
from .messages import Expect, PlanRefused, Tell, Wanted, send, states_of

Message = Wanted | Expect | Tell
"""What is told on the way."""


def read_boat(path: Path, tell: Callable[[Message], None]) -> LoadedBoat:
    """The boat of a plan. Raises what reading and setting up raise.

    `tell` is told which files are wanted and how they are, before they are read; how many steps of work there
    are; and what each is as it begins.
    """
    tell(Wanted(files=states_of(wanted_files(path))))
    plan = read_plan(path)
    tell(Expect(steps=len(plan.frames) + len(CHECKS) + 2))
    assembly = assemble(plan, progress=lambda what: tell(Tell(what=f"reading {what}")))
    findings = advised(
        assembly,
        today=date.today(),
        progress=lambda slug: tell(Tell(what=f"checking: {slug}")),
    )
    tell(Tell(what="working out the build order"))
    steps = steps_of(assembly, file=str(plan.file))
    tell(Tell(what="building the solids"))
    bodies = bodies_of(assembly)
    return LoadedBoat(
        assembly=assembly, findings=findings, steps=steps, bodies=bodies, coarse=coarse_bodies(assembly, bodies)
    )


def main() -> None:
    """Writes messages to stdout, and last the LoadedBoat or PlanRefused. Ends when its stdin does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever asked is told of it, and ends this
    Thread(target=_end_with_stdin, daemon=True).start()
    gc.disable()  # it ends before the dead objects matter
    pipe = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed must not come between
    path = Path(sys.argv[1])
    try:
        with exits_refused():
            boat = read_boat(path, lambda message: send(pipe, message))
    except ScrieveError as error:
        send(pipe, PlanRefused(why=tuple(str(mistake) for mistake in error.mistakes)))
    except OSError as error:
        send(pipe, PlanRefused(why=(f"{error.filename or path} cannot be read ({error.strerror or error})",)))
    else:
        send(pipe, boat)


def _end_with_stdin() -> None:
    """Ends the process when nobody is left who asked for it."""
    while os.read(sys.stdin.fileno(), 1):
        pass
    os._exit(1)


def wanted_files(path: Path) -> tuple[Path, ...]:
    """The plan in a folder, or in a file of any name, and the drawings that it names, there or not.

    Nothing of it has to be right: of a plan that is not even TOML it is the plan alone. Drawings are wanted in
    the plan's folder and below it, and nowhere else.
    """
    plan = path / PLAN_NAME if path.is_dir() else path
    try:
        content = tomllib.loads(read_whole(plan, most=MOST_BYTES, error=PlanError).decode())
    except (PlanError, ValueError, RecursionError):
        return (plan,)
    drawings = {Path(name) for key in ("frames", "cut_sheets") for name in _drawings(content.get(key))}
    inside = sorted(drawing for drawing in drawings if not drawing.is_absolute() and ".." not in drawing.parts)
    return (plan, *(plan.parent / drawing for drawing in inside))


def _drawings(tables: Any) -> Iterator[str]:
    for table in tables if isinstance(tables, list) else ():
        if isinstance(table, dict) and isinstance(table.get("drawing"), str):
            yield table["drawing"]


if __name__ == "__main__":
    main()

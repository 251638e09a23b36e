"""`scrieve steps`: the build order, step by step."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import Step, steps_of
from scrieve.shared.errors import UseError

from ..reports.steps_json import steps_json
from ..reports.steps_text import steps_text
from ..reports.style import Style
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import style_of
from ..system.written import deliver, keep_off, may_write
from .misuse import got


def steps(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    /,
    *,
    form: Annotated[
        Literal["text", "json"], Parameter(name="--format", help="What to write: for eyes, or for machines.")
    ] = "text",
    frame: Annotated[
        str | None, Parameter(help="Only the steps of this frame, by its number.", metavar="NUMBER")
    ] = None,
    output: Annotated[str | None, Parameter(help="Write to this file instead of the terminal.", metavar="FILE")] = None,
    replace: Annotated[bool, Parameter(help="Let --output write over a file.", show_default=False)] = False,
) -> Ending:
    """The ending, after the steps were written. Raises PlanError for an order that cannot be kept."""
    if output is not None:
        may_write(output, replace=replace)
    with ProgressBar(sys.stderr) as progress:
        read = read_plan(Path(plan))
        if output is not None:
            keep_off(output, read)
        progress.expect(len(read.frames) + 1)
        assembly = assemble(read, progress=progress.tell)
        numbers = [each.number for each in assembly.frames]
        if frame is not None and frame.removeprefix("F") not in numbers:
            raise UseError.at(f"--frame must name a frame {got(frame, numbers)}", path="scrieve steps")
        progress.tell("steps")
        found: tuple[Step, ...] = steps_of(assembly, file=str(read.file))
    if frame is not None:
        found = tuple(step for step in found if step.frame == frame.removeprefix("F"))
    style = Style() if output is not None else style_of(sys.stdout)
    text = steps_json(plan, found) if form == "json" else steps_text(plan, assembly, found, style)
    deliver(text, output, replace=replace)
    return Ending.CLEAN

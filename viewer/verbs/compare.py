"""`scrieve compare`: what is different between two states of a plan."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.revision.revision import revision

from ..reports.revision_report import revision_json, revision_text
from ..reports.style import Style
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import style_of
from ..system.written import deliver, keep_off, may_write


def compare(
    old: Annotated[str, Parameter(help="The plan as it was, a folder or a file.")],
    new: Annotated[str, Parameter(help="The plan as it is.")],
    /,
    *,
    form: Annotated[
        Literal["text", "json"], Parameter(name="--format", help="What to write: for eyes, or for machines.")
    ] = "text",
    output: Annotated[str | None, Parameter(help="Write to this file instead of the terminal.", metavar="FILE")] = None,
    replace: Annotated[bool, Parameter(help="Let --output write over a file.", show_default=False)] = False,
) -> Ending:
    """The ending, after what is different was told: findings, where anything that was cut is different.

    Raises what reading and setting up raise, and UseError where the file may not be written.
    """
    if output is not None:
        may_write(output, replace=replace)
    plans = read_plan(Path(old)), read_plan(Path(new))
    if output is not None:
        for plan in plans:
            keep_off(output, plan)
    with ProgressBar(sys.stderr) as progress:
        progress.expect(sum(len(plan.frames) + len(CHECKS) for plan in plans))
        found = revision(*plans, today=date.today(), progress=progress.tell)
    style = Style() if output is not None else style_of(sys.stdout)
    text = revision_json(found, old, new) if form == "json" else revision_text(found, old, new, style)
    deliver(text, output, replace=replace)
    return Ending.FINDINGS if found.is_cut_anew else Ending.CLEAN

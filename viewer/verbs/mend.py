"""`scrieve mend`: a copy of a plan with every sure cure made in it."""

from __future__ import annotations

import os
import sys
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.mending.mend import mend as mend_plan
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.errors import UseError
from scrieve.shared.findings import Level
from scrieve.shared.whole_files import may_write_files, write_files

from ..reports.mend_report import mend_json, mend_text
from ..reports.report import failing
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import say, style_of
from .check import chosen


def mend(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    folder: Annotated[str, Parameter(help="Where the mended copy goes.")],
    /,
    *,
    form: Annotated[
        Literal["text", "json"], Parameter(name="--format", help="How to tell it: for eyes, or for machines.")
    ] = "text",
    replace: Annotated[bool, Parameter(help="Write over a plan that is there.", show_default=False)] = False,
    fail_on: Annotated[
        Literal["error", "warning", "note", "never"],
        Parameter(help="End 1 if a finding of this level or worse is left; waived ones do not count."),
    ] = "error",
    only: Annotated[
        tuple[str, ...],
        Parameter(help="Mend what these checks find; more by commas or repeated.", metavar="CHECK", show_default=False),
    ] = (),
) -> Ending:
    """The ending, after the copy was written and each change told.

    Raises UseError for a folder that is the plan's own, holds it or lies in it, and for one that may not be written.
    """
    checks = chosen("scrieve mend", only)
    read = read_plan(Path(plan))
    _keep_apart(read, folder)
    may_write_files(Path(folder), (read.file.name, *read.drawings), replace=replace)
    with ProgressBar(sys.stderr) as progress:
        mended = mend_plan(read, only=checks if only else (), today=date.today(), progress=progress.tell)
    write_files(Path(folder), mended.files)
    if form == "json":
        say(mend_json(mended, plan, folder))
    else:
        there = folder if read.file.name == PLAN_NAME else os.path.join(folder, read.file.name)
        say(mend_text(mended, plan, there, style_of(sys.stdout)))
    threshold = None if fail_on == "never" else Level(fail_on)
    return Ending.FINDINGS if any(failing(each, threshold) for each in mended.findings) else Ending.CLEAN


def _keep_apart(plan: Plan, folder: str) -> None:
    """Raises UseError where a folder is not quite apart from the plan's own, links followed."""
    own, there = plan.folder.resolve(), Path(folder).resolve()
    if there.is_relative_to(own):
        what = "it is the plan's own folder" if there == own else "it lies in the plan's own folder"
        raise UseError.at(f"cannot be written: {what}; name one beside it", path=folder)
    if own.is_relative_to(there):
        raise UseError.at("cannot be written: the plan's own folder lies in it; name one beside that", path=folder)
    if there.exists() and not there.is_dir():
        raise UseError.at("cannot be written: a folder is wanted (got a file)", path=folder)

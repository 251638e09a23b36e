"""`scrieve share`: the boat as one page for any browser, without a network. Wants no extra."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path, PurePath
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.mending.advice import advised
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..reports.style import count, plain
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_whole
from ..web.boat import SharedBoat
from ..web.page import page


def share(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    out: Annotated[str, Parameter(help="The page to write, its name ending in .html.")],
    /,
    *,
    replace: Annotated[bool, Parameter(help="Write over a file that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the page was written. Raises UseError for a name that does not end in .html."""
    if PurePath(out).suffix.lower() not in (".html", ".htm"):
        raise UseError.at("the boat is shared as a page: a name ending in .html is wanted", path=out)
    may_write(out, replace=replace)
    with ProgressBar(sys.stderr) as progress:
        read = read_plan(Path(plan))
        keep_off(out, read)
        progress.expect(len(read.frames) + len(CHECKS) + 2)
        assembly = assemble(read, progress=progress.tell)
        found = advised(assembly, today=date.today(), progress=progress.tell)
        progress.tell("steps")
        order = steps_of(assembly, file=str(read.file))
        progress.tell("page")
        made = page(SharedBoat(assembly=assembly, findings=found, steps=order))
    write_whole(out, made, replace=replace)
    size = f"{len(made.encode('utf-8')) / 1e6:.1f} MB"
    holds = f"{count(len(order), 'step')}, {count(len(found), 'finding')}"
    say_lines([f"wrote {plain(out)}: {holds}, {size}", "It opens in any browser, without a network."], quiet=FIT_ONLY)
    return Ending.CLEAN

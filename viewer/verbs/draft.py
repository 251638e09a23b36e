"""`scrieve draft`: a first framing plan from a table of offsets."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.draft import draft as draft_plan
from scrieve.shared.cautions import FIT_ONLY

from ..reports.style import plain
from ..system.endings import Ending
from ..system.terminal import say, style_of


def draft(
    lines: Annotated[str, Parameter(help="The lines file, with its table of offsets.")],
    folder: Annotated[str, Parameter(help="Where the plan and its drawings go.")],
    /,
    *,
    replace: Annotated[bool, Parameter(help="Write over a plan that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the plan was written, its files named and the draft's remarks said."""
    drafted = draft_plan(Path(lines), Path(folder), replace=replace)
    style = style_of(sys.stdout)
    said = [line for file in drafted.files for line in style.lines(f"wrote {plain(str(file))}")]
    for words in drafted.remarks:
        said += ["", *style.lines(plain(words))]
    said += ["", *style.lines(f"To see whether it fits: scrieve check {plain(folder)}")]
    said += style.lines(FIT_ONLY, sign="quiet")
    say("\n".join(said) + "\n")
    return Ending.CLEAN

"""`scrieve draft`: a first framing plan from a table of offsets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.draft import draft as draft_plan
from scrieve.shared.cautions import FIT_ONLY

from ..reports.style import plain
from ..system.endings import Ending
from ..system.terminal import say_lines


def draft(
    lines: Annotated[str, Parameter(help="The lines file, with its table of offsets.")],
    folder: Annotated[str, Parameter(help="Where the plan and its drawings go.")],
    /,
    *,
    replace: Annotated[bool, Parameter(help="Write over a plan that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the plan was written, its files named and the draft's remarks said."""
    drafted = draft_plan(Path(lines), Path(folder), replace=replace)
    said = [f"wrote {plain(str(file))}" for file in drafted.files]
    for words in (*drafted.remarks, f"To see whether it fits: scrieve check {folder}"):
        said += ["", plain(words)]
    say_lines(said, quiet=FIT_ONLY)
    return Ending.CLEAN

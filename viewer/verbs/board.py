"""`scrieve board`: the drawing of the assembly board."""

from __future__ import annotations

from pathlib import Path, PurePath
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.boat.board import board_of
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..dxf.board_drawing import board_drawing
from ..reports.style import count, plain
from ..system.endings import Ending
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_whole


def board(
    plan: Annotated[str, Parameter(help="The plan folder, or plan file.")],
    out: Annotated[str, Parameter(help="The drawing to write, its name ending in .dxf.")],
    /,
    *,
    replace: Annotated[bool, Parameter(help="Write over a file that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the drawing was written and said what it holds.

    Raises UseError where there are no dowels, and where the plan names a board that does not hold them.
    """
    if PurePath(out).suffix.lower() != ".dxf":
        raise UseError.at("the board is a drawing: a name ending in .dxf is wanted", path=out)
    may_write(out, replace=replace)
    read = read_plan(Path(plan))
    keep_off(out, read)
    assembly = assemble(read)
    laid = board_of(assembly)
    if not laid.holes:
        raise UseError.at("no dowels are drawn in this plan and none could be proposed: there is no board", path=plan)
    if laid.given and laid.broken_out:
        off, of = len(laid.broken_out), count(len(laid.holes), "hole")
        what = f"the board under [dowels] is too small: {off} of {of} do not fit on it; one of {laid.enough}, is wanted"
        raise UseError.at(what, path=str(read.file), line=read.line_of("dowels", "board"))
    write_whole(out, board_drawing(laid, assembly.name, assembly.frames), replace=replace)
    shared = sum(len(hole.dowels) > 1 for hole in laid.holes)
    frames = {frame for hole in laid.holes for frame in hole.frames}
    size = f"{2 * laid.half:g} x {laid.high - laid.low:g} mm"
    holes = f"{count(len(laid.holes), 'hole')} ({shared} shared)" if shared else count(len(laid.holes), "hole")
    said = [
        f"wrote {plain(out)}",
        f"{holes} for {count(len(frames), 'frame')}, on a board of {size}, seen {laid.seen}",
        f"To see whether holes meet: scrieve check {plain(plan)} --only board",
    ]
    say_lines(said, quiet=FIT_ONLY)
    return Ending.CLEAN

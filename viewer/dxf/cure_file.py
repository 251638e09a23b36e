"""The file of `check --cure`: the computed moves of screws as a drawing or a table, whichever its name asks for."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist
from pathlib import Path, PurePath

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan import Plan
from scrieve.model.proposals.screws.drawn_moves import DrawnMove, drawn_moves
from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding
from scrieve.shared.whole_files import same_file

from ..marks.arrow import arrow_head
from ..reports.cure_table import cure_table
from ..reports.style import count
from ..system.written import may_write, write_whole
from .frame_blocks import FrameBlock, FrameBlocks

ENDINGS = (".dxf", ".csv")

AS_DRAWN, MOVES = "SCREWS AS DRAWN", "MOVES"
_GREY, _RED = 8, 1
_LETTERS = 3.0  # mm
_HEAD = 2.0  # mm; length of an arrow's head, at most half the arrow


def may_cure(path: str, plans: Sequence[str], *, output: str | None, replace: bool) -> None:
    """Raises UseError where such a file cannot be written: for several plans, of another kind, over another."""
    if len(plans) > 1:
        raise UseError.at("--cure takes one plan at a time", path=path)
    if PurePath(path).suffix.lower() not in ENDINGS:
        raise UseError.at("--cure writes a drawing or a table: a name ending in .dxf or .csv is wanted", path=path)
    target = may_write(path, replace=replace)
    if output is not None and same_file(target, Path(output).resolve()):
        raise UseError.at("--cure and --output want two files", path=path)


def write_cure(path: str, plan: Plan, assembly: Assembly, findings: Sequence[Finding], *, replace: bool) -> str:
    """What was written, in a line. It is written even if there is nothing to move: an older file would mislead.

    Raises DrawingError, and UseError where the file cannot be written.
    """
    moves = drawn_moves(plan, assembly, findings)
    drawing = PurePath(path).suffix.lower() == ".dxf"
    text = cure_drawing(moves, tuple(plan.layers)) if drawing else cure_table(moves)
    write_whole(path, text, replace=replace)
    outcomes = [move.outcome for move in moves]
    to_move = sum(move.to is not None for move in moves)
    said = [f"{count(to_move, 'screw')} to move"]
    if "leave out" in outcomes:
        said.append(f"{outcomes.count('leave out')} to leave out")
    if "no place" in outcomes:
        said.append(f"no place for {outcomes.count('no place')}")
    return f"wrote {path}: {', '.join(said)}"


def cure_drawing(moves: Sequence[DrawnMove], plan_layers: Sequence[str]) -> str:
    """A DXF file with a block for each frame that has screws to move or to leave out (see `frame_blocks`).

    New places are centre marks on the layers that the screws are drawn on, so that they can be copied into the
    frame's drawing as they are; the screws as they stand and the arrows are on layers of their own.
    """
    views = {move.frame: move.view for move in moves}
    blocks = FrameBlocks(views.values(), plan_layers)
    for frame, view in views.items():
        block = blocks.frame(frame, view, f"{frame.name}: {view.shown}, in {view.unit}")
        for screw in frame.screws:
            block.circle(screw.at, screw.size.diameter, AS_DRAWN, _GREY)
        for move in moves:
            if move.frame is frame:
                _draw(block, move)
    return blocks.text(() if moves else ("No screw has to be moved.",))


def _draw(block: FrameBlock, move: DrawnMove) -> None:
    size = move.screw.size
    if move.to is None:
        arm = size.head_diameter / 2
        y, v = move.at
        if move.outcome == "leave out":
            block.line((y - arm, v - arm), (y + arm, v + arm), MOVES, _RED)
            block.line((y - arm, v + arm), (y + arm, v - arm), MOVES, _RED)
        block.say(f"{move.screw.name}: {move.outcome}", (y, v + arm + 1.0), MOVES, height=_LETTERS)
        return
    layer = move.layer or AS_DRAWN
    block.mark(move.to, layer, size.diameter, (size.head_diameter - size.diameter) / 2)
    _arrow(block, move.at, move.to)
    after = " (after the others)" if move.outcome == "move after the others" else ""
    block.say(f"{move.screw.name}{after}", (move.to[0], move.to[1] + size.head_diameter), MOVES, height=_LETTERS)


def _arrow(block: FrameBlock, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A line with a head at its end."""
    length = dist(start, end)
    if length == 0.0:
        return
    head = arrow_head(end, np.subtract(end, start) / length, min(_HEAD, length / 2), 0.5)
    _, one, _, other, _ = ((float(u), float(v)) for u, v in head.exterior.coords)
    block.line(start, end, MOVES, _RED)
    for corner in (one, other):
        block.line(end, corner, MOVES, _RED)

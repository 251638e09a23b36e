"""The file of `check --cure`: the findings' edits as a drawing or a table, whichever its name asks for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import dist
from pathlib import Path, PurePath

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.plan.plan import Plan
from scrieve.shared.edits import Add, Move, OfDrawing, Relabel, Remove, Reshape, SetKey
from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding
from scrieve.shared.whole_files import same_file

from ..marks.arrow import arrow_head
from ..reports.cure_table import cure_table
from ..reports.style import count
from ..system.written import may_write
from .frame_blocks import FrameBlock, FrameBlocks

ENDINGS = (".dxf", ".csv")
_DONE = {
    Move: "move",
    Reshape: "reshape",
    Remove: "leave out",
    Add: "add",
    Relabel: "relabel",
    SetKey: "set in the plan",
}

AS_DRAWN, MOVES = "SCREWS AS DRAWN", "MOVES"
_GREY, _RED = 8, 1
_LETTERS = 3.0  # mm
_HEAD = 2.0  # mm; length of an arrow's head, at most half the arrow
_ARM = 4.0  # mm; of the cross on what is to be left out, and of that about the middle of a new circle


def may_cure(path: str, plans: Sequence[str], *, output: str | None, replace: bool) -> None:
    """Raises UseError where such a file cannot be written: for several plans, of another kind, over another."""
    if len(plans) > 1:
        raise UseError.at("--cure takes one plan at a time", path=path)
    if PurePath(path).suffix.lower() not in ENDINGS:
        raise UseError.at("--cure writes a drawing or a table: a name ending in .dxf or .csv is wanted", path=path)
    target = may_write(path, replace=replace)
    if output is not None and same_file(target, Path(output).resolve()):
        raise UseError.at("--cure and --output want two files", path=path)


def cure_file(path: str, plan: Plan, assembly: Assembly, findings: Sequence[Finding]) -> tuple[str, str]:
    """The text of the file, and what is in it in a few words: the edits of findings that are not waived, each once.

    There is one even if there is nothing to change: an older file would mislead.
    """
    edits = list(dict.fromkeys(edit for finding in findings if not finding.waived for edit in finding.edits))
    if PurePath(path).suffix.lower() == ".csv":
        text, others = cure_table(edits, {frame.number: frame.view for frame in assembly.frames}), 0
    else:
        drawn = [edit for edit in edits if not isinstance(edit, SetKey | Relabel) and edit.target.frame]
        text, others = cure_drawing(drawn, assembly.frames, tuple(plan.layers)), len(edits) - len(drawn)
    counts = Counter(_DONE[type(edit)] for edit in edits)
    said = [f"{number} to {what}" for what, number in sorted(counts.items())] or ["nothing to change"]
    more = f" ({count(others, 'change')} can be told in a table alone)" if others else ""
    return text, f"{', '.join(said)}{more}"


def cure_drawing(edits: Sequence[OfDrawing], frames: Sequence[Frame], plan_layers: Sequence[str]) -> str:
    """A DXF file with a block for each frame in whose drawing something is to change (see `frame_blocks`).

    New circles and outlines are on the layers that they belong on, so that they can be copied into the frame's drawing
    as they are; the screws as they stand and the arrows are on layers of their own.
    """
    changed = [frame for frame in frames if any(edit.target.frame == frame.number for edit in edits)]
    blocks = FrameBlocks([frame.view for frame in changed], plan_layers)
    for frame in changed:
        view = frame.view
        block = blocks.frame(frame, view, f"{frame.name}: {view.shown}, in {view.unit}")
        for screw in frame.screws:
            block.circle(screw.at, screw.size.diameter, AS_DRAWN, _GREY)
        for edit in edits:
            if edit.target.frame == frame.number:
                _draw(block, edit, frame)
    return blocks.text(() if changed else ("Nothing in the drawings of frames has to be changed.",))


def _draw(block: FrameBlock, edit: OfDrawing, frame: Frame) -> None:
    view, name, layer = block.view, edit.target.name, edit.target.layer or AS_DRAWN
    match edit:
        case Move():
            start, end = view.back(edit.start), view.back(edit.end)
            width = _widths(frame).get(name)
            if width is not None:
                block.mark(end, layer, width[0], (width[1] - width[0]) / 2)
            _arrow(block, start, end)
            after = " (after the others)" if edit.after else ""
            above = width[1] if width is not None else 0.0
            block.say(f"{name}{after}", (end[0], end[1] + above), MOVES, height=_LETTERS)
        case Remove():
            y, v = view.back(edit.at)
            block.line((y - _ARM, v - _ARM), (y + _ARM, v + _ARM), MOVES, _RED)
            block.line((y - _ARM, v + _ARM), (y + _ARM, v - _ARM), MOVES, _RED)
            block.say(f"{name}: leave out", (y, v + _ARM + 1.0), MOVES, height=_LETTERS)
        case Reshape():
            for start, end in edit.corners:
                _arrow(block, view.back(start), view.back(end))
        case Add(diameter=0.0):
            block.outline(edit.points, edit.bulges, layer)
        case Add():
            block.mark(view.back(edit.points[0]), layer, edit.diameter * view.scale, _ARM)
        case Relabel():
            pass  # the table says it


def _widths(frame: Frame) -> dict[str, tuple[float, float]]:
    """The diameters of the round things of a frame by name, mm, and of their heads."""
    dowels = {dowel.name: (dowel.diameter, dowel.diameter + 2 * _ARM) for dowel in frame.dowels}
    return dowels | {screw.name: (screw.size.diameter, screw.size.head_diameter) for screw in frame.screws}


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

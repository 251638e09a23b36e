"""The file of `check --cure`: the computed moves of screws as a drawing or a table, whichever its name asks for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path, PurePath

from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan import Plan
from scrieve.model.proposals.screws.drawn_moves import drawn_moves
from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding
from scrieve.shared.whole_files import same_file

from ..reports.cure_table import cure_table
from ..reports.style import count
from ..system.written import may_write, write_whole
from .cure_drawing import cure_drawing

ENDINGS = (".dxf", ".csv")


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

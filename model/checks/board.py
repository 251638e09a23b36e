"""Check `board`: dowel holes of the assembly board meet, leave too little wood, or lie off the board."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, falls_short

from ..assembly import Assembly
from ..board import Board, Hole, board_of
from ..screw import Dowel
from ..wording import at_least, listed, mm
from .check import Check, Page


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for every two holes without wood enough between them, and one if there are holes off the board."""
    board = board_of(assembly)
    if board.holes:
        yield from _too_close(board, assembly)
        if board.given:
            yield from _off_the_board(board, assembly)


def _too_close(board: Board, assembly: Assembly) -> Iterator[Finding]:
    places = shapely.points([hole.at for hole in board.holes])
    widest = max(hole.diameter for hole in board.holes)
    near = shapely.STRtree(places).query(places, predicate="dwithin", distance=widest * (1 + board.web))
    for i, j in sorted(near.T.tolist()):
        first, second = board.holes[i], board.holes[j]
        if i >= j:
            continue
        limit = board.web * max(first.diameter, second.diameter)
        wood = float(np.hypot(*np.subtract(first.at, second.at))) - (first.diameter + second.diameter) / 2
        if falls_short(wood, limit):
            yield _between(first, second, wood, limit, assembly)


def _between(one: Hole, other: Hole, wood: float, limit: float, assembly: Assembly) -> Finding:
    order = {frame.number: place for place, frame in enumerate(assembly.frames)}
    fixed, mover = sorted((one, other), key=lambda hole: (order[hole.dowels[0].frame], hole.dowels[0].name))
    first, second = (listed(dowel.name for dowel in hole.dowels) for hole in (fixed, mover))
    meets = wood <= COINCIDENT
    if meets:
        said = f"the holes of {first} and {second} run {mm(-wood)} into one another on the assembly board"
        if fixed.at == mover.at:
            said = f"{first} and {second} stand in one place, yet cannot share a hole: {_why_not(fixed, mover)}"
    else:
        said = f"the holes of {first} and {second} stand {mm(wood, limit)} apart on the assembly board"
    away = f"move one {at_least(limit - wood)} further away along the wood it stands against"
    return _finding(
        mover.dowels[0],
        assembly,
        level=Level.ERROR if meets else Level.WARNING,
        parts=tuple(sorted(dowel.name for hole in (fixed, mover) for dowel in hole.dowels)),
        measured=wood,
        limit=limit,
        message=f"{said}; {mm(limit, wood)} of wood is wanted between two holes",
        cure=f"leave out {first} or {second} where its frame is held without, or {away}",
    )


def _why_not(one: Hole, other: Hole) -> str:
    if set(one.frames) & set(other.frames):
        return "they are of one frame"
    return f"one is {one.diameter:g} mm thick, the other {other.diameter:g} mm"


def _off_the_board(board: Board, assembly: Assembly) -> Iterator[Finding]:
    """One finding for all holes that have no board about them, or not enough."""
    short = [hole for hole in board.holes if falls_short(board.wood_beside(hole), board.web * hole.diameter)]
    if not short:
        return
    worst = min(short, key=board.wood_beside)
    wood, limit = board.wood_beside(worst), board.web * worst.diameter
    name = worst.dowels[0].name
    size = f"{2 * board.half:g} x {board.high - board.low:g} mm"
    if wood < 0:
        said = f"the hole of {name} reaches {mm(-wood)} past the edge of the assembly board of {size}"
    else:
        said = f"the hole of {name} leaves {mm(wood, limit)} of wood to the edge of the assembly board of {size}"
    more = f", and {len(short) - 1} more holes are too near an edge" if len(short) > 1 else ""
    yield _finding(
        worst.dowels[0],
        assembly,
        level=Level.ERROR if board.broken_out else Level.WARNING,
        parts=tuple(sorted(dowel.name for hole in short for dowel in hole.dowels)),
        measured=wood,
        limit=limit,
        message=f"{said}, {mm(limit, wood)} is wanted{more}",
        cure=f"take a board of {board.enough}",
    )


def _finding(
    dowel: Dowel,
    assembly: Assembly,
    *,
    level: Level,
    parts: tuple[str, ...],
    measured: float,
    limit: float,
    message: str,
    cure: str,
) -> Finding:
    frame = next(frame for frame in assembly.frames if frame.number == dowel.frame)
    return Finding(
        check="board",
        level=level,
        message=message,
        frame=frame.number,
        parts=parts,
        at=frame.placement.point(*dowel.at, frame.core_low),
        measured=measured,
        limit=limit,
        unit="mm",
        cure=cure,
        source=dowel.source,
    )


CHECK = Check(
    slug="board",
    title="Dowel holes of the assembly board meet or lie off it",
    level=Level.ERROR,
    limits=("board_web",),
    page=Page(
        looks_at=(
            "The dowels of all frames, laid on one assembly board: every frame lies on it with its centreline on the "
            "board's centreline and its datum line on the board's datum line. Dowels of two frames that stand within "
            "0.1 mm of one another and are of one diameter share a hole. Between any two other holes the wood that is "
            "left is measured, also between two of one frame. Where the plan says how big the board is ([dowels] "
            "board), every hole must lie on it: the centreline in its middle, the board laid either way round, and "
            "moved up or down as the holes want."
        ),
        matters=(
            "The frames are put together on the board one after the other, and each wants its dowels upright and "
            "fast. In a hole that runs into another a dowel leans, and so does the joint that it locates; a thin web "
            "between two holes breaks out when a glued frame is prised off. It shows when the frame before has long "
            "been made."
        ),
        limit=(
            "board_web, one diameter of the thicker dowel, between two holes and from a hole to an edge. Common "
            "practice, no source. Holes that meet or break out of an edge are errors, thin webs warnings."
        ),
        cure=(
            "Leave out one of the two dowels, if its frame is held without it; `dowel-hold` says whether it is. Or set "
            "one along the wall that it stands against, by the length that is named. Or give one of the two frames a "
            "board of its own and waive the finding."
        ),
    ),
    on_boat=check,
)

"""Check `board`: dowel holes of the assembly board meet, leave too little wood, or lie off the board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from scrieve.shared.budget import TooCrowded
from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure, Subject
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import COINCIDENT, SLIVER, falls_short
from scrieve.shared.wording import at_least, listed, mm, plain

from ..boat.assembly import Assembly
from ..boat.board import Board, Hole, board_of
from ..boat.editing import move, remove
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.screw import Dowel
from ..geometry.plane import disc
from ..relations.dowels.dowel_fit import along_wood
from ..relations.dowels.still_free import still_free
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
            yield _between(first, second, wood, limit, board, assembly)


def _between(one: Hole, other: Hole, wood: float, limit: float, board: Board, assembly: Assembly) -> Finding:
    order = {frame.number: place for place, frame in enumerate(assembly.frames)}
    fixed, mover = sorted((one, other), key=lambda hole: (order[hole.dowels[0].frame], hole.dowels[0].name))
    first, second = (_names(hole) for hole in (fixed, mover))
    meets = wood <= COINCIDENT
    if fixed.at == mover.at:
        said = Sentence.of(
            "{first} and {second} stand in one place, yet cannot share a hole: {why}",
            first=first, second=second, why=_why_not(fixed, mover),
        )  # fmt: skip
    else:
        ending = "run {wood} into one another" if meets else "stand {wood} apart"
        said = Sentence.of(
            f"the holes of {{first}} and {{second}} {ending} on the assembly board",
            first=first, second=second, wood=mm(-wood) if meets else mm(wood, limit),
        )  # fmt: skip
    mark = _marker(mover, assembly)
    way = np.subtract(mover.at, fixed.at)
    way = way / np.hypot(*way) if np.hypot(*way) > COINCIDENT else np.array([1.0, 0.0])
    rims = np.add(fixed.at, way * fixed.diameter / 2), np.subtract(mover.at, way * mover.diameter / 2)
    shared = shapely.intersection(*(disc(hole.at, hole.diameter) for hole in (fixed, mover)))
    return _finding(
        mover,
        assembly,
        board,
        level=Level.ERROR if meets else Level.WARNING,
        holes=(fixed, mover),
        measured=wood,
        limit=limit,
        words="{value} into one another, {limit} of wood wanted" if wood < 0.0 else "{value} of wood, {limit} wanted",
        message=Sentence.of(
            "{said}; {limit} of wood is wanted between two holes", said=said, limit=mm(limit, wood)
        ),
        cure=Sentence.of(
            "leave out {first} or {second} where its frame is held without, or move one {lacking} further away along "
            "the wood it stands against",
            first=first, second=second, lacking=at_least(limit - wood),
        ),
        edits=_apart((mover, fixed), board, assembly),
        evidence=(
            *mark.spans(*rims),
            *mark.regions(shared, mark.frame.core_low, mark.frame.core_high),
        ),
    )  # fmt: skip


def _apart(holes: Sequence[Hole], board: Board, assembly: Assembly) -> tuple[Edit, ...]:
    """The first of these dowels left out, or moved along the wood, that is alone in its hole and holds no less so."""
    alone = [hole for hole in holes if len(hole.dowels) == 1]
    for hole in alone:
        frame, dowel = _frame_of(hole, assembly), hole.dowels[0]
        rest = tuple(each for each in frame.dowels if each is not dowel)
        if rest and _holds_as_well(frame, rest, assembly):
            return remove(frame, dowel)
    for hole in alone:
        frame, dowel = _frame_of(hole, assembly), hole.dowels[0]
        others = [other for other in board.holes if other is not hole]
        widest = [max(hole.diameter, other.diameter) for other in others]
        apart = [(hole.diameter + o.diameter) / 2 + board.web * w + SLIVER for o, w in zip(others, widest, strict=True)]
        taken = shapely.union_all(shapely.buffer(shapely.points([other.at for other in others]), apart))
        wood = shapely.union_all([part.shape for part in frame.core])
        free = shapely.difference(along_wood(wood, hole.diameter), taken)
        y, v = shapely.get_coordinates(shapely.shortest_line(free, shapely.Point(hole.at)))[0].tolist()
        moved = (*(each for each in frame.dowels if each is not dowel), replace(dowel, at=(y, v)))
        if _holds_as_well(frame, moved, assembly):
            return move(frame, dowel, (y, v))
    return ()


def _holds_as_well(frame: Frame, dowels: tuple[Dowel, ...], assembly: Assembly) -> bool:
    try:
        return len(still_free(replace(frame, dowels=dowels), assembly)) <= len(still_free(frame, assembly))
    except TooCrowded:
        return False


def _frame_of(hole: Hole, assembly: Assembly) -> Frame:
    return next(frame for frame in assembly.frames if frame.number == hole.dowels[0].frame)


def _why_not(one: Hole, other: Hole) -> str:
    if set(one.frames) & set(other.frames):
        return "they are of one frame"
    return Sentence.of(
        "one is {one} mm thick, the other {other} mm", one=plain(one.diameter), other=plain(other.diameter)
    )


def _off_the_board(board: Board, assembly: Assembly) -> Iterator[Finding]:
    """One finding for all holes that have no board about them, or not enough."""
    short = [hole for hole in board.holes if falls_short(board.wood_beside(hole), board.web * hole.diameter)]
    if not short:
        return
    worst = min(short, key=board.wood_beside)
    wood, limit = board.wood_beside(worst), board.web * worst.diameter
    if wood < 0:
        lies = "reaches {wood} past the edge of the assembly board"
        words = "{value} past the edge, {limit} of wood wanted"
    else:
        lies = "leaves {wood} of wood to the edge of the assembly board"
        words = "{value} of wood, {limit} wanted"
    more = ", and {more} more holes are too near an edge" if len(short) > 1 else ""
    said = Sentence.of(
        f"the hole of {{dowel}} {lies} of {{across}} x {{up}} mm",
        dowel=worst.dowels[0], wood=mm(-wood) if wood < 0 else mm(wood, limit),
        across=plain(2 * board.half), up=plain(board.high - board.low),
    )  # fmt: skip
    others = {"more": plain(len(short) - 1)} if more else {}
    yield _finding(
        worst,
        assembly,
        board,
        level=Level.ERROR if board.broken_out else Level.WARNING,
        holes=short,
        measured=wood,
        limit=limit,
        words=words,
        message=Sentence.of(f"{{said}}, {{limit}} is wanted{more}", said=said, limit=mm(limit, wood), **others),
        cure=Sentence.of("take a board of {enough}", enough=Name(board.enough)),
        edits=assembly.keys.set(("dowels",), "board", board.least),
        evidence=_marker(worst, assembly).spans(*board.beside(worst)),
    )


def _finding(
    worst: Hole,
    assembly: Assembly,
    board: Board,
    *,
    level: Level,
    holes: Sequence[Hole],
    measured: float,
    limit: float,
    words: str,
    message: str,
    cure: str,
    edits: tuple[Edit, ...],
    evidence: tuple[Mark, ...],
) -> Finding:
    dowel, mark = worst.dowels[0], _marker(worst, assembly)
    low, high = mark.frame.core_low, mark.frame.core_high
    named = sorted((dowel for hole in holes for dowel in hole.dowels), key=lambda dowel: dowel.name)
    elsewhere = [hole for hole in holes if mark.frame.number not in hole.frames]
    sheet = shapely.box(-board.half, board.low, board.half, board.high)
    return Finding(
        check="board",
        level=level,
        message=message,
        frame=dowel.frame,
        at=mark.at(dowel.at),
        cure=cure,
        edits=edits,
        source=dowel.source,
        subjects=subjects(*named, Subject(kind="board", name="assembly board")),
        measure=Measure(value=measured, limit=limit, sense="least", words=words),
        evidence=(
            *evidence,
            *(mark.dowel(hole.at, hole.diameter, words=_names(hole)) for hole in holes),
            *(mark.ghost(disc(hole.at, hole.diameter), low, high) for hole in elsewhere),
            *Marker(frame=mark.frame, w=high).lines(sheet),
        ),
    )


def _marker(hole: Hole, assembly: Assembly) -> Marker:
    """For marks in the plane of the frame whose dowel stands first in the hole."""
    frame = _frame_of(hole, assembly)
    return Marker(frame=frame, w=frame.core_low)


def _names(hole: Hole) -> Name | Sentence:
    return listed(dowel.name for dowel in hole.dowels)


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

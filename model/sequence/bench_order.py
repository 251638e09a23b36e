"""The order in which the parts of a frame go together on the bench, and from where each comes.

The frame is put together flat on the assembly board: the core, the plates of the face that lies up, then
the frame is turned over for the plates of the other face; the legs come last, in the hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from scrieve.shared.kept import kept
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import at_least, listed, place, ways

from ..boat.frame import Frame
from ..boat.part import Part
from ..relations.fouls.foul import triple
from .disassembly import peeled
from .leaving import Hold, Piece, Pieces
from .way import Trapped, Way, in_trade_order

__all__ = ["BenchOrder", "BenchPiece", "Trapped", "bench_order"]

FirstFace = Literal["forward", "aft"]

_CORE, _FIRST, _SECOND, _LEGS = range(4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchPiece:
    """What is put on in one go: a part, or the plies of a leg, which come glued to one another."""

    parts: tuple[Part, ...]
    way: Way


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchOrder:
    """The order for one frame; `first` is the face that lies up first.

    A leg that can no more get in once the plates lie stands among the core or the plates, where it goes
    on in time. `refused` are those of the wanted pairs that the geometry or the bench does not allow.
    """

    core: tuple[BenchPiece, ...]
    first_face: tuple[BenchPiece, ...]
    second_face: tuple[BenchPiece, ...]
    legs: tuple[BenchPiece, ...]
    first: FirstFace
    trapped: tuple[Trapped, ...]
    refused: tuple[tuple[str, str], ...] = ()

    @property
    def placed(self) -> tuple[BenchPiece, ...]:
        """All of it, one after the other."""
        return (*self.core, *self.first_face, *self.second_face, *self.legs)


@kept
def bench_order(frame: Frame, wanted: tuple[tuple[str, str], ...] = ()) -> BenchOrder:
    """The order for a frame, and what of it cannot be brought to its place.

    `wanted` are pairs of parts by name, the first to go on before the second. Within a stage the order is
    from low to high, port before starboard, by name; it does not depend on the order of things in the
    drawing. Where both faces have plates the aft one lies up first, so that the forward one, where the legs
    come on, lies up in the end; the other way round if that meets more wishes or frees what is trapped.
    """
    faces = {part.face for part in frame.parts if part.role != "leg"}
    usual: FirstFace = "aft" if "aft" in faces else "forward"
    order = _ordered(frame, usual, wanted)
    if order.trapped or order.refused:
        other = _ordered(frame, "forward" if usual == "aft" else "aft", wanted)
        if (len(other.trapped), len(other.refused)) < (len(order.trapped), len(order.refused)):
            return other
    return order


def _ordered(frame: Frame, first: FirstFace, wanted: tuple[tuple[str, str], ...]) -> BenchOrder:
    up = 1 if first == "forward" else -1
    plates = [part for part in frame.parts if part.role != "leg" and part.face != "core"]
    things = [
        *_things(_CORE, frame.core),
        *_things(_FIRST, (p for p in plates if p.face == first)),
        *_things(_SECOND, (p for p in plates if p.face != first)),
        *(_Item(leg.name, leg.plies, _LEGS, _earliest(leg.plies, frame, up)) for leg in frame.legs),
        *(_Item(ply.name, (ply,), _LEGS, _earliest((ply,), frame, up)) for ply in frame.midship_plies),
    ]
    pieces = Pieces([thing.piece for thing in things])

    def leaves(number: int, stage: int, rest: Sequence[int]) -> Way | None:
        return pieces.way(number, rest, things[number].sides(up))

    number = {part.name: n for n, thing in enumerate(things) for part in thing.piece}
    pairs = {(number[a], number[b]): (a, b) for a, b in wanted if a in number and b in number}
    wishes = {(i, j) for i, j in pairs if i != j}
    found = peeled([(thing.stage, thing.earliest) for thing in things], leaves, wishes)
    by_stage = [
        tuple(BenchPiece(parts=things[n].piece, way=way) for n, at, way in found.placed if at == stage)
        for stage in range(4)
    ]
    return BenchOrder(
        core=by_stage[_CORE],
        first_face=by_stage[_FIRST],
        second_face=by_stage[_SECOND],
        legs=by_stage[_LEGS],
        first=first,
        trapped=tuple(_trapped(frame, pieces, things[n], n, rest, up) for n, rest in found.trapped),
        refused=tuple(pairs[pair] for pair in found.refused),
    )


class _Item(NamedTuple):
    """What goes on in one go: its name, at which stage, and how early it could."""

    name: str
    piece: Piece
    stage: int
    earliest: int

    def sides(self, up: int) -> tuple[int, ...]:
        """The faces from which it can be dropped: the one that lies up, or either for what is held in the hand."""
        if self.stage == _LEGS:
            return 1, -1
        return (-up,) if self.stage == _SECOND else (up,)


def _things(stage: int, parts: Iterable[Part]) -> Iterator[_Item]:
    low_first = in_trade_order(parts, lambda part: part.shape.bounds[1])
    return (_Item(part.name, (part,), stage, stage) for part in low_first)


def _earliest(leg: Piece, frame: Frame, up: int) -> int:
    """The first stage at which a leg could go on: not while wood of it would lie under the core, on the board."""
    under = min(ply.low for ply in leg) < frame.core_low - SLIVER
    if up < 0:
        under = max(ply.high for ply in leg) > frame.core_high + SLIVER
    return _SECOND if under else _CORE


def _trapped(frame: Frame, pieces: Pieces, thing: _Item, number: int, rest: Sequence[int], up: int) -> Trapped:
    holders = pieces.holders(number, rest, thing.sides(up))
    way, holds = pieces.holds(number, holders, thing.sides(up))
    first = thing.piece[0]
    y, v = holds[0].at if holds else (first.shape.centroid.x, first.shape.centroid.y)
    return Trapped(
        thing=thing.name,
        parts=tuple(part.name for part in thing.piece),
        by=tuple(sorted({part.name for n in holders for part in pieces.pieces[n]})),
        at=frame.placement.point(y, v, (first.low + first.high) / 2),
        frame=frame.number,
        cure="" if way is None else _cure(frame, way, holds),
        toward=None if way is None else triple(frame.placement.vector_to_hull([way.toward])[0]),
    )


def _cure(frame: Frame, way: Way, holds: Sequence[Hold]) -> Sentence:
    """Where to take off how much, so that it comes in along this way."""
    off = listed(
        Sentence.of("{width} off {part} at {place}", width=at_least(hold.width), part=hold.part, place=place(*hold.at))
        for hold in holds
    )
    return Sentence.of(
        "take {off}: then it can {verb} in, going {way}",
        off=off,
        verb="drop" if way.how == "drop" else "slide",
        way=ways(frame.placement.vector_to_hull([way.toward])[0]),
    )

"""Where screws that stand too close would have to go: one solution for all of them together.

Every new place is clear of all screws where they stand now and of all new places, so that any of the moves may
be made alone and all of them together. Where that leaves a screw without a place, it is tried once more with the
places free that others leave; such a move is `after` those.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from heapq import heapify, heappop, heappush
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.budget import Budget, TooCrowded
from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw
from ...geometry.plane import foot
from ...relations.screws.screw_edges import NearEdge, near_edges
from ...relations.screws.shafts import TooClose, too_close
from .moves import Drawn, Moves, NewPlace, sideways
from .room import ScrewRoom

Floats = NDArray[np.float64]
Way = tuple[float, float]
Rank = tuple[int, ...]
Fault: TypeAlias = NearEdge | TooClose

REACH = 20.0
"""mm; a place further off is no cure for this screw but another layout."""

_SEARCHES = ((1.0, 32), (0.5, 64))  # mm between the rings of places that are tried, and places on a ring
_AT_ONCE = 4  # rings tried together
_MOST_STEPS = 100_000_000  # a place against a screw beside it each; a thousand fouling screws take a twentieth
_PER_RING = 1_000  # steps that rings of places cost besides
_ROUNDING = 0.08  # mm that a place may lose by being rounded to tenths in both directions


@kept
def moves_in(frame: Frame, assembly: Assembly) -> Moves:
    """The solution for what stands too close in a frame and in those that share drawn screws with it."""
    limits = assembly.limits
    faults: list[Fault] = []
    for each in _drawn_together(frame, assembly.frames):
        faults += near_edges(each, limits)
        faults += too_close(each.screws, limits)
    return _Solver(assembly, faults).solution()


def _drawn_together(frame: Frame, frames: Sequence[Frame]) -> list[Frame]:
    """The frame, and all that show a screw that one of these shows too."""
    drawn = {other: {screw.source for screw in other.screws if screw.source.handle} for other in frames}
    reached: set[object] = set(drawn.get(frame, ()))
    together = {frame}
    while more := {other for other in frames if other not in together and drawn[other] & reached}:
        together |= more
        reached = reached.union(*(drawn[other] for other in more))
    return [other for other in frames if other in together]


class _Solver:
    """Moves screws one after the other until no fault is left that it can cure."""

    def __init__(self, assembly: Assembly, faults: Sequence[Fault]) -> None:
        self._assembly = assembly
        order = {frame: n for n, frame in enumerate(assembly.frames)}
        frame_of = {screw: order[frame] for frame in assembly.frames for screw in frame.screws}
        in_order = sorted(
            faults,
            key=lambda f: (frame_of[f.screws[0]], not f.is_error, len(f.screws), [(s.name, s.at) for s in f.screws]),
        )
        self._budget = Budget(_MOST_STEPS)
        self._open = {fault: n for n, fault in enumerate(in_order)}
        self._faults: dict[Screw, list[Fault]] = {}
        for fault in in_order:
            for screw in fault.screws:
                self._faults.setdefault(screw, []).append(fault)
        self._open_of = {screw: dict.fromkeys(found) for screw, found in self._faults.items()}
        self._drawn: dict[Screw, Drawn] = {}
        groups: dict[object, list[tuple[Frame, Screw]]] = {}
        for frame in assembly.frames:
            for screw in frame.screws:
                groups.setdefault(screw.source if screw.source.handle else screw, []).append((frame, screw))
        for members in groups.values():
            drawn = Drawn(tuple(sorted(members, key=lambda m: (order[m[0]], m[1].image, m[1].name))))
            self._drawn.update((screw, drawn) for _, screw in members)
        self._rooms: dict[Frame, ScrewRoom] = {}
        self._at: dict[Screw, tuple[float, float]] = {}
        self._stand = {frame: _places(frame.screws) for frame in assembly.frames}
        self._go = {frame: np.full_like(stand, np.inf) for frame, stand in self._stand.items()}
        self._number = {screw: n for frame in assembly.frames for n, screw in enumerate(frame.screws)}
        self._after: dict[Screw, tuple[Screw, ...]] = {}
        self._gone: dict[Screw, Drawn] = {}

    def solution(self) -> Moves:
        """Where all come to stand."""
        given_up: dict[Screw, None] = {}
        try:
            self._settle()
            for fault in list(self._open):  # with the places free that others leave
                if fault in self._open:
                    self._nearer_of(fault, old_places=False)
            self._leave_out()
        except TooCrowded:
            given_up = {screw: None for fault in self._open for screw in fault.screws}
        return Moves(
            moves=tuple(
                NewPlace(screw, self._at[screw], self._drawn[screw], self._after.get(screw, ()))
                for frame in self._assembly.frames
                for screw in sorted(frame.screws, key=lambda s: (s.name, s.at))
                if screw in self._at
            ),
            out=self._gone,
            given_up=frozenset(given_up),
        )

    def _settle(self) -> None:
        """First what has to move: what is near an edge; then what stands near several; then one of each two."""
        tried: set[Screw] = set()

        def rank(screw: Screw) -> Rank | None:
            return None if screw in tried else self._rank(screw)

        for worst in _by_rank(self._faults, rank):
            tried.update(screw for _, screw in self._drawn[worst].members)
            self._move([worst], list(self._open_of[worst]))
        for fault in list(self._open):
            if fault in self._open:
                self._nearer_of(fault)

    def _rank(self, screw: Screw) -> Rank | None:
        """How pressing a screw is, least first; None where one move could cure no more than half of a fault."""
        found = self._open_of[screw]
        edges = sum(isinstance(fault, NearEdge) for fault in found)
        if not edges and len(found) < 2:
            return None
        first = next(iter(found))
        return -edges, -len(found), self._open[first], first.screws.index(screw)

    def _close(self, screws: Iterable[Screw]) -> None:
        """Takes the faults of these screws as done with."""
        for screw in screws:
            for fault in list(self._open_of.get(screw, ())):
                del self._open[fault]
                for one in fault.screws:
                    self._open_of[one].pop(fault, None)

    def _nearer_of(self, fault: Fault, *, old_places: bool = True) -> None:
        self._move(fault.screws[::-1], [fault], old_places=old_places)

    def _move(self, movers: Sequence[Screw], faults: Sequence[Fault], *, old_places: bool = True) -> None:
        """Moves that one of `movers` that has the nearest place; none if none has."""
        found: list[tuple[float, int, Drawn, Floats]] = []
        for mover in movers:
            by = self._nearest(mover, [f for f in faults if mover in f.screws], old_places=old_places)
            if by is not None:
                found.append((round(float(np.hypot(*by)), 3), len(found), self._drawn[mover], by))
        if not found:
            return
        *_, drawn, by = min(found, key=lambda one: one[:2])
        moved = set()
        for (frame, screw), there in zip(drawn.members, drawn.displaced(by[None, :]), strict=True):
            y, v = there[0].tolist()
            self._at[screw] = (y, v)
            moved.add(screw)
            if not old_places:
                self._after[screw] = self._had_to_leave(frame, screw, there)
        for frame, screw in drawn.members:
            self._go[frame][self._number[screw]] = self._at[screw]
        self._close(moved)

    def _nearest(self, mover: Screw, faults: Sequence[Fault], *, old_places: bool) -> Floats | None:
        """By how much the object that draws the mover should move, (2,) for its first screw; None if nowhere to.

        Tried are rings on from what the worst of the faults asks for, starting each straight away from what is too
        near. The first screw comes to whole tenths of a millimetre; tested is where it really comes to stand.
        """
        drawn = self._drawn[mover]
        if self._never_parts(drawn):
            return None
        rooms = [self._room(frame) for frame, _ in drawn.members]
        if not faults or not all(room.has_wood(s, REACH) for room, (_, s) in zip(rooms, drawn.members, strict=True)):
            return None
        worst = max(faults, key=lambda fault: fault.least)
        both = len(worst.screws) == 2 and all(self._drawn[screw] is drawn for screw in worst.screws)
        least = worst.least / (2 if both else 1) + _ROUNDING
        furthest = max(REACH, least + _AT_ONCE) + _AT_ONCE
        crowds = [self._crowd(frame, s, drawn, furthest, old_places=old_places) for frame, s in drawn.members]
        lead = drawn.members[0][1]
        away = np.multiply(_away(mover, worst), (sideways(mover) * sideways(lead), 1.0))
        start = float(np.arctan2(away[1], away[0]))
        # what lies to starboard is tried as the mirror image of what lies to port
        sense = 1.0 if lead.at[0] >= 0 else -1.0
        for step, ways in _SEARCHES:
            turns = start + sense * _from_the_middle(ways) * 2 * np.pi / ways
            ring = np.column_stack([np.cos(turns), np.sin(turns)])
            radius = least
            while radius <= max(REACH, least + _AT_ONCE * step):
                radii = radius + step * np.arange(_AT_ONCE)
                tried = np.round(np.asarray(lead.at) + (radii[:, None, None] * ring).reshape(-1, 2), 1)
                by = self._first(drawn, rooms, crowds, tried - lead.at)
                if by is not None:
                    return by
                radius += _AT_ONCE * step
        return None

    def _never_parts(self, drawn: Drawn) -> bool:
        """Whether two screws too near one another are drawn as one and move alike: no move parts them."""
        members = {screw for _, screw in drawn.members}
        faults = (fault for screw in members for fault in self._faults.get(screw, ()))
        pairs = (fault.screws for fault in faults if len(fault.screws) == 2 and members.issuperset(fault.screws))
        return any(sideways(one) == sideways(other) for one, other in pairs)

    def _first(
        self, drawn: Drawn, rooms: Sequence[ScrewRoom], crowds: Sequence[Sequence[Screw]], tried: Floats
    ) -> Floats | None:
        """The first of the displacements (n, 2) that suits all that is drawn with the screw."""
        places = drawn.displaced(tried)
        good = np.ones(len(tried), dtype=np.bool_)
        for room, (_, screw), at, crowd in zip(rooms, drawn.members, places, crowds, strict=True):
            some = np.flatnonzero(good)
            self._budget.spend(len(some) * (len(crowd) + 1) + _PER_RING)
            good[some] = room.clear(screw, at[some], crowd)
        for n in np.flatnonzero(good).tolist():
            if self._suits(drawn, rooms, [at[n] for at in places]):
                return np.asarray(tried[n])
        return None

    def _suits(self, drawn: Drawn, rooms: Sequence[ScrewRoom], places: Sequence[Floats]) -> bool:
        """Whether what one object draws holds at these places, and keeps clear of itself."""
        moved: list[tuple[ScrewRoom, Screw]] = []
        for room, (_, screw), at in zip(rooms, drawn.members, places, strict=True):
            there = float(at[0]), float(at[1])
            beside = [other for its, other in moved if its is room]
            if not room.holds(screw, there) or not room.clear(screw, at[None, :], beside)[0]:
                return False
            moved.append((room, room.moved(screw, there)))
        return True

    def _crowd(self, frame: Frame, screw: Screw, drawn: Drawn, furthest: float, *, old_places: bool) -> list[Screw]:
        """All other screws of a frame where they stand now, as far as that counts, and where they go.

        Only those that a screw could come near that goes no further than `furthest` mm.
        """
        mine = {screw for _, screw in drawn.members}
        room, stand, go = self._room(frame), self._stand[frame], self._go[frame]
        reach = furthest + room.widest
        standing = _near(stand, screw.at, reach)
        there = [frame.screws[n] for n in standing if old_places or not np.isfinite(go[n, 0])]
        gone = [frame.screws[n] for n in _near(go, screw.at, reach)]
        return [s for s in there if s not in mine] + [room.moved(s, self._at[s]) for s in gone if s not in mine]

    def _had_to_leave(self, frame: Frame, screw: Screw, there: Floats) -> tuple[Screw, ...]:
        """Those that stood, and stand no more, where a screw goes (1, 2)."""
        gone = (frame.screws[n] for n in np.flatnonzero(np.isfinite(self._go[frame][:, 0])).tolist())
        return tuple(other for other in gone if not self._room(frame).clear(screw, there, [other])[0])

    def _room(self, frame: Frame) -> ScrewRoom:
        if frame not in self._rooms:
            self._rooms[frame] = ScrewRoom.of(frame, self._assembly)
        return self._rooms[frame]

    def _leave_out(self) -> None:
        """Of the screws that foul and cannot move, those left out that are in most of these faults."""
        by_name = sorted(self._faults, key=lambda screw: screw.name, reverse=True)
        order = {screw: n for n, screw in enumerate(by_name)}

        def rank(screw: Screw) -> Rank | None:
            near_edge = [isinstance(fault, NearEdge) for fault in self._open_of[screw] if fault.is_error]
            edges = sum(near_edge)
            return (-edges, edges - len(near_edge), order[screw]) if near_edge else None

        for worst in _by_rank(self._faults, rank):
            drawn = self._drawn[worst]
            self._gone.update((screw, drawn) for _, screw in drawn.members)
            self._close([screw for _, screw in drawn.members])


def _by_rank(screws: Iterable[Screw], rank: Callable[[Screw], Rank | None]) -> Iterator[Screw]:
    """The screws by rank, the least first, until none has any; a rank may rise and go meanwhile, but never fall."""
    waiting = [(now, n, screw) for n, screw in enumerate(screws) if (now := rank(screw)) is not None]
    heapify(waiting)
    while waiting:
        then, n, screw = heappop(waiting)
        now = rank(screw)
        if now == then:
            yield screw
        elif now is not None:
            heappush(waiting, (now, n, screw))


def _places(screws: Sequence[Screw]) -> Floats:
    return np.array([screw.at for screw in screws], dtype=np.float64).reshape(-1, 2)


def _near(places: Floats, at: Way, reach: float) -> list[int]:
    """The numbers of the places (n, 2) within a square of `reach` mm about a point."""
    return np.flatnonzero(np.all(np.abs(places - at) <= reach, axis=1)).tolist()


def _away(mover: Screw, fault: Fault) -> Way:
    """Which way the mover is too near something: away from the edge, or from the other screw."""
    if isinstance(fault, NearEdge):
        return _from_edge(mover, fault.part)
    other = next((screw for screw in fault.screws if screw is not mover), mover)
    line = np.subtract(mover.at, other.at)
    if np.hypot(*line) > COINCIDENT:
        return float(line[0]), float(line[1])
    parts = [ply.part for ply in mover.plies]
    axis = shapely.Point(mover.at)
    nearest = min(parts, key=lambda part: float(part.shape.boundary.distance(axis)), default=None)
    return (1.0, 0.0) if nearest is None else _from_edge(mover, nearest)


def _from_edge(screw: Screw, part: Part) -> Way:
    """From the nearest edge of a part into it."""
    edge = foot(part.shape.boundary, screw.at)
    inward = np.subtract(screw.at, edge)
    if np.hypot(*inward) <= COINCIDENT:
        inward = np.subtract(part.shape.representative_point().coords[0], edge)
    return float(inward[0]), float(inward[1])


def _from_the_middle(count: int) -> Floats:
    """0, 1, -1, 2, -2 …: `count` steps round a ring, nearest the starting direction first."""
    steps = np.arange(1, count + 1) // 2
    return np.asarray(np.where(np.arange(count) % 2 == 1, steps, -steps), dtype=np.float64)

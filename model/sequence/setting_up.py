"""The order in which frames and battens go on the strongback, and from where each comes.

All frames stand, levelled and braced, before the first batten goes in; only where the plan wants a batten
before a frame does it go in earlier.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import at_least, joined, listed, place, ways

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.frame import Frame
from ..relations.fouls.foul import triple
from ..relations.fouls.passing import battens_passing
from ..relations.notches.notch import Crossing
from .disassembly import peeled
from .lowering import StandingFrames
from .springing import Bar, Lip, Opening, bar_of, bars_of, bounds_of, clear_of, leaves_by, lips, opening, shut_by
from .straight_out import straight_out
from .way import Trapped, Triple, Way, in_trade_order

__all__ = ["SettingUp", "Sprung", "Trapped", "setting_up"]

Floats = NDArray[np.float64]

_FRAMES, _BATTENS = range(2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sprung:
    """A batten and its way in, hull axes: sprung in sideways ("spring"), or threaded in endwise ("thread").

    Or laid into the notches that are open, beside its place, and slid endwise into those at one end ("slide").
    `notches` are the frames it passes that stand when it goes in, sorted forward, and its way into each:
    "thread" where it comes in endwise, "spring" where from the side. Where there is no notch for it
    (`notch-missing`) there is no way into one.
    """

    batten: Batten
    way: Way
    notches: tuple[tuple[Frame, Way], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingUp:
    """The order on the strongback. `order` has the names of frames and battens one after the other.

    The battens come after the frames there, unless the plan wants one earlier. `refused` are those of the
    wanted pairs that the geometry does not allow.
    """

    frames: tuple[tuple[Frame, Way], ...]
    battens: tuple[Sprung, ...]
    order: tuple[str, ...]
    trapped: tuple[Trapped, ...]
    refused: tuple[tuple[str, str], ...] = ()


@kept
def setting_up(assembly: Assembly, wanted: tuple[tuple[str, str], ...] = ()) -> SettingUp:
    """The order for a boat, and what of it cannot be brought to its place.

    `wanted` are pairs of frames and battens by name, the first to go on before the second. Frames come from
    aft forward, battens from low to high, port before starboard, as far as they do not bar one another.
    """
    return _Setting(assembly).order(wanted)


class _Setting:
    """Frames and battens by number: first the frames, then the battens in the order of the trade."""

    def __init__(self, assembly: Assembly) -> None:
        self._assembly = assembly
        self._frames = assembly.frames
        self._battens = in_trade_order(assembly.battens, lambda batten: float(batten.centres[:, 2].mean()))
        self._standing = StandingFrames(assembly)
        number = {frame: n for n, frame in enumerate(self._frames)}
        self._passed: dict[Batten, list[tuple[int, Crossing]]] = {batten: [] for batten in self._battens}
        for frame in self._frames:
            for crossing in battens_passing(frame, assembly) if frame.parts else ():
                self._passed[crossing.batten].append((number[frame], crossing))
        every = [crossing for passed in self._passed.values() for _, crossing in passed]
        self._easy = straight_out(every, assembly.strongback)
        self._openings: dict[tuple[Crossing, tuple[Batten, ...]], Opening | None] = {}
        self._sprung: dict[int, Sprung] = {}
        self._along_rails = False

    def order(self, wanted: tuple[tuple[str, str], ...]) -> SettingUp:
        names = [*(frame.name for frame in self._frames), *(batten.name for batten in self._battens)]
        place = {name: n for n, name in enumerate(names)}
        pairs = {(place[a], place[b]): (a, b) for a, b in wanted if a in place and b in place}
        wishes = {(i, j) for i, j in pairs if i != j}
        count = len(self._frames)
        early = {i for i, j in wishes if i >= count > j}
        stages = [
            (_FRAMES, _FRAMES) if n < count else (_BATTENS, _FRAMES if n in early else _BATTENS)
            for n in range(len(names))
        ]
        found = peeled(stages, self._leaves, wishes)
        if found.trapped or found.refused:  # what cannot be lowered, whatever the order, is slid along the rails
            self._along_rails = True
            found = peeled(stages, self._leaves, wishes)
        return SettingUp(
            frames=tuple((self._frames[n], way) for n, _, way in found.placed if n < count),
            battens=tuple(self._sprung[n] for n, _, _ in found.placed if n >= count),
            order=tuple(names[n] for n, _, _ in found.placed),
            trapped=tuple(self._trapped(n, rest) for n, rest in found.trapped),
            refused=tuple(pairs[pair] for pair in found.refused),
        )

    # ---- what can leave

    def _leaves(self, number: int, _: int, rest: Sequence[int]) -> Way | None:
        count = len(self._frames)
        frames = [n for n in rest if n < count]
        battens = [self._battens[n - count] for n in rest if n >= count]
        if number < count:
            return self._frame_leaves(number, frames, battens)
        sprung = self._batten_leaves(self._battens[number - count], frames, battens)
        if sprung is None:
            return None
        self._sprung[number] = sprung
        return sprung.way

    def _frame_leaves(self, number: int, frames: Sequence[int], battens: Sequence[Batten]) -> Way | None:
        way = self._standing.way(number, frames, along_rails=self._along_rails and not battens)
        if way is None:
            return None
        frame = self._frames[number]
        y, v, _ = (np.asarray(way.toward) @ frame.placement.matrix[:3, :3]).tolist()
        passing = [crossing for batten in battens for n, crossing in self._passed[batten] if n == number]
        ways = [(crossing, Opening((y, v), way.reach)) for crossing in passing]
        return way if all(leaves_by(crossing, bars_of(frame, crossing, None), off) for crossing, off in ways) else None

    def _batten_leaves(self, batten: Batten, frames: Sequence[int], others: Sequence[Batten]) -> Sprung | None:
        passed = [crossing for n, crossing in self._passed[batten] if n in frames and self._notched(crossing)]
        found = [(crossing, self._opening(crossing, others)) for crossing in passed]
        opened = [(crossing, out) for crossing, out in found if out is not None]
        if len(opened) == len(found):
            agreed = opened if _from_one_side(opened) else self._agreed(opened, others)
            if agreed is not None:
                notches = tuple(_sprung(crossing, out) for crossing, out in agreed)
                return Sprung(batten=batten, way=_together(batten, notches), notches=notches)
        open_to = dict(_sprung(crossing, out) for crossing, out in opened) if len(opened) < len(found) else {}
        closed = [crossing.frame for crossing, _ in found if crossing.frame not in open_to]
        end = self._open_end(batten, frames, closed)
        if end is None:
            return self._laid_and_slid(batten, frames, found, others)
        threaded = {frame: _threaded(batten, _middle(batten, frame), end) for frame in closed}
        return Sprung(
            batten=batten,
            way=_threaded(batten, float(batten.centres[-1 if end > 0 else 0, 0]), end),
            notches=tuple((crossing.frame, (open_to | threaded)[crossing.frame]) for crossing, _ in found),
        )

    def _laid_and_slid(
        self,
        batten: Batten,
        frames: Sequence[int],
        found: Sequence[tuple[Crossing, Opening | None]],
        others: Sequence[Batten],
    ) -> Sprung | None:
        """Laid into open notches so far beside its place that it clears the closed ones at one end, and slid there.

        What has to go so far past its other end is to meet no frame there.
        """
        passed = {crossing.frame for _, crossing in self._passed[batten]}
        numbers = {self._frames[n]: n for n in frames}
        closed = [numbers[crossing.frame] for crossing, out in found if out is None]
        beyond = [n for n in frames if self._frames[n] not in passed]
        # the thickness of the frames at its ends belongs to it
        ends = {-1: float(batten.centres[0, 0]), 1: float(batten.centres[-1, 0])}
        held = [numbers[crossing.frame] for crossing, _ in found]
        ends = {end: end * max(end * x, end * self._standing.far_side(held, end)) for end, x in ends.items() if held}
        tried: list[tuple[float, int, tuple[tuple[Frame, Way], ...]]] = []
        for end in (-1, 1) if closed else ():
            clear = self._standing.far_side(closed, -end)
            opened = [
                (crossing, out)
                for crossing, out in found
                if out is not None and (_middle(batten, crossing.frame) - clear) * end < 0.0
            ]
            agreed = opened if _from_one_side(opened) else self._agreed(opened, others)
            if not agreed:
                continue
            laid = dict(_sprung(crossing, out) for crossing, out in agreed)
            aslant = max(abs(way.toward[0]) * way.reach for way in laid.values())
            reach = batten.length_between(clear - end * aslant, ends[end])
            if self._standing.any_between(beyond, ends[-end] - end * reach, ends[-end]):
                continue
            slid = {crossing.frame: _threaded(batten, _middle(batten, crossing.frame), -end) for crossing, _ in found}
            tried.append((reach, end, tuple((slid | laid).items())))
        if not tried:
            return None
        reach, end, notches = min(tried, key=lambda each: each[:2])
        way = _threaded(batten, float(batten.centres[-1 if end > 0 else 0, 0]), -end)
        return Sprung(batten=batten, way=Way(how="slide", toward=way.toward, reach=reach), notches=notches)

    def _opening(self, crossing: Crossing, others: Sequence[Batten]) -> Opening | None:
        """How a batten leaves a frame past the frame's wood and these battens."""
        beside = [(other, there) for other in others if (there := self._at(other, crossing.frame)) is not None]
        easy = self._easy.get(crossing)
        if easy is not None and leaves_by(crossing, [bar_of(there) for _, there in beside], easy):
            return easy
        key = crossing, tuple(other for other, _ in beside)
        if key not in self._openings:
            self._openings[key] = opening(crossing, self._bars(crossing, others))
        return self._openings[key]

    def _bars(self, crossing: Crossing, others: Sequence[Batten]) -> list[Bar]:
        """The wood of a frame, the rails there, and these battens."""
        beside = [bar_of(there) for other in others if (there := self._at(other, crossing.frame)) is not None]
        return [*bars_of(crossing.frame, crossing, self._assembly.strongback), *beside]

    def _agreed(
        self, opened: Sequence[tuple[Crossing, Opening]], others: Sequence[Batten]
    ) -> list[tuple[Crossing, Opening]] | None:
        """Ways out of all these notches to one side, that of one of them, if each lets the batten out there as well."""
        for first, way_out in opened:
            lead = -_onto(first.frame, way_out.way)
            agreed = []
            for crossing, out in opened:
                if float(_onto(crossing.frame, out.way) @ lead) < 0.0:
                    agreed.append((crossing, out))
                    continue
                y, v, _ = lead @ crossing.frame.placement.matrix[:3, :3]
                way = np.array([y, v]) / np.hypot(y, v)
                bars = self._bars(crossing, others)
                turned = Opening((float(way[0]), float(way[1])), clear_of(crossing, way, bounds_of(bars)))
                if not leaves_by(crossing, bars, turned):
                    break
                agreed.append((crossing, turned))
            else:
                return agreed
        return None

    def _notched(self, crossing: Crossing) -> bool:
        return crossing in self._easy or not crossing.unnotched

    def _at(self, batten: Batten, frame: Frame) -> Crossing | None:
        return next((crossing for _, crossing in self._passed[batten] if crossing.frame is frame), None)

    def _open_end(self, batten: Batten, frames: Sequence[int], closed: Sequence[Frame]) -> int | None:
        """The end, forward (1) or aft (-1), to thread it in from: the nearer to all that is closed; None if shut."""
        standing = {self._frames[n] for n in frames}
        ends = [end for end in (-1, 1) if standing.isdisjoint(shut_by(batten, self._frames, end))]
        at = [_middle(batten, frame) for frame in closed]

        def furthest(end: int) -> float:
            return max((abs(x - float(batten.centres[-1 if end > 0 else 0, 0])) for x in at), default=0.0)

        return min(ends, key=lambda end: (round(furthest(end), 3), end), default=None)

    # ---- what cannot

    def _trapped(self, number: int, rest: Sequence[int]) -> Trapped:
        count = len(self._frames)
        if number < count:
            return self._frame_trapped(number, [n for n in rest if n < count])
        others = [self._battens[n - count] for n in rest if n >= count]
        return self._batten_trapped(self._battens[number - count], [n for n in rest if n < count], others)

    def _frame_trapped(self, number: int, rest: Sequence[int]) -> Trapped:
        frame = self._frames[number]
        hooked = self._standing.under_rails(number)
        barred = [(self._frames[n], bar) for n in rest if (bar := self._standing.bar(number, n)) is not None]
        parts = [part for part, _, _ in hooked] or [bar[0] for _, bar in barred] or list(frame.parts[:1])
        y, v = parts[0].shape.centroid.x, parts[0].shape.centroid.y
        off = [
            Sentence.of("{width} off {part} under the {rail}", width=at_least(width), part=part, rail=Name(rail))
            for part, rail, width in hooked
        ]
        return Trapped(
            thing=frame.name,
            parts=(frame.name,),
            by=tuple(sorted({*(rail for _, rail, _ in hooked), *(other.name for other, _ in barred)})),
            at=frame.placement.point(y, v, (parts[0].low + parts[0].high) / 2),
            frame=frame.number,
            cure=Sentence.of("take {off}", off=listed(off)) if off else "",
            toward=self._standing.down,
        )

    def _batten_trapped(self, batten: Batten, frames: Sequence[int], others: Sequence[Batten]) -> Trapped:
        standing = [self._frames[n] for n in frames]
        barred: list[tuple[Frame, Name, Lip]] = []
        toward: Triple | None = None
        for frame in standing:
            crossing = self._at(batten, frame)
            if crossing is None or not self._notched(crossing) or self._opening(crossing, others) is not None:
                continue
            way, held = lips(crossing, self._bars(crossing, others))
            off = frame.placement.vector_to_hull([(*way, 0.0)])[0]
            out = ways(off)
            if held and not barred:
                toward = triple(-off)
            barred += [(frame, out, lip) for lip in held]
        shut = [[f.name for f in shut_by(batten, self._frames, end) if f in standing] for end in (-1, 1)]
        where = barred[0][0] if barred else None
        at = triple(batten.centres[0])
        if where is not None:
            at = where.placement.point(*barred[0][2].at, (where.core_low + where.core_high) / 2)
        return Trapped(
            thing=batten.name,
            parts=(batten.name,),
            by=tuple(sorted({*(lip.name for *_, lip in barred), *(names[0] for names in shut if names)})),
            at=at,
            frame="" if where is None else where.number,
            cure=joined([*_opened(barred), *_earlier(min(shut, key=len))], ", "),
            toward=toward,
        )


def _opened(barred: Sequence[tuple[Frame, Name, Lip]]) -> Iterator[Sentence]:
    """What to do about the wood that bars a batten's way out: open what is shut, the like together, take lips off."""
    alike: dict[tuple[Name, Quantity], list[str]] = {}
    for _, out, lip in barred:
        if lip.whole:
            alike.setdefault((out, at_least(lip.width)), []).append(lip.name)
    for (out, width), names in alike.items():
        yield Sentence.of(
            "open the notch in {parts} {out}, {width} wide", parts=listed(set(names)), out=out, width=width
        )
    for _, _, lip in barred:
        if not lip.whole:
            yield Sentence.of(
                "take {width} off {part} at {place}", width=at_least(lip.width), part=lip, place=place(*lip.at)
            )


def _earlier(frames: Sequence[str]) -> Iterator[Sentence]:
    """The other way about it: to put a batten in before the frames that shut one of its ends."""
    if frames:
        stand = "stands" if len(frames) == 1 else "stand"
        yield Sentence.of(
            "or have it go in before {frames} {stand} ([[order]] in the plan)", frames=listed(frames), stand=stand
        )


def _onto(frame: Frame, out: tuple[float, float]) -> Floats:
    """The way in, hull axes, of what leaves a frame by the way `out` (y, v)."""
    return np.asarray(-frame.placement.vector_to_hull([(*out, 0.0)])[0])


def _sprung(crossing: Crossing, out: Opening) -> tuple[Frame, Way]:
    """A frame, and the way into its notch of what leaves it so."""
    onto = _onto(crossing.frame, out.way)
    return crossing.frame, Way(how="spring", toward=triple(onto), reach=out.reach)


def _from_one_side(opened: Sequence[tuple[Crossing, Opening]]) -> bool:
    """Whether the ways into the notches turn less than a quarter turn from each frame to the next."""
    toward = np.array([_onto(crossing.frame, out.way) for crossing, out in opened]).reshape(-1, 3)
    return bool(np.all(np.sum(toward[1:] * toward[:-1], axis=1) > 0.0))


def _together(batten: Batten, notches: Sequence[tuple[Frame, Way]]) -> Way:
    """The mean of the ways into the notches; where it passes none, in from its own side of the boat."""
    plain = {"port": (0.0, -1.0, 0.0), "starboard": (0.0, 1.0, 0.0), "centre": (0.0, 0.0, 1.0)}[batten.side]
    mean = np.sum([way.toward for _, way in notches] or [plain], axis=0)
    reach = max((way.reach for _, way in notches), default=0.0)
    return Way(how="spring", toward=triple(mean / np.linalg.norm(mean)), reach=reach)


def _middle(batten: Batten, frame: Frame) -> float:
    return batten.meets(frame.placement, (frame.core_low + frame.core_high) / 2)


def _threaded(batten: Batten, x: float, end: int) -> Way:
    """The way in at x of a batten that comes endwise from forward (1) or aft (-1)."""
    length = float(np.sum(np.linalg.norm(np.diff(batten.centres, axis=0), axis=1)))
    return Way(how="thread", toward=triple(-end * batten.tangent(np.array([x]))[0]), reach=length)

"""Dowels for frames whose drawings show none: few, in places that hold every core part of the frame."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.budget import Budget, TooCrowded
from scrieve.shared.findings import Level, Source
from scrieve.shared.limits import Limits
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT, ONE_HOLE, STOPPED

from ...boat.defect import Defect
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Dowel
from ...relations.dowels.contact import Pushes, joint_pushes, standing_pushes
from ...relations.dowels.holding import (
    Joined,
    can_move_in_group,
    firmly,
    from_standing,
    gathered,
    held_in_turn,
    measures,
)
from ...relations.dowels.immobility import FEW, could_hold, firmness, wrenches
from ...relations.dowels.still_free import wants_dowels
from .dowel_places import DowelPlace, Places, dowel_places

Floats = NDArray[np.float64]
Point = tuple[float, float]
Worth = tuple[float, ...]

FIRM = 0.08
"""share; dowels that stop every motion of a part by this much (5 degrees) hold it well. Common practice, no source."""

_MOST_STEPS = 500_000_000  # numbers looked at for one frame; a frame of the skiff takes a hundredth
_PER_PAIR = 50  # steps that two places held against one another cost
_PER_TRIAL = 30_000  # steps that every set of contacts tried costs besides

_AT_ONCE = 4  # places, or pairs of them, that are tried together
_ROUNDS = 4  # in which frames that found no room may choose first
_KEPT = 12  # of the best that do not hold a part, that go on to be tried with one more


class Doweled(NamedTuple):
    """Frames with their dowels; those that no dowels would hold, and those too crowded to tell, have none."""

    frames: list[Frame]
    without: tuple[Frame, ...]
    crowded: tuple[Frame, ...]


def with_dowels(frames: Sequence[Frame], diameter: float, limits: Limits) -> Doweled:
    """The frames, those of several core parts that have no dowels with proposed ones; and those that get none.

    The frames share one board: no hole comes closer to one of another frame than the limit of `board`
    lets it, unless it is the same. Frames choose from aft forward; one for which the others leave no
    places chooses before them. A frame whose parts no dowels would hold stays without.
    """
    drawn = [dowel for frame in frames for dowel in frame.dowels]
    order = [frame for frame in frames if not frame.dowels and wants_dowels(frame)]
    best: dict[Frame, tuple[Dowel, ...]] = {}
    crowded: dict[Frame, None] = {}
    for more in range(min(_ROUNDS, len(order)), 0, -1):
        found: dict[Frame, tuple[Dowel, ...]] = {}
        for frame in order:
            taken = [dowel for dowels in found.values() for dowel in dowels]
            try:
                places = proposed(frame, diameter, limits, [*drawn, *taken])
            except TooCrowded:
                crowded[frame] = None
                continue
            if places is not None:
                found[frame] = _dowels(frame, places, diameter)
        if len(found) > len(best):
            best = found
        order = [frame for frame in order if frame not in crowded]
        failed = [frame for frame in order if frame not in found]
        if not 0 < len(failed) < more:  # another round may help one more frame
            break
        order = [failed[0], *(frame for frame in order if frame is not failed[0])]
    out = [replace(frame, dowels=best[frame]) if frame in best else frame for frame in frames]
    without = tuple(frame for frame in sorted(order, key=frames.index) if frame not in best)
    return Doweled(out, without, tuple(sorted(crowded, key=frames.index)))


def _dowels(frame: Frame, places: Sequence[DowelPlace], diameter: float) -> tuple[Dowel, ...]:
    return tuple(
        Dowel(
            name=f"{frame.name} dowel {number}",
            frame=frame.number,
            at=place.at,
            diameter=diameter,
            proposed=True,
            source=frame.source,
        )
        for number, place in enumerate(places, start=1)
    )


def dowel_notes(doweled: Doweled, source: Source) -> tuple[Defect, ...]:
    """What the report says of proposed dowels, and of frames that no places were found or looked for."""
    frames, without, crowded = doweled
    notes = []
    given = [frame for frame in frames if any(dowel.proposed for dowel in frame.dowels)]
    if given:
        count, diameter = sum(len(frame.dowels) for frame in given), given[0].dowels[0].diameter
        notes.append(
            Sentence.of(
                "no dowels are drawn in {frames}: {count} of {size} are proposed where they hold the parts",
                frames=_names(given),
                count=Quantity.of(count, str(count)),
                size=Quantity.of(diameter, f"{diameter:g} mm"),
            )
        )
    if without:
        notes.append(
            Sentence.of(
                "no dowels are drawn in {frames}, and no places were found for any that hold all its parts",
                frames=_names(without),
            )
        )
    if crowded:
        notes.append(
            Sentence.of(
                "no dowels are drawn in {frames}, and none are proposed: too crowded with parts or edges",
                frames=_names(crowded),
            )
        )
    return tuple(Defect(message=message, level=Level.NOTE, source=source) for message in notes)


def _names(frames: Sequence[Frame]) -> Name:
    return Name(", ".join(frame.name for frame in frames))


def proposed(
    frame: Frame, diameter: float, limits: Limits, holes: Sequence[Dowel] = ()
) -> tuple[DowelPlace, ...] | None:
    """Places (y, v) for dowels that hold every core part of a frame, from port to starboard and down, mm.

    None where none do; raises TooCrowded where that is too much to find out. Those that stand already
    (`frame.dowels`) are kept and not repeated. No place comes too near `holes`, the dowels of other frames,
    or another place.
    """
    budget = Budget(_MOST_STEPS)
    for everywhere in (False, True):  # many places only where few will not do: they take time
        choice = _Choice(frame, diameter, limits, holes, everywhere, budget)
        if not choice.possible():
            continue
        choice.take_corners()
        if choice.complete():
            choice.firm_up()
            choice.thin_out()
            places = [place for move in choice.chosen for place in move]
            return tuple(sorted(places, key=lambda place: (-round(place.at[0], 3), -round(place.at[1], 3))))
    return None


def trial_cost(count: int) -> int:
    """Steps that it takes to tell how firmly so many contacts hold: every three of a few span a motion to try."""
    return _PER_TRIAL + min(count, FEW) ** 4 // 3 + 100 * count


def places_cost(frame: Frame, everywhere: bool) -> int:
    """Steps, at most about, that it takes to find the places for dowels at a frame: each is held against every edge."""
    corners = sum(int(shapely.get_num_coordinates(part.shape)) for part in frame.core)
    return corners * corners * (15 if everywhere else 3)


class _Choice:
    """The moves chosen so far, and how they hold the parts."""

    def __init__(
        self, frame: Frame, diameter: float, limits: Limits, holes: Sequence[Dowel], everywhere: bool, budget: Budget
    ) -> None:
        self.budget = budget
        budget.spend(places_cost(frame, everywhere))
        self.parts = frame.core
        self.joined: Joined = joint_pushes(frame)
        self.given: Mapping[Part, Pushes] = standing_pushes(frame, limits["dowel_gap"])
        self.radius = diameter / 2
        self.web = limits["board_web"] * diameter + COINCIDENT
        taken = np.array([
            *((*dowel.at, dowel.diameter / 2, 1.0) for dowel in holes),
            *((*dowel.at, dowel.diameter / 2, 0.0) for dowel in frame.dowels),
        ]).reshape(-1, 4)  # fmt: skip
        found = dowel_places(frame, self.radius, limits["dowel_gap"], everywhere)
        clear = [tuple(place for place in places if self._clear_of(place, taken)) for places in found]
        self.places: list[Places] = [places for places in clear if places]
        self.chosen: list[Places] = []

    def possible(self) -> bool:
        """Whether every part would be held with a dowel at every place and all its neighbours held: else none will."""
        everywhere = self._pushes(self.places)
        given = from_standing(self.parts, self.given, self.joined, self.parts)
        whole = from_standing(self.parts, everywhere, self.joined, self.parts)
        measured = {part: measures(part) for part in self.parts}
        return all(
            could_hold(wrenches(given[part], *measured[part]), wrenches(whole[part], *measured[part]))
            for part in self.parts
        )

    def take_corners(self) -> None:
        """Takes all inside corners that no gusset covers, the better first, as many as leave room between them."""
        for move in self.places:
            if move[0].rank == 0 and self._fits(move):
                self.chosen.append(move)

    def complete(self) -> bool:
        """Adds places until every part is held; whether it came to that."""
        while True:
            pushes = self._pushes(self.chosen)
            self.budget.spend(sum(trial_cost(len(rows)) for rows in pushes.values()))
            held = held_in_turn(self.parts, pushes, self.joined)
            loose = [part for part in self.parts if part not in held]
            if not loose:
                return True
            found = [best for part in loose for best in self._best(part, held)]
            if not found:
                return self._together(loose)
            self.chosen += max(found, key=lambda one: one[0])[1]

    def _together(self, loose: Sequence[Part]) -> bool:
        """Adds places by which the loose parts come to hold one another; whether they do."""
        for part in loose:
            if self._firm_among_all(part, self._pushes(self.chosen)) <= STOPPED:
                for _, added in self._best(part, self.parts):
                    self.chosen += added
        return self._least_firm(self.chosen, in_turn=False) > STOPPED

    def firm_up(self) -> None:
        """Adds places for parts that are held but not well, as far as any do better."""
        for part in sorted(self.parts, key=lambda part: part.name):
            order = list(held_in_turn(self.parts, self._pushes(self.chosen), self.joined).items())
            firm, place = next(((firm, n) for n, (one, firm) in enumerate(order) if one is part), (FIRM + 1, 0))
            if firm <= FIRM:
                before = {one for one, _ in order[:place]}
                for worth, added in self._best(part, before):
                    if worth[1]:
                        self.chosen += added

    def _best(self, part: Part, held: Container[Part]) -> list[tuple[Worth, list[Places]]]:
        """What to add best to hold a part, with its worth: as few places as will do; nothing where four will not.

        What is added has to stop the motion that is left freest, and so has to be one of those that do.
        """
        self.budget.spend(len(self.places) * (len(self.chosen) + 1) * _PER_PAIR)
        measured = measures(part)
        standing = from_standing([part], self._pushes(self.chosen), self.joined, held)[part]
        free = [
            (move, wrenches(gathered([place.pushes[part] for place in move if part in place.pushes]), *measured))
            for move in self.places
            if any(part in place.pushes for place in move) and self._fits(move)
        ]
        table = wrenches(standing, *measured)
        if not could_hold(table, np.concatenate([table, *(more for _, more in free)])):
            return []
        sets: list[tuple[Worth, list[Places], Floats]] = [((), [], table)]
        for _ in range(_AT_ONCE):
            grown: dict[frozenset[int], tuple[Worth, list[Places], Floats]] = {}
            for _, added, table in sets:
                _, motion = firmness(table)
                stops = sorted((float(np.min(more @ motion)), n) for n, (_, more) in enumerate(free))
                stops = [one for one in stops if one[0] < -STOPPED][: _KEPT if added else len(stops)]
                for move, more in (free[n] for _, n in stops):
                    key = frozenset(map(id, (*added, move)))
                    if key not in grown and all(self._apart(move, other) for other in added):
                        whole = np.concatenate([table, more])
                        self.budget.spend(trial_cost(len(whole)))
                        grown[key] = self._worth([*added, move], whole), [*added, move], whole
            tried = sorted(grown.values(), key=lambda one: one[0], reverse=True)
            if not tried or tried[0][0][0]:
                return [(worth, added) for worth, added, _ in tried[:1]]
            sets = tried[:_KEPT]
        return []

    def _worth(self, added: list[Places], table: Floats) -> Worth:
        """Better is greater: holds, holds well, with fewer dowels, in better places, more firmly."""
        firm = round(firmness(table)[0], 6)
        if firm <= STOPPED:
            return (0.0, firm)
        count = sum(len(move) for move in added)
        rank = max(move[0].rank for move in added)
        return 1.0, float(firm > FIRM), -count, -rank, firm

    def thin_out(self) -> None:
        """Leaves out, one after the other, what is not wanted to hold every part well or as well as it was.

        Parts that can be laid one after the other, each held at once, stay so.
        """
        in_turn = self._least_firm(self.chosen, in_turn=True) > STOPPED
        enough = min(FIRM, self._least_firm(self.chosen, in_turn=in_turn))
        while True:
            tried = []
            for index, move in enumerate(self.chosen):
                rest = self.chosen[:index] + self.chosen[index + 1 :]
                left = self._least_firm(rest, in_turn=in_turn)
                if left >= enough - COINCIDENT:
                    tried.append(((move[0].rank, len(move), round(left, 6), -index), rest))
            if not tried:
                return
            self.chosen = max(tried, key=lambda one: one[0])[1]

    def _least_firm(self, chosen: Sequence[Places], *, in_turn: bool) -> float:
        """How firmly the part that is held least is held, `in_turn` or with the others; 0 where one is not."""
        pushes = self._pushes(chosen)
        self.budget.spend(sum(trial_cost(len(rows)) for rows in pushes.values()))
        held = held_in_turn(self.parts, pushes, self.joined)
        loose = [part for part in self.parts if part not in held]
        if loose and in_turn:
            return 0.0
        standing = from_standing(loose, pushes, self.joined, held)
        if loose and can_move_in_group(loose, standing, self.joined, self.budget):
            return 0.0
        return min([*held.values(), *(self._firm_among_all(part, pushes) for part in loose)])

    def _firm_among_all(self, part: Part, pushes: Mapping[Part, Pushes]) -> float:
        """How firmly a part is held if all the others are."""
        return firmly(part, from_standing([part], pushes, self.joined, self.parts)[part])

    def _pushes(self, chosen: Sequence[Places]) -> dict[Part, Pushes]:
        by_part: dict[Part, list[Pushes]] = {part: [rows] for part, rows in self.given.items()}
        for move in chosen:
            for place in move:
                for part, rows in place.pushes.items():
                    by_part.setdefault(part, []).append(rows)
        return {part: gathered(rows) for part, rows in by_part.items()}

    def _fits(self, move: Places) -> bool:
        return all(self._apart(move, other) for other in self.chosen) and self._apart(move, ())

    def _apart(self, move: Places, other: Sequence[DowelPlace]) -> bool:
        """Whether wood enough is left between the holes of two moves, and between those of the first."""
        places = [*move, *other]
        return all(
            float(np.hypot(a.at[0] - b.at[0], a.at[1] - b.at[1])) >= 2 * self.radius + self.web
            for i, a in enumerate(places)
            for b in places[:i]
        )

    def _clear_of(self, place: DowelPlace, holes: Floats) -> bool:
        """Whether wood enough is left to holes (n, 4), each y, v, radius and whether it may be shared, or it is one."""
        off = np.hypot(holes[:, 0] - place.at[0], holes[:, 1] - place.at[1])
        shared = (holes[:, 3] > 0) & (off <= ONE_HOLE) & (np.abs(holes[:, 2] - self.radius) <= COINCIDENT / 2)
        return bool(np.all((off >= self.radius + holes[:, 2] + self.web) | shared))

"""Which core parts of a frame its dowels hold on the assembly board, and how the others can still move."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.budget import Budget
from scrieve.shared.tolerances import STOPPED

from ...boat.part import Part
from .contact import NO_PUSH, Pushes
from .immobility import LEAST, all_the_way, any_free, firmness, free_together, slide, wrenches

Floats = NDArray[np.float64]
Joined = Sequence[tuple[Part, Part, Pushes]]
"""At the joints: part, neighbour, and what the neighbour does to the part."""

_FAR = 10.0  # times a part's reach; a turn about a point further off is told as a slide
_ARROW = 45.0, 150.0  # mm; an arrow is a third as long as what moves, within these
_TURN = np.radians(50.0)  # the most that a bent arrow turns


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Motion:
    """How a part can still move: it slides the unit way `slide` (2,), and back as well if `either`.

    If it turns, it does so about `centre` (2,), mm, and `slide` is how its corner furthest from there,
    at `corner` (2,), goes. A `slide` of nought: nothing is in its way at all.
    """

    slide: Floats
    either: bool = False
    centre: Floats | None = None
    corner: Floats | None = None

    def paths(self, part: Part) -> Iterator[Floats]:
        """(n, 2) each: the lines along which arrows tell how the part can move, (y, v), mm."""
        left, low, right, high = part.shape.bounds
        long = float(np.clip(max(right - left, high - low) / 3, *_ARROW))
        start = shapely.get_coordinates(part.shape.representative_point())[0]
        if not self.slide.any():
            for way in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
                yield np.array([start, start + np.array(way) * long])
        elif self.centre is None or self.corner is None:
            for sign in (1.0, -1.0) if self.either else (1.0,):
                yield np.array([start, start + sign * self.slide * long])
        else:
            arm = self.corner - self.centre
            radius = float(np.hypot(*arm))
            turns = np.sign(arm[0] * self.slide[1] - arm[1] * self.slide[0])
            angles = np.arctan2(arm[1], arm[0]) + turns * np.linspace(0.0, min(_TURN, long / radius), 16)
            yield self.centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def measures(part: Part) -> tuple[Floats, float]:
    """The point (2,) that a part's motions are counted about, and how far it reaches from there, mm."""
    corners = shapely.get_coordinates(part.shape.exterior)
    about = shapely.get_coordinates(part.shape.centroid)[0]
    return about, float(np.sqrt(np.max(np.sum((corners - about) ** 2, axis=1))))


def gathered(rows: Sequence[Pushes]) -> Pushes:
    """All pushes in one table."""
    return np.concatenate(rows) if rows else NO_PUSH


def firmly(part: Part, pushes: Pushes) -> float:
    """How firmly the pushes hold a part: see `firmness`; 0 for fewer than four."""
    return firmness(wrenches(pushes, *measures(part)))[0] if len(pushes) >= LEAST else 0.0


def held_in_turn(
    parts: Sequence[Part], pushes: Mapping[Part, Pushes], joined: Joined, given: Iterable[Part] = ()
) -> dict[Part, float]:
    """The parts that are held one after the other, in the order in which they can be laid, and how firmly.

    First those that what pushes them holds alone, then those that it and the joints with parts that are held
    do, and so on. A part that is not held does not hold another. Those `given` count as held from the start.
    """
    held: dict[Part, float] = dict.fromkeys(given, inf)
    beside = _Beside(joined)
    # what most pushes hold is most often what the others lean on
    waiting = sorted((part for part in parts if part not in held), key=lambda part: -len(pushes.get(part, NO_PUSH)))
    while True:
        still = []
        for part in waiting:
            firm = firmly(part, gathered([pushes.get(part, NO_PUSH), *beside.pushes(part, held)]))
            if firm > STOPPED:
                held[part] = firm
            else:
                still.append(part)
        if len(still) in (0, len(waiting)):
            return held
        waiting = still


class _Beside:
    """What neighbours push each part with."""

    def __init__(self, joined: Joined) -> None:
        self._of: dict[Part, list[tuple[Part, Pushes]]] = defaultdict(list)
        for part, neighbour, pushes in joined:
            self._of[part].append((neighbour, pushes))

    def pushes(self, part: Part, held: Container[Part]) -> Iterator[Pushes]:
        """Those of neighbours that are held."""
        return (pushes for neighbour, pushes in self._of.get(part, ()) if neighbour in held)


def free_motion(part: Part, pushes: Pushes) -> Motion | None:
    """The motion that the pushes leave a part, a slide where there is one; None where they hold it."""
    if not len(pushes):
        return Motion(slide=np.zeros(2))
    about, size = measures(part)
    firm, motion = firmness(wrenches(pushes, about, size))
    if firm > STOPPED:
        return None
    way = slide(pushes)
    if way is None:
        return motion_of(part, motion)
    return _slide_of(way, pushes)


def _slide_of(way: Floats, pushes: Pushes) -> Motion:
    either = not len(pushes) or bool(np.min(-pushes[:, 2:] @ way) >= -STOPPED)
    if either and (round(float(way[0]), 6), round(float(way[1]), 6)) < (0.0, 0.0):
        way = -way
    return Motion(slide=way, either=either)


def motion_of(part: Part, motion: Floats) -> Motion:
    """A motion (3,) as it is told."""
    about, size = measures(part)
    turn, way = motion[0] / size, motion[1:]
    if abs(motion[0]) * _FAR <= float(np.hypot(*way)):
        return Motion(slide=way / np.hypot(*way))
    centre = about + np.array([-way[1], way[0]]) / turn
    corners = shapely.get_coordinates(part.shape.exterior)
    reach = np.sum((corners - centre) ** 2, axis=1)
    corner = corners[int(np.argmax(np.round(reach, 6)))]
    arm = corner - centre
    going = np.sign(turn) * np.array([-arm[1], arm[0]])
    return Motion(slide=going / np.hypot(*going), centre=centre, corner=corner)


def from_standing(
    parts: Sequence[Part], pushes: Mapping[Part, Pushes], joined: Joined, held: Container[Part]
) -> dict[Part, Pushes]:
    """For each of `parts` what pushes it and stands still: `pushes`, and those of neighbours that are held."""
    beside = _Beside(joined)
    return {part: gathered([pushes.get(part, NO_PUSH), *beside.pushes(part, held)]) for part in parts}


def free_in_group(
    parts: Sequence[Part], pushes: Mapping[Part, Pushes], joined: Joined, budget: Budget
) -> dict[Part, Motion]:
    """Those of `parts` that can move although they hold one another, each with a motion: a slide of all, if any.

    `pushes` are those of what stands still: see `from_standing`. Raises TooCrowded once `budget` is spent.
    """
    all_of_them = gathered([pushes.get(part, NO_PUSH) for part in parts])
    way = _slide_of_all(all_of_them)
    if way is not None:
        return dict.fromkeys(parts, _slide_of(way, all_of_them))
    motions = free_together(_contacts(parts, pushes, joined), budget)
    reached = np.reshape(list(all_the_way(motions)), (-1, 3))
    furthest = 3 * np.arange(len(parts)) + np.argmax(np.abs(np.diagonal(motions)).reshape(-1, 3), axis=1)
    return {
        part: motion_of(part, motions[furthest[i], 3 * i : 3 * i + 3])
        for i, part in enumerate(parts)
        if reached[i].any()
    }


def can_move_in_group(parts: Sequence[Part], pushes: Mapping[Part, Pushes], joined: Joined, budget: Budget) -> bool:
    """Whether any of `parts` can move: see `free_in_group`, but for the motions."""
    if _slide_of_all(gathered([pushes.get(part, NO_PUSH) for part in parts])) is not None:
        return True
    return any_free(_contacts(parts, pushes, joined), budget)


def _slide_of_all(pushes: Pushes) -> Floats | None:
    return slide(pushes) if len(pushes) else np.array([1.0, 0.0])


def _contacts(parts: Sequence[Part], pushes: Mapping[Part, Pushes], joined: Joined) -> Floats:
    """The rows of `free_together`: what pushes each part, and where two of them meet."""
    number = {part: i for i, part in enumerate(parts)}
    by_part = [measures(part) for part in parts]
    rows = [_spread(wrenches(pushes.get(part, NO_PUSH), *by_part[i]), i, len(parts)) for part, i in number.items()]
    for part, neighbour, onto in joined:
        if part in number and neighbour in number and part.name < neighbour.name:
            i, j = number[part], number[neighbour]
            own = _spread(wrenches(onto, *by_part[i]), i, len(parts))
            rows.append(own - _spread(wrenches(onto, *by_part[j]), j, len(parts)))
    return np.concatenate(rows)


def _spread(own: Floats, index: int, count: int) -> Floats:
    """The wrenches of one part as rows over the unknowns of all."""
    rows = np.zeros((len(own), 3 * count))
    rows[:, 3 * index : 3 * index + 3] = own
    return rows

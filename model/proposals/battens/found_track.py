"""A batten followed from frame to frame: the easiest run through notches that could be its own."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import atan2, hypot, inf, pi
from typing import TypeAlias

from ...boat.batten import Section
from ...boat.frame import Frame
from .found_notch import Slot
from .seat import Seat

SKIPPED = 60.0
"""cost of a frame that has notches for the batten of which it takes none. A hull's sharpest honest turn costs 20."""

_HOPELESS = 5 * SKIPPED  # what a track is dearer by than the cheapest so far that is followed no further

_TURN, _SLOPE, _TWIST = 100.0, 10.0, 20.0  # cost of turning, or setting out, or twisting by 1 rad
_LABELLED = 1000.0  # what is said to be its notch, is
_OPEN = 0.1  # of a mm too much on a side without a wall counts
_APART = 1.0  # mm along the boat; closer places are one

FEWEST = 2
"""frames that a batten must be found or drawn in to be followed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrackPlace:
    """A place in one frame where a batten might pass: its `section` as drawn, or as it lies in the `seat` of a notch.

    `point` (x, y, z) is the section's middle in hull axes, mm, `cost` how badly the batten fits the
    notch, mm, both as if it passed the frame square. `labelled`: it is said to be this batten's.
    """

    frame: Frame
    seat: Seat | None
    section: Section
    labelled: bool
    point: tuple[float, float, float]
    cost: float

    @classmethod
    def drawn(cls, frame: Frame, section: Section) -> TrackPlace:
        """The place of a drawn section."""
        return cls(
            frame=frame,
            seat=None,
            section=section,
            labelled=True,
            point=frame.placement.point(*section.centre),
            cost=-_LABELLED,
        )

    @classmethod
    def found(cls, name: str, seat: Seat, *, labelled: bool) -> TrackPlace:
        """The place of the batten of this name in a notch, `labelled` if a text says that it is."""
        section = seat.section(name, seat.middle)
        shut = [1.0 if seat.slot.shut(axis) else _OPEN for axis in (0, 1)]
        off = [abs(float(seat.slot.size[axis]) - side) for axis, side in enumerate(seat.sides)]
        return cls(
            frame=seat.slot.frame,
            seat=seat,
            section=section,
            labelled=labelled,
            point=seat.slot.frame.placement.point(*section.centre),
            cost=off[0] * shut[0] + off[1] * shut[1] - (_LABELLED if labelled else 0.0),
        )

    @property
    def slot(self) -> Slot | None:
        """Its notch; None for a drawn section."""
        return None if self.seat is None else self.seat.slot


Track: TypeAlias = tuple[TrackPlace, ...]


def easiest(places: Sequence[Sequence[TrackPlace]], taken: Collection[Slot | None] = ()) -> tuple[float, Track] | None:
    """The cheapest track through at most one place of each frame, frames sorted forward, and its cost; None for none.

    Places in notches that are `taken`, by `TrackPlace.slot`, are left out.
    """
    states: dict[tuple[int, int], tuple[float, Track]] = {(-1, -1): (0.0, ())}
    number = 0
    for each in places:
        free = [place for place in each if place.slot is None or place.slot not in taken]
        if not free:
            continue
        after = {key: (cost + SKIPPED, track) for key, (cost, track) in states.items()}
        for place in free:
            for (_, last), (cost, track) in states.items():
                total = cost + place.cost + _step(track, place)
                key = (last, number)
                if total < inf and (key not in after or total < after[key][0]):
                    after[key] = (total, (*track, place))
            number += 1
        dearest = min(cost for cost, _ in after.values()) + _HOPELESS
        states = {key: state for key, state in after.items() if state[0] <= dearest}
    whole = [(cost, track) for cost, track in states.values() if len(track) >= FEWEST]
    return min(whole, key=lambda state: state[0]) if whole else None


def _step(track: Track, place: TrackPlace) -> float:
    """What it costs to run on to a place: the turn, or at the start the slope, and the twist."""
    if not track:
        return 0.0
    last = track[-1]
    run = place.point[0] - last.point[0]
    if run < _APART:
        return inf
    y, z = (place.point[1] - last.point[1]) / run, (place.point[2] - last.point[2]) / run
    twist = _TWIST * abs((place.section.angle - last.section.angle + pi / 2) % pi - pi / 2)
    if len(track) == 1:
        return _SLOPE * hypot(y, z) + twist
    before = track[-2]
    run = last.point[0] - before.point[0]
    turn = hypot(y - (last.point[1] - before.point[1]) / run, z - (last.point[2] - before.point[2]) / run)
    return _TURN * turn + twist


def round_from_keel(place: TrackPlace, *, upright: bool) -> float:
    """Radians round the middle of the frame's core, from straight down (up if not built `upright`) outboard."""
    bounds = [part.shape.bounds for part in place.frame.core]
    middle = (min(b[1] for b in bounds) + max(b[3] for b in bounds)) / 2
    y, v = place.section.centre
    return atan2((v - middle) * (1.0 if upright else -1.0), abs(y))

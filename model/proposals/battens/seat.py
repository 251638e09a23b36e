"""A batten's section laid into a notch: where it must lie for what the batten takes up to meet the walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from ...boat.batten import Batten, Section
from .found_notch import Slot

Values = NDArray[np.float64]

_ROUNDS = 6  # each place hardly depends on the others
_STILL = 1e-3  # mm; what a round moves by less, the next would move by a hundredth of it

_PLAY = 2.0
"""mm by which a notch may be too tight or too wide and still be taken for a batten's: as much and more than
notch_foul and notch_slack let pass, so that a notch that is badly cut is found and reported."""

_FILLED = 0.3
"""Of a batten's section; where more of it is wood, the notch is a mortise or a step that a neighbour fills. A notch
drawn 4 mm too narrow for the least usual batten fills less."""

_LEAST_DEEP, _MOST_DEEP = 0.4, 1.6
"""times the side that lies that way; an open notch is meant to hold about the whole batten."""

_LEAN = 0.7
"""Of the ply's thickness, and a third of its own side, by which a batten may take up more: at 35 degrees askew."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seat:
    """A notch with a batten's section in it: `along` says which axis of the notch the long side lies along."""

    slot: Slot
    along: int
    sides: tuple[float, float]

    @property
    def angle(self) -> float:
        """Of the long side, radians from port towards up."""
        return self.slot.angle + self.along * np.pi / 2

    @property
    def middle(self) -> Values:
        """(2,) (y, v) mm: where the section lies if the batten passes square to the frame."""
        half = np.array(self.sides) / 2
        return place_in(self.slot, np.column_stack([-half, half]))

    @property
    def filled(self) -> float:
        """How much of the section there is wood in the plane of the core, 0 to 1: that of a neighbour, in a joint."""
        half = np.array(self.sides) / 2
        corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
        section = shapely.Polygon(corners @ self.slot.axes + self.middle)
        shapes = [part.shape for part in self.slot.frame.parts if part.face == "core"]
        near = [shape for shape in shapes if shapely.intersects(shape, section)]
        return float(shapely.intersection(shapely.union_all(near), section).area / section.area)

    def section(self, name: str, centre: Values) -> Section:
        """The section with its middle there."""
        return Section(
            batten=name,
            frame=self.slot.frame.number,
            centre=(float(centre[0]), float(centre[1])),
            angle=self.angle,
            drawn=None,
            source=self.slot.parts[0].source,
        )


def seats_in(slot: Slot, long: float, short: float) -> list[Seat]:
    """The ways in which a batten of this section may lie in a notch: none, on its flat, on edge, or either."""
    found = []
    for along, sides in ((0, (long, short)), (1, (short, long))):
        if along == 1 and long - short < _PLAY:
            continue  # a square lies alike both ways
        if all(_holds(slot, axis, side) for axis, side in enumerate(sides)):
            seat = Seat(slot=slot, along=along, sides=sides)
            if seat.filled <= _FILLED:
                found.append(seat)
    return found


def _holds(slot: Slot, axis: int, side: float) -> bool:
    size = float(slot.size[axis])
    if slot.shut(axis):
        return side - _PLAY <= size <= side * 4 / 3 + _LEAN * slot.frame.core_thickness + _PLAY
    return _LEAST_DEEP * side <= size <= _MOST_DEEP * side + _LEAN * slot.frame.core_thickness


def place_in(slot: Slot, taken: Values) -> Values:
    """(2,) (y, v) mm: the middle of what takes up `taken` (2, 2), from and to along each axis about it, in a notch.

    Between two walls it lies half-way, at one wall against it.
    """
    at = []
    for (below, above), (low, high) in zip(slot.walls, taken, strict=True):
        if np.isnan(below):
            at.append(above - high)
        elif np.isnan(above):
            at.append(below - low)
        else:
            at.append((below + above - low - high) / 2)
    return np.asarray(np.array(at) @ slot.axes)


def settled(batten: Batten, seats: Sequence[Seat | None]) -> Batten:
    """The batten with its sections laid into these seats, one a section; those at None stay where they are.

    Where it passes a frame askew, what it takes up between the faces of the core lies against the walls.
    """
    for _ in range(_ROUNDS):
        moved = 0.0
        sections = []
        for section, seat, taken in zip(batten.sections, seats, _taken(batten, seats), strict=True):
            if seat is None:
                sections.append(section)
                continue
            centre = place_in(seat.slot, taken - (seat.slot.axes @ np.array(section.centre))[:, None])
            moved = max(moved, float(np.hypot(*(centre - section.centre))))
            sections.append(seat.section(section.batten, centre))
        batten = replace(batten, sections=tuple(sections))
        if moved < _STILL:
            break
    return batten


def misfit(batten: Batten, seats: Sequence[Seat | None]) -> Values:
    """(n,) mm: by how much each seat is tighter or wider than what the batten takes up there, on its worse axis.

    On an axis with one wall only, a quarter of how far the batten stands proud of the notch or lies
    back in it; 0 at None.
    """
    worst = np.zeros(len(seats))
    for i, (seat, taken) in enumerate(zip(seats, _taken(batten, seats), strict=True)):
        if seat is not None:
            off = np.abs(seat.slot.size - (taken[:, 1] - taken[:, 0]))
            worst[i] = max(off[axis] * (1.0 if seat.slot.shut(axis) else 0.25) for axis in (0, 1))
    return worst


def _taken(batten: Batten, seats: Sequence[Seat | None]) -> Values:
    """(n, 2, 2) mm: from and to along each axis of each seat's notch, all that the batten takes up in the core."""
    places = [(p, w) for p, seat in zip(batten.placements, seats, strict=True) for w in _planes(seat)]
    rings = batten.cuts([p for p, _ in places], [w for _, w in places]).rings(batten.profile)
    out = np.zeros((len(seats), 2, 2))
    for i, seat in enumerate(seats):
        if seat is not None:
            along = rings[2 * i : 2 * i + 2].reshape(-1, 2) @ seat.slot.axes.T
            out[i] = np.column_stack([along.min(axis=0), along.max(axis=0)])
    return out


def _planes(seat: Seat | None) -> tuple[float, float]:
    return (0.0, 0.0) if seat is None else (seat.slot.frame.core_low, seat.slot.frame.core_high)

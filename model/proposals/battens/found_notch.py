"""Notches recognised on the outlines of a frame's core: two, three or four straight walls square to one another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import JOINT_REACH, USUAL_CUTTER

from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.outline import Outline

Values = NDArray[np.float64]

_SHORTEST = 2.0  # mm; a straight edge shorter is a chord of an arc, or no wall to lay a batten against
_IN_LINE = 0.5  # mm; edges of two parts that butt are one wall if they are in line to within this, as for joint_gap
_SQUARE = float(np.sin(np.radians(2.0)))  # walls of a notch stand square to one another to within 2 degrees
_RELIEF = 1.5  # cutter diameters by which a relief in a corner, of whatever kind, shortens a wall at most


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walls:
    """Straight edges of the core, those in line across a joint as one; n of them, in a frame's (y, v), mm.

    `facing` (n, 2) points out of the wood, `off` (n,) is how far that way the edge lies from the origin;
    `along` (n, 2) runs with the wood to its left, from `start` to `end` (n,). `parts` are whose they are.
    """

    facing: Values
    off: Values
    along: Values
    start: Values
    end: Values
    parts: tuple[tuple[Part, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slot:
    """A notch: what lies free between walls, along two `axes` (2, 2) square to each other, in a frame's (y, v), mm.

    `walls` (2, 2): where along each axis the wood begins below and above, nan where the notch is open.
    `ends` (2, 2): the same, but on an open side as far as the walls beside it reach; `mouths` (2, 2): the same, but
    half-way between how far they reach. `parts` are whose walls they are.
    """

    frame: Frame
    axes: Values
    walls: Values
    ends: Values
    mouths: Values
    parts: tuple[Part, ...]

    @property
    def angle(self) -> float:
        """Of the first axis, radians from port towards up."""
        return float(np.arctan2(self.axes[0, 1], self.axes[0, 0]))

    def shut(self, axis: int) -> bool:
        """Whether there is a wall at both ends of an axis."""
        return not bool(np.isnan(self.walls[axis]).any())

    @property
    def size(self) -> Values:
        """(2,) mm, along the axes."""
        return np.asarray(self.ends[:, 1] - self.ends[:, 0])

    @property
    def middle(self) -> Values:
        """(2,) (y, v) mm."""
        return np.asarray(self.ends.mean(axis=1) @ self.axes)

    def apart(self, at: tuple[float, float]) -> float:
        """How far outside a point lies, mm; 0 inside."""
        place = self.axes @ np.array(at)
        return float(np.hypot(*np.maximum(np.maximum(self.ends[:, 0] - place, place - self.ends[:, 1]), 0.0)))


@kept
def slots_of(frame: Frame, cutter: float, arris: float = 0.0) -> tuple[Slot, ...]:
    """The notches of a frame's core, from port to starboard and down; `cutter` in mm, 0 if not known.

    Their corners may be rounded to the `arris` of the battens.

    Those of three or four walls, and corners of two walls that are part of none of them.
    """
    walls = _in_line(list(_edges(frame.core)))
    if walls is None:
        return ()
    corners = _corners(walls, _RELIEF * max(cutter or USUAL_CUTTER, arris))
    found: dict[frozenset[int], tuple[int, ...]] = {}
    used: set[frozenset[int]] = set()
    for bottom, beside in corners.items():
        for one in beside:
            for other in beside:
                if one < other and walls.facing[one] @ walls.facing[other] < -1 + _SQUARE:
                    if _between(walls, one, other) <= 0 or not _beside(walls, one, other):
                        continue
                    lids = corners[one] & corners[other] - {bottom}
                    lid = next((i for i in sorted(lids) if walls.facing[i] @ walls.facing[bottom] < 0), None)
                    which = (bottom, one, other) if lid is None else (bottom, one, other, lid)
                    found.setdefault(frozenset(which), which)
                    used |= {frozenset((bottom, one)), frozenset((bottom, other))}
    for one, beside in corners.items():
        for other in beside:
            if one < other and frozenset((one, other)) not in used:
                found[frozenset((one, other))] = (one, other)
    slots = [_slot(frame, walls, which) for which in found.values()]
    return tuple(sorted(slots, key=lambda slot: tuple(np.round(-slot.middle, 3))))


def _edges(parts: Sequence[Part]) -> Iterator[tuple[Part, Values, Values]]:
    """The straight edges of these parts as drawn, wood to the left."""
    for part in parts:
        for outline, hole in [(part.drawn, False), *((hole, True) for hole in part.holes)]:
            for start, end in _straight(outline, hole):
                if np.hypot(*(end - start)) >= _SHORTEST:
                    yield part, start, end


def _straight(outline: Outline, hole: bool) -> Iterator[tuple[Values, Values]]:
    points = outline.points
    following = np.roll(points, -1, axis=0)
    doubled = np.sum(points[:, 0] * following[:, 1] - points[:, 1] * following[:, 0])
    for start, end, bulge in zip(points, following, outline.bulges, strict=True):
        if bulge == 0.0:
            yield (start, end) if (doubled > 0) != hole else (end, start)


def _in_line(edges: list[tuple[Part, Values, Values]]) -> Walls | None:
    """The edges, those that run on in line over no more than a joint as one; None for no edges."""
    if not edges:
        return None
    starts, ends = np.array([e[1] for e in edges]), np.array([e[2] for e in edges])
    along = (ends - starts) / np.hypot(*(ends - starts).T)[:, None]
    facing = np.column_stack([along[:, 1], -along[:, 0]])
    rows: list[list[int]] = []
    order = sorted(range(len(edges)), key=lambda i: (*np.round(starts[i], 3), *np.round(ends[i], 3)))
    for i in order:
        joined = [row for row in rows if any(_runs_on(starts, ends, along, facing, i, j) for j in row)]
        rows = [row for row in rows if not any(row is one for one in joined)]
        rows.append([i, *(j for row in joined for j in row)])
    longest = [max(row, key=lambda i: (float((ends[i] - starts[i]) @ along[i]), -i)) for row in rows]
    return Walls(
        facing=facing[longest],
        off=np.array([float(starts[k] @ facing[k]) for k in longest]),
        along=along[longest],
        start=np.array([min(float(starts[i] @ along[k]) for i in row) for k, row in zip(longest, rows, strict=True)]),
        end=np.array([max(float(ends[i] @ along[k]) for i in row) for k, row in zip(longest, rows, strict=True)]),
        parts=tuple(
            tuple(sorted({edges[i][0].name: edges[i][0] for i in row}.values(), key=lambda p: p.name)) for row in rows
        ),
    )


def _runs_on(starts: Values, ends: Values, along: Values, facing: Values, i: int, j: int) -> bool:
    if along[i] @ along[j] < 1 - _SQUARE**2 / 2:
        return False
    if max(abs((starts[i] - starts[j]) @ facing[j]), abs((ends[i] - starts[j]) @ facing[j])) > _IN_LINE:
        return False
    gaps = (starts[i] - ends[j]) @ along[j], (starts[j] - ends[i]) @ along[j]
    return bool(max(gaps) <= JOINT_REACH)


def _corners(walls: Walls, relief: float) -> dict[int, set[int]]:
    """For each wall those that it makes an inside corner with, each ending within `relief` of where they would meet."""
    # where each wall begins and ends along the way that each other wall faces, from that wall on
    low = walls.along * walls.start[:, None] + walls.facing * walls.off[:, None]
    high = walls.along * walls.end[:, None] + walls.facing * walls.off[:, None]
    first = low @ walls.facing.T - walls.off
    last = high @ walls.facing.T - walls.off
    near, far = np.minimum(first, last), np.maximum(first, last)
    square = np.abs(walls.facing @ walls.facing.T) < _SQUARE
    begins = square & (near > -_IN_LINE) & (near <= relief) & (far > _SHORTEST)
    found: dict[int, set[int]] = defaultdict(set)
    for i, j in np.argwhere(begins & begins.T).tolist():
        found[i].add(j)
    return found


def _between(walls: Walls, one: int, other: int) -> float:
    """How far two walls that face each other stand apart, mm; negative if they turn their backs."""
    return float(-walls.off[one] - walls.off[other])


def _beside(walls: Walls, one: int, other: int) -> bool:
    """Whether two walls that face each other do so anywhere: one of a recess in a notch begins where that ends."""
    ends = sorted(float(walls.along[one] @ walls.along[other]) * at[other] for at in (walls.start, walls.end))
    return bool(min(float(walls.end[one]), ends[1]) - max(float(walls.start[one]), ends[0]) > _SHORTEST)


def _slot(frame: Frame, walls: Walls, which: tuple[int, ...]) -> Slot:
    lead = max(which, key=lambda i: (round(float(walls.end[i] - walls.start[i]), 6), -i))
    axes = np.array([walls.along[lead], (-walls.along[lead][1], walls.along[lead][0])])
    spans = np.full((2, 2), np.nan)
    tips: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    for i in which:
        place = walls.facing[i] @ axes.T
        axis = int(np.argmax(np.abs(place)))
        side = 0 if place[axis] > 0 else 1
        both = [walls.along[i] * t + walls.facing[i] * walls.off[i] for t in (walls.start[i], walls.end[i])]
        spans[axis, side] = float(np.mean(both, axis=0) @ axes[axis])
        low, high = sorted(float(tip @ axes[1 - axis]) for tip in both)
        tips[1 - axis].append((low, high))
    reach = np.array([(np.min(beside, axis=0)[0], np.max(beside, axis=0)[1]) for beside in tips])
    ends = np.where(np.isnan(spans), reach, spans)
    mouths = np.where(np.isnan(spans), [np.mean(beside, axis=0) for beside in tips], spans)
    parts = {part.name: part for i in which for part in walls.parts[i]}
    return Slot(
        frame=frame,
        axes=axes,
        walls=spans,
        ends=ends,
        mouths=mouths,
        parts=tuple(parts[name] for name in sorted(parts)),
    )

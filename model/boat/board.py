"""The assembly board: the dowels of all frames in one board, and how big it is.

Every frame lies on it with its centreline on the board's centreline and its datum line on the board's
datum line, so board coordinates are those of the frames: y to port, v up from the datum line, mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil, floor, hypot
from typing import Literal

import numpy as np

from scrieve.shared.tolerances import COINCIDENT, ONE_HOLE

from .assembly import Assembly
from .screw import Dowel

_ROUND = 10.0  # mm; a board that the plan does not name is given in whole centimetres


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hole:
    """A hole of the board `at` (y, v), mm, and the dowels that stand in it, from aft forward, one of a frame."""

    at: tuple[float, float]
    diameter: float
    dowels: tuple[Dowel, ...]

    @property
    def frames(self) -> tuple[str, ...]:
        """The numbers of the frames whose dowels stand in it, from aft forward."""
        return tuple(dowel.frame for dowel in self.dowels)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Board:
    """The board: its holes, `half` its breadth to either side of the centreline, from `low` to `high` up, mm.

    `web` is the wood wanted between two holes and from a hole to an edge, in hole diameters. `given` says
    whether the plan names the board's size; if not, it is the least that holds the holes, with their
    webs, and the datum line.
    """

    holes: tuple[Hole, ...]
    half: float
    low: float
    high: float
    web: float
    given: bool
    seen: Literal["from aft", "from forward"]

    @property
    def sign(self) -> float:
        """What takes y to port to the right as the builder sees the board: -1 from aft, where port is on the left."""
        return -1.0 if self.seen == "from aft" else 1.0

    def from_corner(self, hole: Hole) -> tuple[float, float]:
        """Where the middle of a hole is to the right of and above the lower left corner as the builder sees it, mm."""
        return self.sign * hole.at[0] + self.half, hole.at[1] - self.low

    def wood_beside(self, hole: Hole) -> float:
        """The least wood between a hole and an edge of the board, mm; negative where it breaks out."""
        return self._to_edge(hole)[0] - hole.diameter / 2

    def beside(self, hole: Hole) -> tuple[tuple[float, float], tuple[float, float]]:
        """From the rim of a hole to the edge of the board, (y, v), where the wood between is least."""
        far, (y, v) = self._to_edge(hole)
        reach = hole.diameter / 2
        at = hole.at
        return (at[0] + reach * y, at[1] + reach * v), (at[0] + far * y, at[1] + far * v)

    def _to_edge(self, hole: Hole) -> tuple[float, tuple[float, float]]:
        """How far the middle of a hole is within the nearest edge of the board, mm, and the unit way out over it."""
        y, v = hole.at
        sides = (
            (self.half - abs(y), (1.0 if y > 0.0 else -1.0, 0.0)),
            (v - self.low, (0.0, -1.0)),
            (self.high - v, (0.0, 1.0)),
        )
        return min(sides, key=lambda side: side[0])

    @property
    def broken_out(self) -> tuple[Hole, ...]:
        """The holes that no board is left beside on some side, or that lie off it."""
        return tuple(hole for hole in self.holes if self.wood_beside(hole) <= COINCIDENT)

    @property
    def least(self) -> tuple[float, float]:
        """The size of a board that would do, across and up, in whole millimetres."""
        across, up = (float(ceil(round(length, 4))) for length in least_size(self.holes, self.web))
        return across, up

    @property
    def enough(self) -> str:
        """The same in words."""
        across, up = self.least
        return f"{across:.0f} mm across and {up:.0f} mm up, or more"


def board_of(assembly: Assembly) -> Board:
    """The board of a boat; with no dowels it has no holes. A board of a size that is too small stays as it is."""
    holes = holes_of(dowel for frame in assembly.frames for dowel in frame.dowels)
    web = assembly.limits["board_web"]
    half, low, high = _extent(holes, web, assembly.board)
    return Board(
        holes=holes, half=half, low=low, high=high, web=web, given=assembly.board is not None, seen=_seen(assembly)
    )


def holes_of(dowels: Iterable[Dowel]) -> tuple[Hole, ...]:
    """The holes for these dowels, from port to starboard and down; see `ONE_HOLE` for which share one."""
    groups: list[list[Dowel]] = []
    cells: dict[tuple[int, int], list[list[Dowel]]] = {}  # the groups by where their first lies, a cell no smaller
    for dowel in dowels:
        i, j = floor(dowel.at[0] / ONE_HOLE), floor(dowel.at[1] / ONE_HOLE)
        near = [group for cell in product((i - 1, i, i + 1), (j - 1, j, j + 1)) for group in cells.get(cell, ())]
        group = next((group for group in near if _shares(dowel, group)), None)
        if group is not None:
            group.append(dowel)
        else:
            groups.append([dowel])
            cells.setdefault((i, j), []).append(groups[-1])
    holes = [_hole(group) for group in groups]
    return tuple(sorted(holes, key=lambda hole: (-round(hole.at[0], 3), -round(hole.at[1], 3), hole.frames)))


def _shares(dowel: Dowel, group: Sequence[Dowel]) -> bool:
    """Whether a dowel goes into the hole of a group: as near to its first as that, and no other of its frame there."""
    first = group[0]
    return (
        hypot(dowel.at[0] - first.at[0], dowel.at[1] - first.at[1]) <= ONE_HOLE
        and abs(dowel.diameter - first.diameter) <= COINCIDENT
        and all(other.frame != dowel.frame for other in group)
    )


def _hole(dowels: Sequence[Dowel]) -> Hole:
    y, v = np.mean([dowel.at for dowel in dowels], axis=0)
    return Hole(at=(float(y), float(v)), diameter=dowels[0].diameter, dowels=tuple(dowels))


def least_size(holes: Sequence[Hole], web: float) -> tuple[float, float]:
    """(across, up) of the least board that holds the holes with their webs, the centreline in its middle, mm."""
    half, bottom, top = _reach(holes, web)
    return 2 * half, top - bottom


def _reach(holes: Sequence[Hole], web: float) -> tuple[float, float, float]:
    """How far the holes and the webs beside them reach: to either side, down and up, mm."""
    about = [(hole.at, hole.diameter * (0.5 + web)) for hole in holes]
    return (
        max((abs(y) + reach for (y, _), reach in about), default=0.0),
        min((v - reach for (_, v), reach in about), default=0.0),
        max((v + reach for (_, v), reach in about), default=0.0),
    )


def _extent(holes: Sequence[Hole], web: float, size: tuple[float, float] | None) -> tuple[float, float, float]:
    """Half the breadth, and the lower and upper edge of the board."""
    half, bottom, top = _reach(holes, web)
    if size is None:
        return (
            _ROUND * ceil(half / _ROUND),
            _ROUND * floor(min(bottom, -_ROUND) / _ROUND),
            _ROUND * ceil(max(top, _ROUND) / _ROUND),
        )
    across, up = min(
        (max(size), min(size)),
        (min(size), max(size)),
        key=lambda laid: max(2 * half - laid[0], top - bottom - laid[1], 0.0),
    )
    low = (bottom + top - up) / 2
    least, most = max(top - up, _ROUND - up), min(bottom, -_ROUND)
    if least <= most:  # there is room to move it until it holds the datum line as well
        low = min(max(low, least), most)
    return across / 2, low, low + up


def _seen(assembly: Assembly) -> Literal["from aft", "from forward"]:
    """From which side the builder sees a frame on the board: the face that takes plates first lies up, aft if both do.

    So it is on the bench (see `bench_order`). A frame that lies the other way up must be alike on both sides.
    """
    faces = {part.face for part in assembly.parts() if part.role != "leg"}
    return "from aft" if "aft" in faces else "from forward"

"""How a frame comes to its place on the strongback: lowered on to the rails, or slid along them from an end.

Frames that already stand are passed in space, exactly: wood swept along a straight line against wood.
Only what comes near is looked at. Two frames that want one place are left to `foul`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce
from operator import add

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, IN_THE_WAY, SLIVER

from ..boat.assembly import Assembly
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.solid import Solid, prism
from ..relations.fouls.foul import as_drawn, part_solid, triple
from ..relations.fouls.fouls_in_space import hull_boxes
from ..relations.fouls.passing import RAILS, rail_passage
from .leaving import swept
from .way import Way

Floats = NDArray[np.float64]

_FLAT = 1e-9  # share of a unit way; one that leaves a frame's plane by less stays in it


class StandingFrames:
    """The frames of an assembly in their places, by number. Hull axes, mm."""

    def __init__(self, assembly: Assembly) -> None:
        """Of this assembly."""
        self.frames = assembly.frames
        self._strongback = assembly.strongback
        self._up = 1.0 if assembly.build == "upright" else -1.0
        self._boxes = [hull_boxes(frame) for frame in self.frames]
        nowhere = np.full(3, np.inf), np.full(3, -np.inf)
        ends = [(low.min(axis=0), high.max(axis=0)) if len(low) else nowhere for low, high in self._boxes]
        self._least = np.array([low for low, _ in ends]).reshape(-1, 3)
        self._greatest = np.array([high for _, high in ends]).reshape(-1, 3)
        self._passes: dict[tuple[int, int, int], tuple[Part, Part] | None] = {}

    @property
    def down(self) -> tuple[float, float, float]:
        """The unit vector, hull axes, in which frames are lowered square to the rails."""
        return (0.0, 0.0, -self._up)

    def way(self, frame: int, rest: Sequence[int], *, along_rails: bool = True) -> Way | None:
        """How a frame comes to its place past the rest: lowered square to the rails or in its own plane, or slid.

        What has no parts is lowered from nowhere.
        """
        rest = self._with_parts(rest)
        if not self.frames[frame].parts:
            return Way(how="lower", toward=triple(-self._ways_off(frame)[0]), reach=0.0)
        for number, off in enumerate(self._ways_off(frame)):
            if number > 1 and not along_rails:
                break
            barred = any(self.bar(frame, n, number) for n in self._in_reach(frame, rest, off))
            if not barred and (number > 1 or not self._under_rail(frame)):
                how = "lower" if number < 2 else "slide"
                return Way(how=how, toward=triple(-off), reach=self._reach(frame, rest, off))  # type: ignore[arg-type]
        return None

    def holders(self, frame: int, rest: Sequence[int]) -> list[int]:
        """Those of the rest that bar it from being lowered."""
        return [n for n in self._in_reach(frame, rest, self._ways_off(frame)[0]) if self.bar(frame, n, 0)]

    def bar(self, frame: int, other: int, number: int = 0) -> tuple[Part, Part] | None:
        """A part of a frame and the part of another that it meets on the way of this number, None if all pass."""
        key = frame, other, number
        if key not in self._passes:
            self._passes[key] = next(self._met(frame, other, self._ways_off(frame)[number]), None)
        return self._passes[key]

    def under_rails(self, frame: int) -> list[tuple[Part, str, float]]:
        """Parts that reach under a rail, so that they cannot be lowered past it: part, rail, and by how much, mm."""
        out: list[tuple[Part, str, float]] = []
        if self._strongback is None:
            return out
        it = self.frames[frame]
        for side in RAILS:
            for part in it.parts:
                rail = rail_passage(self._strongback, side, it.placement, part.low, part.high)
                if rail is None:
                    continue
                left, bottom, right, top = rail.bounds
                _, low, _, high = part.shape.bounds
                far = bottom if self._up > 0 else top
                if (far - low if self._up > 0 else high - far) <= IN_THE_WAY:
                    continue
                beyond = (low - 1.0, far) if self._up > 0 else (far, high + 1.0)
                hooked = shapely.intersection(part.shape, shapely.box(left, beyond[0], right, beyond[1]))
                spread = float(np.ptp(shapely.get_coordinates(hooked)[:, 0])) if not shapely.is_empty(hooked) else 0.0
                if spread > IN_THE_WAY:
                    out.append((part, f"{side} rail", spread))
        return out

    def far_side(self, frames: Sequence[int], end: int) -> float:
        """The x that all of these frames, which have parts, reach to forward (1) or aft (-1), mm."""
        return float(self._greatest[frames, 0].max() if end > 0 else self._least[frames, 0].min())

    def any_between(self, frames: Sequence[int], one: float, other: float) -> bool:
        """Whether any of these frames has wood between two places along x, mm."""
        low, high = min(one, other), max(one, other)
        return bool(np.any((self._least[frames, 0] < high) & (self._greatest[frames, 0] > low)))

    def _under_rail(self, frame: int) -> bool:
        if self._strongback is None:
            return False
        reaches = -self._least[frame, 2] if self._up > 0 else self._greatest[frame, 2]
        return bool(reaches > self._strongback.depth) and bool(self.under_rails(frame))

    def _ways_off(self, frame: int) -> list[Floats]:
        """Off the rails, off them in the frame's own plane, and off their two ends: unit vectors."""
        slope = self.frames[frame].placement.vector_to_hull([(0.0, self._up, 0.0)])[0]
        return [np.array([0.0, 0.0, self._up]), slope, np.array([1.0, 0.0, 0.0]), np.array([-1.0, 0.0, 0.0])]

    def _reach(self, frame: int, rest: Sequence[int], off: Floats) -> float:
        """How far along a way a frame lies beyond the rest, and beyond the rails if it is slid, mm."""
        furthest = self._furthest(self._with_parts(rest), off).max(initial=self._rails_furthest(off))
        return max(float(furthest + self._furthest([frame], -off)[0]), 0.0)

    def _with_parts(self, frames: Sequence[int]) -> list[int]:
        return [n for n in frames if self.frames[n].parts]

    def _furthest(self, frames: Sequence[int], off: Floats) -> Floats:
        """(n,) how far along a way the boxes of these frames, which have parts, reach, mm."""
        return np.asarray(np.sum(np.where(off > 0.0, self._greatest[frames], self._least[frames]) * off, axis=1))

    def _rails_furthest(self, off: Floats) -> float:
        if self._strongback is None:
            return -np.inf
        return max(float(np.dot(corner, off)) for side in RAILS for corner in self._strongback.rail(side))

    def _in_reach(self, frame: int, rest: Sequence[int], off: Floats) -> list[int]:
        """Those of the rest whose boxes the box of a frame meets on its way past each."""
        some = self._with_parts(rest)
        if not some:
            return []
        furthest = np.maximum(self._furthest(some, off), self._rails_furthest(off))
        reach = np.maximum(furthest + self._furthest([frame], -off)[0], COINCIDENT)[:, None]
        low = np.minimum(self._least[frame], self._least[frame] + reach * off)
        high = np.maximum(self._greatest[frame], self._greatest[frame] + reach * off)
        deep = np.minimum(high, self._greatest[some]) - np.maximum(low, self._least[some])
        return [some[n] for n in np.flatnonzero(np.all(deep > IN_THE_WAY, axis=1))]

    def _met(self, frame: int, other: int, off: Floats) -> Iterator[tuple[Part, Part]]:
        reach = max(self._reach(frame, [other], off), COINCIDENT)
        mine, theirs = self._boxes[frame], self._boxes[other]
        low, high = np.minimum(mine[0], mine[0] + reach * off), np.maximum(mine[1], mine[1] + reach * off)
        deep = np.minimum(high[:, None], theirs[1][None]) - np.maximum(low[:, None], theirs[0][None])
        one, two = self.frames[frame], self.frames[other]
        for m, n in np.argwhere(np.all(deep > IN_THE_WAY, axis=2)):
            mover, stays = one.parts[m], two.parts[n]
            solid = part_solid(stays, two.placement)
            if (part_solid(mover, one.placement) ^ solid).volume() > SLIVER**3:
                continue  # in one place already: that is a foul
            if any((_swept_solid(p, one, off * reach) ^ solid).volume() > SLIVER**3 for p in mover.prisms):
                yield mover, stays


def _swept_solid(part: Part, frame: Frame, by: Floats) -> Solid:
    """All that a part, less IN_THE_WAY all round, passes over on a straight move, hull axes."""
    shape = shapely.buffer(as_drawn(part), -IN_THE_WAY, join_style="mitre")
    slim = min(IN_THE_WAY, part.thickness / 4)
    low, high = part.low + slim, part.high - slim
    m = frame.placement.matrix[:3, :3]
    inside = by @ m
    if abs(inside[2]) <= _FLAT * float(np.linalg.norm(by)):
        whole = swept(shape, inside[:2])
        return reduce(add, (prism(p, low, high, frame.placement) for p in shapely.get_parts(whole)))
    blocks = []
    for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(shape)):
        corners = shapely.get_coordinates(triangle)[:3]
        both = [np.column_stack([corners, np.full(3, w)]) for w in (low, high)]
        at = frame.placement.to_hull(np.concatenate(both))
        blocks.append(manifold3d.Manifold.hull_points(np.concatenate([at, at + by])))
    return manifold3d.Manifold.batch_boolean(blocks, manifold3d.OpType.Add)

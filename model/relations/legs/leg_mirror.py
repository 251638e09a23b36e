"""How far the plies of two legs are from being mirror images."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import SLIVER

from ...boat.part import Part
from ...geometry.plane import foot, mirrored_points
from .leg import Footing

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandingPly:
    """One ply of a leg with what is wrong with it already: `low` its bearing, `wide` its locating edge.

    `fix` (y, v), mm, is the move that would bring the two edges to their place.
    """

    footing: Footing
    low: bool = False
    wide: bool = False
    fix: tuple[float, float] = (0.0, 0.0)

    @property
    def back(self) -> tuple[float, float]:
        """The part of `fix` that mends what is wrong already."""
        return self.fix[0] if self.wide else 0.0, self.fix[1] if self.low else 0.0

    @property
    def ply(self) -> Part:
        """The ply itself."""
        return self.footing.ply


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlyDifference:
    """How far a corner of `ply` at `at` (y, v) lies off the mirror image of `other`, which has it at `image`, mm."""

    ply: Part
    other: Part
    at: tuple[float, float]
    image: tuple[float, float]
    off: float


def paired(
    port: Sequence[StandingPly], starboard: Sequence[StandingPly]
) -> tuple[list[tuple[StandingPly, StandingPly]], list[StandingPly]]:
    """Plies of the two legs that lie on the same face, two by two from inboard outward; and those left over."""
    pairs, alone = [], []
    for face in ("core", "forward", "aft"):
        left, right = (
            sorted((s for s in leg if s.ply.face == face), key=lambda s: (abs(s.ply.shape.centroid.x), s.ply.name))
            for leg in (port, starboard)
        )
        pairs += list(zip(left, right, strict=False))
        alone += left[len(right) :] + right[len(left) :]
    return pairs, alone


def difference(a: StandingPly, b: StandingPly, allowed: float) -> PlyDifference:
    """The corner that is furthest off, of either outline against the mirror image of the other.

    Exact for straight edges, since the furthest point of one is then a corner. What is off only because
    an edge is out of place for which a finding is given anyway does not count: the ends of that edge,
    and every corner that went with it, the whole leg's or its foot's, if moving it back brings it within `allowed`.
    """
    return max((_one_way(a, b, allowed), _one_way(b, a, allowed)), key=lambda d: (d.off, d.ply.name))


def _one_way(a: StandingPly, b: StandingPly, allowed: float) -> PlyDifference:
    drawn = a.ply.drawn.flattened()
    corners = mirrored_points(drawn)
    edge = shapely.LinearRing(b.ply.drawn.flattened())
    excused = _excused(corners, a, b)
    back_y, back_v = mirrored_points(a.back) - b.back
    moves = np.array([(y, v) for y in (0.0, back_y) for v in (0.0, back_v)])
    offs = [np.where(excused, 0.0, shapely.distance(shapely.points(corners + move), edge)) for move in moves]
    least = np.min(offs, axis=0)
    off = np.where(least <= allowed, least, offs[0])
    worst = int(np.argmax(off))
    y, v = drawn[worst]
    onto = mirrored_points(foot(edge, corners[worst]))
    return PlyDifference(
        ply=a.ply,
        other=b.ply,
        at=(float(y), float(v)),
        image=(float(onto[0]), float(onto[1])),
        off=float(off[worst]),
    )


def _excused(corners: Points, a: StandingPly, b: StandingPly) -> NDArray[np.bool_]:
    """Corners (mirrored, of `a`) that belong, in either ply, to an edge that is out of place anyway."""
    out = np.zeros(len(corners), dtype=bool)
    for standing in (a, b):
        bearing, locating = standing.footing.bearing, standing.footing.locating
        for told, found in ((a.low or b.low, bearing), (a.wide or b.wide, locating)):
            if told and found is not None:
                ends = np.concatenate([found.edges.starts, found.edges.ends])
                ends = mirrored_points(ends) if standing is a else ends
                out |= shapely.distance(shapely.points(corners), shapely.multipoints(ends)) <= SLIVER
        if bearing is not None and locating is not None and (a.low or b.low or a.wide or b.wide):
            # a relief between the two edges goes with them
            inner = np.array(bearing.inner)
            end = min((np.array(end) for end in locating.ends), key=lambda end: float(np.hypot(*(end - inner))))
            middle = (inner + end) / 2
            middle = mirrored_points(middle) if standing is a else middle
            off = np.hypot(*(corners - middle).T)
            out |= off <= np.hypot(*(end - inner)) + SLIVER
    return out

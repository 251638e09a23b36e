"""The screws of a frame as arrays, to ask how close any two of them may stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import COINCIDENT, ROUNDING, falls_short

from ...boat.screw import Screw

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TooClose:
    """Two screws, `first` before `second` by name, whose `axes` are less than `limit` apart, mm.

    They want `least` mm more, and run side by side over `along`. They touch where their axes are `touch` apart;
    `first_head` says whether it is the head of the first that stands out further there.
    """

    first: Screw
    second: Screw
    axes: float
    limit: float
    least: float
    is_error: bool
    along: float
    touch: float
    first_head: bool

    @property
    def screws(self) -> tuple[Screw, ...]:
        """Both."""
        return self.first, self.second


def too_close(screws: Sequence[Screw], limits: Limits) -> Iterator[TooClose]:
    """Every two of the screws of one frame that stand too close over a depth that they share."""
    shafts = Shafts.of(screws)
    i, j = shafts.close(limits)
    axes = np.hypot(*(shafts.at[i] - shafts.at[j]).T)
    error, warning = shafts.apart(i, j, limits)
    for n in np.flatnonzero(axes < warning - ROUNDING):
        is_error = falls_short(float(axes[n]), float(error[n]))
        pair = sorted((i[n], j[n]), key=lambda k: (screws[k].name, screws[k].at))
        a, b = (np.array([k]) for k in pair)
        yield TooClose(
            first=screws[pair[0]],
            second=screws[pair[1]],
            axes=float(axes[n]),
            limit=float((error if is_error else warning)[n]),
            least=float(warning[n] - axes[n]),
            is_error=is_error,
            along=float(shafts.shared(a, b)[0]),
            touch=float(shafts.touch(a, b)[0]),
            first_head=bool(shafts.over_shank(a, b)[0]),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shafts:
    """The screws of one frame as arrays, (n,) or (n, 2), mm, in the order of `screws`."""

    screws: tuple[Screw, ...]
    at: Floats
    low: Floats
    high: Floats
    diameter: Floats
    head: Floats
    head_radius: Floats
    head_height: Floats
    forward: NDArray[np.bool_]

    @classmethod
    def of(cls, screws: Sequence[Screw]) -> Shafts:
        """The shafts of these screws."""
        head = np.array([s.head for s in screws], dtype=np.float64)
        tip = np.array([s.tip for s in screws], dtype=np.float64)
        return cls(
            screws=tuple(screws),
            at=np.array([s.at for s in screws], dtype=np.float64).reshape(-1, 2),
            low=np.minimum(head, tip),
            high=np.maximum(head, tip),
            diameter=np.array([s.size.diameter for s in screws], dtype=np.float64),
            head=head,
            head_radius=np.array([s.size.head_diameter / 2 for s in screws], dtype=np.float64),
            head_height=np.array([s.size.head_height for s in screws], dtype=np.float64),
            forward=np.array([s.driven_from == "forward" for s in screws], dtype=np.bool_),
        )

    def shared(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> Floats:
        """How long the shafts of the pairs run side by side along w, mm; negative where they stop short."""
        return np.asarray(np.minimum(self.high[i], self.high[j]) - np.maximum(self.low[i], self.low[j]))

    def touch(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> Floats:
        """The distance of the axes at which the screws of each pair touch, heads included, mm; 0 where never.

        Taken are the cone of the head and a shank of full diameter to the tip. Along w the sum of two
        such radii is convex: it is greatest at one end of what the two screws share.
        """
        low, high = np.maximum(self.low[i], self.low[j]), np.minimum(self.high[i], self.high[j])
        sums = [self.radius(i, w) + self.radius(j, w) for w in (low, high)]
        return np.where(self.shared(i, j) > COINCIDENT, np.maximum(*sums), 0.0)

    def over_shank(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Whether, at the level where two touch first, it is the head of the first that stands out further."""
        low, high = np.maximum(self.low[i], self.low[j]), np.minimum(self.high[i], self.high[j])
        out = [[self.radius(n, w) - self.diameter[n] / 2 for n in (i, j)] for w in (low, high)]
        upper = out[0][0] + out[0][1] < out[1][0] + out[1][1]
        first, second = (np.where(upper, out[1][n], out[0][n]) for n in (0, 1))
        return np.asarray(first >= second)

    def radius(self, n: NDArray[np.intp], w: Floats) -> Floats:
        """The radius of each of these screws at the level `w` on its way, mm."""
        shank = self.diameter[n] / 2
        cone = (self.head_radius[n] - shank) * (1.0 - np.abs(w - self.head[n]) / self.head_height[n])
        return np.asarray(shank + np.maximum(cone, 0.0))

    def apart(self, i: NDArray[np.intp], j: NDArray[np.intp], limits: Limits) -> tuple[Floats, Floats]:
        """Least distance of the axes for each pair, mm: under the first an error, under the second a warning.

        Shafts that do not run side by side ask for none. Between shanks there has to be wood; heads must
        clear one another and the shanks beside them.
        """
        beside = self.shared(i, j) > COINCIDENT
        shank = (self.diameter[i] + self.diameter[j]) / 2 + limits["screw_foul"]
        error = np.maximum(np.where(beside, shank, 0.0), self.touch(i, j))
        wide = limits["screw_foul_warning"] * np.maximum(self.diameter[i], self.diameter[j])
        return error, np.maximum(np.where(beside, wide, 0.0), error)

    def widest(self, limits: Limits) -> float:
        """The distance of the axes, mm, from which on no two of these can be too close; 0 where there are none."""
        thickest = float(self.diameter.max(initial=0.0))
        return max(
            thickest + limits["screw_foul"],
            limits["screw_foul_warning"] * thickest,
            2 * float(self.head_radius.max(initial=0.0)),
        )

    def close(self, limits: Limits) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Pairs of screws (indices, the lesser first) that could stand too close."""
        if len(self.screws) < 2:
            return np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp)
        points = shapely.points(self.at)
        i, j = shapely.STRtree(points).query(points, predicate="dwithin", distance=self.widest(limits))
        once = i < j
        return i[once], j[once]

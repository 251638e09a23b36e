"""Where in a frame a screw could go instead, with nothing there that the checks of screws find fault with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import COINCIDENT

from .assembly import Assembly
from .fouls_of_screws import batten_fouls, part_fouls_of
from .frame import Frame
from .notch import Crossing
from .passing import battens_passing
from .screw import Screw, drive

Floats = NDArray[np.float64]

REACH = 20.0
"""mm; a place further off is no cure for this screw but another layout."""

_RING = 1.0  # mm between the rings of places that are tried
_WAYS = 32  # places tried on a ring
_ROUNDING = 0.08  # mm that a place may lose by being rounded to tenths in both directions


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

    def places(self, *screws: Screw) -> tuple[int, ...]:
        """Where in the arrays these screws are."""
        return tuple(next(n for n, other in enumerate(self.screws) if other is screw) for screw in screws)

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place (y, v) for a screw and how far that is from where it is, mm."""

    at: tuple[float, float]
    distance: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """What a screw of one frame has to keep clear of: the other screws, edges, battens."""

    frame: Frame
    shafts: Shafts
    crossings: tuple[Crossing, ...]
    limits: Limits

    @classmethod
    def of(cls, frame: Frame, assembly: Assembly) -> Room:
        """The room in a frame of this assembly."""
        crossings = battens_passing(frame, assembly)
        return cls(frame=frame, shafts=Shafts.of(frame.screws), crossings=crossings, limits=assembly.limits)

    def nearest(self, screw: Screw, *, least: float, away: tuple[float, float]) -> Spot | None:
        """The nearest place, of those tried, where nothing is left to warn of; None within reach.

        Tried are rings about the screw from `least` mm on, starting each in the direction `away`.
        Places are on whole tenths of a millimetre, and tested as such. There is none for a screw that
        meets no wood.
        """
        if not screw.plies:
            return None
        start = float(np.arctan2(away[1], away[0]))
        turns = start + _from_the_middle(_WAYS) * 2 * np.pi / _WAYS
        ring = np.column_stack([np.cos(turns), np.sin(turns)])
        radius = least + _ROUNDING
        while radius <= max(REACH, least + 4 * _RING):
            radii = radius + _RING * np.arange(4)
            places = np.round(np.asarray(screw.at) + (radii[:, None, None] * ring).reshape(-1, 2), 1)
            for y, v in places[self.clear(screw, places)].tolist():
                if self.holds(screw, (y, v)):
                    return Spot(at=(y, v), distance=float(np.hypot(y - screw.at[0], v - screw.at[1])))
            radius += 4 * _RING
        return None

    def clear(self, screw: Screw, places: Floats) -> NDArray[np.bool_]:
        """Which of `places` (n, 2) are in the screw's first ply, clear of other screws and of the edges of its plies.

        (n,), for the screw at the level it has.
        """
        good = self._clear_of_screws(screw, places)
        need = self.limits["screw_edge_warning"] * screw.size.diameter
        for n, ply in enumerate(screw.plies):
            some = np.flatnonzero(good)
            if not len(some):
                break
            points = shapely.points(places[some])
            off = shapely.distance(ply.part.shape.boundary, points) >= need
            good[some] = off & shapely.contains(ply.part.shape, points) if n == 0 else off
        return good

    def holds(self, screw: Screw, at: tuple[float, float]) -> bool:
        """Whether the screw, driven afresh at this place, holds as much there and meets nothing it should not.

        It must pass none but plies that it passes now, and leave as much beyond its tip as it should, or does now:
        then it holds as much beyond the first as well.
        """
        moved = drive(
            self.frame.parts, name=screw.name, frame=screw.frame, size=screw.size, at=at,
            driven_from=screw.driven_from, face=screw.head, source=screw.source,
        )  # fmt: skip
        kept = {ply.part for ply in screw.plies}
        left = min(screw.left_beyond, self.limits["screw_bite"])
        return (
            all(ply.part in kept for ply in moved.plies)
            and moved.left_beyond >= left - COINCIDENT
            and not any(part_fouls_of(self.frame, [moved], self.limits))
            and not any(batten_fouls(self.frame, [moved], self.crossings, self.limits))
        )

    def _clear_of_screws(self, screw: Screw, places: Floats) -> NDArray[np.bool_]:
        shafts = self.shafts
        (me,) = shafts.places(screw)
        others = np.array([n for n in range(len(shafts.screws)) if n != me], dtype=np.intp)
        if not len(others):
            return np.ones(len(places), dtype=np.bool_)
        _, need = shafts.apart(np.full(len(others), me), others, self.limits)
        gaps = np.linalg.norm(places[:, None, :] - shafts.at[others][None, :, :], axis=2)
        return np.asarray(np.all(gaps >= need, axis=1))


def _from_the_middle(count: int) -> Floats:
    """0, 1, -1, 2, -2 …: `count` steps round a ring, nearest the starting direction first."""
    steps = np.arange(1, count + 1) // 2
    return np.asarray(np.where(np.arange(count) % 2 == 1, steps, -steps), dtype=np.float64)

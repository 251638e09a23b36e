"""Where in a frame a screw could go instead: clear of the other screws and of the edges of its own plies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import COINCIDENT

from .frame import Frame
from .screw import Screw

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
            forward=np.array([s.driven_from == "forward" for s in screws], dtype=np.bool_),
        )

    def shared(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> Floats:
        """How long the shafts of the pairs run side by side along w, mm; negative where they stop short."""
        return np.asarray(np.minimum(self.high[i], self.high[j]) - np.maximum(self.low[i], self.low[j]))

    def apart(self, i: NDArray[np.intp], j: NDArray[np.intp], limits: Limits) -> tuple[Floats, Floats]:
        """Least distance of the axes for each pair, mm: under the first an error, under the second a warning.

        Shafts that do not run side by side ask for none. Heads on one level, driven from one face, must
        clear one another as well.
        """
        beside = self.shared(i, j) > COINCIDENT
        shank = (self.diameter[i] + self.diameter[j]) / 2 + limits["screw_foul"]
        level = (self.forward[i] == self.forward[j]) & (np.abs(self.head[i] - self.head[j]) <= COINCIDENT)
        heads = np.where(level, self.head_radius[i] + self.head_radius[j], 0.0)
        error = np.maximum(np.where(beside, shank, 0.0), heads)
        wide = limits["screw_foul_warning"] * np.maximum(self.diameter[i], self.diameter[j])
        return error, np.maximum(np.where(beside, wide, 0.0), error)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place (y, v) for a screw and how far that is from where it is, mm."""

    at: tuple[float, float]
    distance: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """What a screw of one frame has to keep clear of."""

    shafts: Shafts
    limits: Limits

    @classmethod
    def of(cls, frame: Frame, limits: Limits) -> Room:
        """The room among the screws of a frame."""
        return cls(shafts=Shafts.of(frame.screws), limits=limits)

    def nearest(self, screw: Screw, *, least: float, away: tuple[float, float]) -> Spot | None:
        """The nearest place, of those tried, where nothing is left to warn of; None within reach.

        Tried are rings about the screw from `least` mm on, starting each in the direction `away`.
        Places are on whole tenths of a millimetre, and tested as such.
        """
        start = float(np.arctan2(away[1], away[0]))
        turns = start + _from_the_middle(_WAYS) * 2 * np.pi / _WAYS
        ring = np.column_stack([np.cos(turns), np.sin(turns)])
        radius = least + _ROUNDING
        while radius <= max(REACH, least + 4 * _RING):
            radii = radius + _RING * np.arange(4)
            places = np.round(np.asarray(screw.at) + (radii[:, None, None] * ring).reshape(-1, 2), 1)
            good = np.flatnonzero(self.clear(screw, places))
            if len(good):
                y, v = places[good[0]]
                distance = float(np.hypot(y - screw.at[0], v - screw.at[1]))
                return Spot(at=(float(y), float(v)), distance=distance)
            radius += 4 * _RING
        return None

    def clear(self, screw: Screw, places: Floats) -> NDArray[np.bool_]:
        """Which of `places` (n, 2) hold the screw in the same plies with nothing left to warn of, (n,)."""
        good = self._clear_of_screws(screw, places)
        need = self.limits["screw_edge_warning"] * screw.size.diameter
        for ply in screw.plies:
            some = np.flatnonzero(good)
            if not len(some):
                break
            points = shapely.points(places[some])
            inside = shapely.contains(ply.part.shape, points)
            clear = shapely.distance(ply.part.shape.boundary, points) >= need
            good[some] = inside & clear
        return good

    def _clear_of_screws(self, screw: Screw, places: Floats) -> NDArray[np.bool_]:
        shafts = self.shafts
        me = next(n for n, other in enumerate(shafts.screws) if other is screw)
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

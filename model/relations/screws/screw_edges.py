"""How near to an edge the screws of a frame stand, in every ply that they pass."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import COINCIDENT, falls_short

from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw
from ...geometry.plane import foot


class NearEdge(NamedTuple):
    """A screw whose axis is `distance` from an edge of a part that it passes, nearest at `foot` (y, v), under `limit`.

    It wants to be `least` further away. mm.
    """

    screw: Screw
    part: Part
    foot: tuple[float, float]
    distance: float
    limit: float
    least: float
    is_error: bool

    @property
    def screws(self) -> tuple[Screw, ...]:
        """The one."""
        return (self.screw,)


def near_edges(frame: Frame, limits: Limits) -> Iterator[NearEdge]:
    """The screws of a frame that are too close to an edge, each with the part where it is closest."""
    for n, (distance, part) in sorted(_closest(frame, limits["screw_edge_warning"]).items()):
        screw = frame.screws[n]
        warning, error = (limits[name] * screw.size.diameter for name in ("screw_edge_warning", "screw_edge"))
        if falls_short(distance, warning):
            is_error = falls_short(distance, error)
            (ply,) = (ply for ply in screw.plies if ply.part is part)
            y, v = foot(ply.wood.boundary, screw.at).tolist()
            yield NearEdge(screw, part, (y, v), distance, error if is_error else warning, warning - distance, is_error)


def _closest(frame: Frame, factor: float) -> dict[int, tuple[float, Part]]:
    """For each screw (by its index) nearer than `factor` D to an edge: the least distance, and in which part."""
    passing: dict[tuple[Part, tuple[float, float]], list[int]] = {}
    for n, screw in enumerate(frame.screws):
        for ply in screw.plies:
            ends = (ply.enters, ply.leaves) if ply.part.pockets else (ply.part.low, ply.part.high)
            passing.setdefault((ply.part, ends), []).append(n)
    points = shapely.points(np.array([screw.at for screw in frame.screws]).reshape(-1, 2))
    reach = factor * np.array([screw.size.diameter for screw in frame.screws])
    closest: dict[int, tuple[float, Part]] = {}
    for part, ends in sorted(passing, key=lambda key: (key[0].name, key[1])):
        some = np.array(passing[part, ends], dtype=np.intp)
        distances = _edge_distances(part.between(*sorted(ends)), points[some], reach[some])
        for n, distance in zip(some.tolist(), distances.tolist(), strict=True):
            if distance < reach[n] and distance < closest.get(n, (np.inf, part))[0] - COINCIDENT:
                closest[n] = (distance, part)
    return closest


def _edge_distances(
    wood: shapely.Geometry, points: NDArray[np.object_], reach: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Distances (n,) of points in the wood to the nearest of its edges, mm; infinite beyond `reach`."""
    boundary = wood.boundary
    shapely.prepare(boundary)
    out = np.full(len(points), np.inf)
    near = np.flatnonzero(shapely.dwithin(boundary, points, reach))
    out[near] = shapely.distance(boundary, points[near])
    return out

"""How easily all battens run with frames elsewhere: what tells a wrong station, and frames that are exchanged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

from ..boat.assembly import Assembly
from ..geometry.placement import Placement
from ..relations.battens.fairness import stiffness

Values = NDArray[np.float64]
Elsewhere = Mapping[str, Placement]
"""Frames by number, and where they would stand."""

_FEWEST = 4  # frames; through three any curve runs fairly
ENOUGH = 6
"""frames; from so many on it shows how a curve's bend changes, and one that is out of place by little."""

_PLAY = 1.0  # mm; so much any point may lie off: frames are drawn to less
_ROOM = 1.0  # mm along the boat; no two frames stand closer


@dataclass(frozen=True, kw_only=True, eq=False)
class Runs:
    """Lines that run along the boat through points (y, v) of its frames: battens, or else the frames' edges."""

    frames: tuple[str, ...]
    points: Values
    """(n, 2) mm, in the frames' planes."""

    @classmethod
    def of(cls, boat: Assembly) -> tuple[Runs, ...]:
        """The battens that pass enough frames; without two kinds of those the widest and the lowest of each core.

        Beside battens through many frames those through few do not count: how hard they bend is another measure.
        """
        battens = [each for each in boat.battens if len(each.sections) >= _FEWEST]
        battens = [each for each in battens if len(each.sections) >= ENOUGH] or battens
        if len({each.kind for each in battens}) > 1:
            return tuple(
                cls(
                    frames=tuple(section.frame for section in each.sections),
                    points=np.array([section.centre for section in each.sections]),
                )
                for each in battens
            )
        cores = {frame.number: shapely.union_all([part.shape for part in frame.core]) for frame in boat.frames}
        cores = {number: core for number, core in cores.items() if not core.is_empty}
        if len(cores) < _FEWEST:
            return ()
        boxes = np.array([core.bounds for core in cores.values()])
        numbers = tuple(cores)
        return tuple(
            cls(frames=numbers, points=points)
            for points in (boxes[:, [2, 1]], np.column_stack([np.zeros(len(boxes)), boxes[:, 1]]), boxes[:, [2, 3]])
        )


def effort(boat: Assembly, runs: Sequence[Runs], alternatives: Sequence[Elsewhere]) -> Values:
    """(m,) what it takes to bend all runs with frames elsewhere, for each of m alternatives; inf where two meet."""
    standing = {frame.number: frame.placement for frame in boat.frames}
    total = np.zeros(len(alternatives))
    for run in runs:
        places = [[there.get(number, standing[number]) for number in run.frames] for there in alternatives]
        station = np.array([[each.station for each in row] for row in places])
        rake = np.array([[each.rake for each in row] for row in places])
        x = station - np.sin(rake) * run.points[:, 1]
        points = np.stack([np.broadcast_to(run.points[:, 0], x.shape), np.cos(rake) * run.points[:, 1]], axis=2)
        order = np.argsort(x, axis=1)
        x = np.take_along_axis(x, order, axis=1)
        points = np.take_along_axis(points, order[:, :, None], axis=1)
        apart = np.diff(x, axis=1).min(axis=1) > _ROOM
        total[~apart] = np.inf
        if apart.any():
            degree = 3 if len(run.frames) >= ENOUGH else 2
            held = stiffness(x[apart], degree)
            held /= ((x[apart, -1:] - x[apart, :1]) / 2)[:, :, None] ** (2 * degree - 1)
            bent = np.sum(points[apart] * (held @ points[apart]), axis=(1, 2))
            total[apart] += bent + _PLAY**2 * np.trace(held, axis1=1, axis2=2)
    return np.maximum(total, COINCIDENT**4)

"""What is taken off a frame on the bench lies beside it on the board until it comes again."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.frame import Frame

_CLEAR = 14.0  # mm between what lies on the board
_STEP = 18.0  # mm from one place that is tried to the next
_FARTHEST = 900.0  # mm
_ROUND = 24  # directions

PLATES = frozenset({"gusset", "plate"})
"""What comes off when the screws are out: kinds of parts."""


@lru_cache(maxsize=32)
def beside(frame: Frame, up: float) -> dict[str, NDArray[np.float64]]:
    """By the names of the plates of a frame: how far (y, v, w) from its place each lies flat on the board, mm.

    `up` is 1 where the forward face is up, -1 where the aft one is. Each lies as near to its place as it can
    without lying on the core or on another.
    """
    plates = [part for part in frame.parts if part.role in PLATES]
    core = shapely.union_all([part.shape for part in frame.parts if part.role not in (*PLATES, "leg")])
    taken = shapely.buffer(shapely.simplify(core, 1.0), _CLEAR)
    # the board is under the lowest of all that lay on it
    depths = [frame.core_low, frame.core_high, *(w for part in plates for w in (part.low, part.high))]
    floor = min(w * up for w in depths)
    out: dict[str, NDArray[np.float64]] = {}
    for part in sorted(plates, key=lambda part: part.name):
        rough = shapely.simplify(part.shape, 1.0)
        by = _nearest_free(rough, taken)
        taken = shapely.union(taken, shapely.buffer(shapely.transform(rough, lambda p, by=by: p + by), _CLEAR))
        lowest = min(part.low * up, part.high * up)
        out[part.name] = np.array([*by, (floor - lowest) * up])
    return out


def _nearest_free(shape: shapely.Polygon, taken: shapely.Geometry) -> NDArray[np.float64]:
    """(2,): by how much the shape has to move to be clear of what is taken, the least that is tried."""
    shapely.prepare(taken)
    turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    for far in np.arange(_STEP, _FARTHEST, _STEP):
        moved = np.array([shapely.transform(shape, lambda p, by=by: p + by) for by in ways * far], dtype=object)
        free = ~shapely.intersects(taken, moved)
        if free.any():
            return np.asarray(ways[int(np.argmax(free))] * far)
    return np.array([0.0, -_FARTHEST])

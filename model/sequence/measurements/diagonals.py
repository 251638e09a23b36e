"""The two diagonals by which a frame is tried for true before it is glued."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from ...boat.frame import Frame

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonal:
    """A check dimension from corner to corner of the core, (y, v), `length` mm: `start` below, `end` above."""

    start: Point
    end: Point
    length: float


def diagonals(frame: Frame) -> tuple[Diagonal, ...]:
    """From the lower starboard corner of the core to the upper port one, and the other; none without a core.

    Corners of the wood as cut, so that a tape can be held to them: those outermost along the diagonals of its box.
    """
    if not frame.core:
        return ()
    corners = shapely.get_coordinates(shapely.convex_hull(shapely.union_all([part.shape for part in frame.core])))
    low, high = corners.min(axis=0), corners.max(axis=0)
    share = (corners - (low + high) / 2) / (high - low)
    out = []
    for side in (1.0, -1.0):
        reach = np.round(share @ np.array([side, 1.0]), 6)
        start, end = corners[int(np.argmin(reach))], corners[int(np.argmax(reach))]
        length = float(np.hypot(*(end - start)))
        out.append(
            Diagonal(start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1])), length=length)
        )
    return tuple(out)

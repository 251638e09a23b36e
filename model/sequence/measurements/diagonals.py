"""The two diagonals by which a frame is tried for true before it is glued."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from ...boat.assembly import Assembly
from ...boat.frame import Frame

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonal:
    """A check dimension from corner to corner of the core, (y, v), `length` mm: `start` below, `end` above.

    `play` is how far off it may be, mm: as far as a batten may stand off the wall of its notch, which is what the
    frame's shape is for.
    """

    start: Point
    end: Point
    length: float
    play: float


def diagonals(frame: Frame, assembly: Assembly) -> tuple[Diagonal, ...]:
    """From the lower starboard corner of the core to the upper port one, and the other; none of a core of one part.

    Corners of the wood as cut, so that a tape can be held to them: those outermost along the diagonals of its box.
    """
    if len(frame.core) < 2:
        return ()
    corners = shapely.get_coordinates(shapely.convex_hull(shapely.union_all([part.shape for part in frame.core])))
    low, high = corners.min(axis=0), corners.max(axis=0)
    share = (corners - (low + high) / 2) / (high - low)
    out = []
    for side in (1.0, -1.0):
        reach = np.round(share @ np.array([side, 1.0]), 6)
        start, end = corners[int(np.argmin(reach))], corners[int(np.argmax(reach))]
        length = float(np.hypot(*(end - start)))
        ends = ((float(x), float(y)) for x, y in (start, end))
        out.append(Diagonal(start=next(ends), end=next(ends), length=length, play=assembly.limits["notch_slack"]))
    return tuple(out)

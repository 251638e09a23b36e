"""Frames whose cores lie in one another's thickness."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.marks import Place
from scrieve.shared.tolerances import SLIVER

from ..boat.assembly import Assembly
from ..boat.frame import Frame

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnePlace:
    """Two frames, the aft one first, and what both take up of the boat's length: `depth` mm, there and its middle."""

    first: Frame
    second: Frame
    depth: float
    at: Place
    middle: Place


@kept
def in_one_place(assembly: Assembly) -> tuple[OnePlace, ...]:
    """Every two frames that share more than a sliver of the boat's length at one height."""
    out = []
    extents = [_Extent.of(frame) for frame in assembly.frames if frame.core]
    for a, b in combinations(sorted(extents, key=lambda each: each.aft + each.fore), 2):
        if a.aft > b.fore or b.aft > a.fore:
            continue
        shared = np.array([max(a.bottom, b.bottom), min(a.top, b.top)])
        depth, at, middle = a.common(b, shared)
        if shared[0] <= shared[1] and depth > SLIVER:
            out.append(OnePlace(first=a.frame, second=b.frame, depth=depth, at=at, middle=middle))
    return tuple(out)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Extent:
    """What the core of a frame takes up of the boat's length and height, mm, on the centreline."""

    frame: Frame
    bottom: float
    top: float
    aft: float
    fore: float

    @classmethod
    def of(cls, frame: Frame) -> _Extent:
        """Heights to within what the thickness adds in a raked frame."""
        c = float(np.cos(frame.placement.rake))
        bounds = shapely.total_bounds([part.shape for part in frame.core])
        bottom, top = float(bounds[1]) * c, float(bounds[3]) * c
        faces = _faces(frame, np.array([bottom, top]))
        return cls(frame=frame, bottom=bottom, top=top, aft=float(np.min(faces)), fore=float(np.max(faces)))

    def common(self, other: _Extent, z: Floats) -> tuple[float, Place, Place]:
        """The greatest length that both take up at one of two heights `z`, or between them; at which; its middle."""
        aft, fore = _faces(self.frame, z)
        other_aft, other_fore = _faces(other.frame, z)
        begin, end = np.maximum(aft, other_aft), np.minimum(fore, other_fore)
        worst = int(np.argmax(end - begin))
        at = (float(begin[worst] + end[worst]) / 2, 0.0, float(z[worst]))
        depth = float(end[worst] - begin[worst])
        middle, apart = at, aft - other_aft
        crossing = min(self.frame.core_thickness, other.frame.core_thickness)
        if apart[0] * apart[1] < 0 and crossing > depth:  # they change places in between
            share = float(apart[0] / (apart[0] - apart[1]))
            x, height = (float(ends[0] + share * (ends[1] - ends[0])) for ends in (aft, z))
            depth, middle = crossing, (x + crossing / 2, 0.0, height)
        return depth, at, middle


def _faces(frame: Frame, z: Floats) -> tuple[Floats, Floats]:
    """x of the aft and of the forward face of the core on the centreline at heights `z`, mm."""
    c, s = np.cos(frame.placement.rake), np.sin(frame.placement.rake)
    aft, fore = (frame.placement.station + (w - s * z) / c for w in (frame.core_low, frame.core_high))
    return aft, fore

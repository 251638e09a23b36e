"""What passes a frame lengthwise: the battens, frame by frame, and the rails of the strongback."""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np
import shapely

from scrieve.shared.kept import kept

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.strongback import Strongback
from ...geometry.placement import Placement
from ..notches.notch import Crossing, crossings

RailSide: TypeAlias = Literal["port", "starboard"]
RAILS: tuple[RailSide, ...] = ("port", "starboard")


def battens_passing(frame: Frame, assembly: Assembly) -> tuple[Crossing, ...]:
    """The crossings of all battens that pass this frame of the assembly, sorted by batten."""
    return _by_frame(assembly).get(frame, ())


@kept
def _by_frame(assembly: Assembly) -> dict[Frame, tuple[Crossing, ...]]:
    found: dict[Frame, list[Crossing]] = {}
    for batten in assembly.battens:
        if len(batten.sections) > 1:
            for crossing in crossings(batten, assembly.frames):
                found.setdefault(crossing.frame, []).append(crossing)
    return {frame: tuple(passing) for frame, passing in found.items()}


def rail_passage(
    strongback: Strongback, side: RailSide, placement: Placement, low: float, high: float
) -> shapely.Polygon | None:
    """All that a rail takes up in a frame's (y, v) between the planes `low` and `high`, mm.

    A rectangle, exact for an upright frame; None where the rail does not reach the frame.
    """
    (start, y0, z0), (end, y1, z1) = strongback.rail(side)
    c, s = float(np.cos(placement.rake)), float(np.sin(placement.rake))
    along = [placement.station + (w - s * z) / c for w in (low, high) for z in (z0, z1)]
    if max(along) <= start or min(along) >= end:
        return None
    up = [(z - s * w) / c for w in (low, high) for z in (z0, z1)]
    return shapely.box(y0, min(up), y1, max(up))

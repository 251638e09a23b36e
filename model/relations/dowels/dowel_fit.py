"""How each dowel of a frame stands to the core: in its wood, against it, or off it."""

from __future__ import annotations

import numpy as np
import shapely

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import exceeds, falls_short

from ...boat.frame import Frame
from ...boat.part import Part
from .contact import depths

_QUADRANT = 64  # segments a quarter turn of the path of a dowel's middle


def along_wood(wood: shapely.Geometry, diameter: float) -> shapely.Geometry:
    """The path (y, v) of the middle of a dowel that touches wood and stands in none of it."""
    return shapely.boundary(shapely.buffer(wood, diameter / 2, quad_segs=_QUADRANT))


@kept
def dowel_depths(frame: Frame) -> tuple[tuple[float, ...], ...]:
    """For each dowel of a frame how deep it stands in each part of the core, mm; negative: how far off it."""
    places = np.array([dowel.at for dowel in frame.dowels]).reshape(-1, 2)
    radii = np.array([dowel.diameter / 2 for dowel in frame.dowels])
    return tuple(tuple(row) for row in depths(places, radii, [part.shape for part in frame.core]).tolist())


def misfits(frame: Frame, foul: float, gap: float) -> tuple[list[int], list[int]]:
    """The numbers of the dowels deeper than `foul` in a part, and of those further than `gap` off every one, mm."""
    found = dowel_depths(frame)
    fouling = [n for n, row in enumerate(found) if exceeds(max(row, default=-np.inf), foul)]
    lone = [n for n, row in enumerate(found) if row and falls_short(max(row), -gap)]
    return fouling, lone


def unsure_parts(frame: Frame, foul: float, gap: float) -> set[Part]:
    """The core parts at which a dowel stands wrong: in the wood, or within its width of it and touching nothing."""
    fouling, lone = misfits(frame, foul, gap)
    found = dowel_depths(frame)
    return {
        part
        for n in (*fouling, *lone)
        for part, depth in zip(frame.core, found[n], strict=True)
        if depth > (foul if n in fouling else -frame.dowels[n].diameter)
    }

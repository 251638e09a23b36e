"""What a frame rests on when it is turned over on the assembly board."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from scrieve.shared.tolerances import SLIVER

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part

_CLEAR = 1.0  # mm, at most, that strips are higher than the dowels stand


@dataclass(frozen=True, slots=True, kw_only=True)
class Resting:
    """`strips` under the core, as high as the plates below it and higher than the dowels that stay in the board, mm.

    `packing` is what is under those plates on the board, each height once; empty where they lie on it. `dowels` is how
    high those stand, 0 without any.
    """

    strips: float
    packing: tuple[float, ...]
    dowels: float


def resting(frame: Frame, assembly: Assembly, below: Iterable[Part]) -> Resting | None:
    """What this frame rests on with these plates below its core; None where it lies on the board itself."""
    out = sorted({round(standing_out(plate, frame), 3) for plate in below}, reverse=True)
    out = [each for each in out if each > SLIVER]
    dowels = dowel_stands(assembly) if frame.dowels else 0.0
    strips = max([*out, float(np.floor(dowels)) + _CLEAR if dowels else 0.0])
    if strips <= 0.0:
        return None
    packing = tuple(round(strips - each, 3) for each in out if strips - each > SLIVER)
    return Resting(strips=strips, packing=packing, dowels=dowels)


def standing_out(plate: Part, frame: Frame) -> float:
    """How far a plate stands out of the face of the core that it lies on, mm; negative where it ends below it."""
    return plate.high - frame.core_high if plate.face == "forward" else frame.core_low - plate.low


def dowel_stands(assembly: Assembly) -> float:
    """How high dowels may stand, mm: the thinnest core they hold, since higher ones hold the plates off it."""
    return min((frame.core_thickness for frame in assembly.frames if frame.dowels), default=0.0)

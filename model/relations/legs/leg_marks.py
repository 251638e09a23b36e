"""Marks of legs and the rails that they stand on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np

from scrieve.shared.marks import Line, Region

from ...boat.evidence import Marker
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.strongback import Strongback
from ..fouls.passing import rail_passage


def in_rail(marker: Marker, ply: Part, side: Literal["port", "starboard"], strongback: Strongback) -> Iterator[Region]:
    """What a ply of a leg and the rail on its side both fill."""
    passage = rail_passage(strongback, side, marker.frame.placement, ply.low, ply.high)
    if passage is not None:
        yield from marker.common(ply.shape, passage, ply.low, ply.high)


def on_rail(frame: Frame, side: Literal["port", "starboard"], strongback: Strongback, w: float) -> Line:
    """The line on which a leg should stand: across the rail, on the datum plane, at the depth `w` of the frame."""
    v = -float(np.tan(frame.placement.rake)) * w
    outboard = 1.0 if side == "port" else -1.0
    near = strongback.inside_width / 2
    return Marker(frame=frame, w=w).line([(outboard * y, v) for y in (near, near + strongback.width)])

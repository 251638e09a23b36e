"""Marks on the strongback, measured from the end of its rails, and how each frame stands on them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.frame import Frame

StationFace = Literal["aft face", "forward face", "middle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RailMark:
    """The mark of one frame, mm. `from_end` is from the aft end of the rails, of the aftmost frame without rails.

    `face` of the core stands on it, at the level of the rail tops. `apart` is from the mark of the frame before,
    `clear` from that one's core to this one's there; both None for the first. `lowest` is how far the core's lowest
    edge is off the rail tops, None without a core. `lean` is the rake in radians, positive where the upper end leans
    aft.
    """

    frame: str
    face: StationFace
    from_end: float
    apart: float | None
    clear: float | None
    lowest: float | None
    lean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RailLayout:
    """All marks, aft first, and the rails: `length` of each, mm, None without any.

    `diagonal` is across the tops of the rails, from outer corner to outer corner: equal both ways when they are square.
    """

    marks: tuple[RailMark, ...]
    length: float | None
    diagonal: float | None


def rail_layout(assembly: Assembly) -> RailLayout:
    """What is marked on the strongback of a boat."""
    rails, frames = assembly.strongback, assembly.frames
    zero = rails.start if rails is not None else min((f.placement.station for f in frames), default=0.0)
    before = {later: earlier for earlier, later in pairwise(frames)}
    marks = tuple(_mark(frame, before.get(frame), zero, assembly) for frame in frames)
    if rails is None:
        return RailLayout(marks=marks, length=None, diagonal=None)
    length, breadth = rails.end - rails.start, rails.inside_width + 2 * rails.width
    return RailLayout(marks=marks, length=length, diagonal=float(np.hypot(length, breadth)))


def _mark(frame: Frame, before: Frame | None, zero: float, assembly: Assembly) -> RailMark:
    own = _faces(frame)
    return RailMark(
        frame=frame.name,
        face=station_face(frame),
        from_end=frame.placement.station - zero,
        apart=None if before is None else frame.placement.station - before.placement.station,
        clear=None if before is None else own[0] - _faces(before)[1],
        lowest=lowest_edge(frame, assembly) if frame.core else None,
        # upside down, what leans aft with its deck leans forward with its bottom, which is up
        lean=frame.placement.rake * (1.0 if assembly.build == "upright" else -1.0),
    )


def _faces(frame: Frame) -> tuple[float, float]:
    """Where the aft and the forward face of a core are along the boat at the level of the rail tops, mm."""
    c = float(np.cos(frame.placement.rake))
    return frame.placement.station + frame.core_low / c, frame.placement.station + frame.core_high / c


def station_face(frame: Frame) -> StationFace:
    """Which face of the core stands on the station."""
    if abs(frame.core_low) <= COINCIDENT:
        return "aft face"
    return "forward face" if abs(frame.core_high) <= COINCIDENT else "middle"


def lowest_edge(frame: Frame, assembly: Assembly) -> float:
    """mm from the datum plane to the nearest edge of the core."""
    corners = np.concatenate(
        [
            np.column_stack([np.asarray(part.shape.exterior.coords), np.full(len(part.shape.exterior.coords), w)])
            for part in frame.core
            for w in (part.low, part.high)
        ]
    )
    heights = frame.placement.to_hull(corners)[:, 2]
    return float(heights.min() if assembly.build == "upright" else -heights.max())

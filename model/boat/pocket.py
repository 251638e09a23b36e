"""A pocket: what is cut out of a part to a depth, from one of its faces: a rebate, a lap, a seat for what is let in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import shapely

from scrieve.shared.findings import Source

from ..geometry.outline import Outline

PocketFace = Literal["forward", "aft"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pocket:
    """`drawn`, with the islands `holes` in it, is cut `depth` mm deep into a `face` of one part; (y, v), mm.

    It may reach past the part's edge. `shape` is what is really cut out of the part's outline: in inside corners that
    the cutter does not reach wood stays. `layer` is the drawing's.
    """

    face: PocketFace
    depth: float
    drawn: Outline
    drawn_shape: shapely.Polygon
    shape: shapely.Geometry
    layer: str
    source: Source
    holes: tuple[Outline, ...] = ()

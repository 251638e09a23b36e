"""How the plies of a leg are measured: edges, tongue, lap, and where across the frame it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from ...boat.assembly import Assembly
from ...boat.frame import Frame, Leg
from ...boat.part import Face, Part
from ...geometry.edge import Edges
from ...relations.legs.leg import footings

_LEAST = 15.0  # mm; a shorter upright edge is that of a relief or a chamfer
_UPRIGHT = np.cos(np.radians(20.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LegPlyLength:
    """One ply: `outer` and `inner` edge from its foot on the rail to its head, mm; `tongue` what hangs below that.

    `whole` is its length over all. Without rails the foot is its lowest place; an edge is None where it has none
    upright. `lap` is how far it lies on the core, mm. `across` are its inner and outer edge from the centreline, mm.
    """

    name: str
    face: Face
    outer: float | None
    inner: float | None
    tongue: float
    whole: float
    lap: float
    across: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LegLength:
    """A leg by its plies. `rail` is how far its locating edge is from the centreline, mm, None where it has none.

    `tongue` is how broad its tongue is, mm: what a screw passes from its inboard edge to the rail; None without one.

    `off_core` is how far its feet are from the lowest edge of the core, in the frame's plane, mm; None without a core.
    """

    name: str
    side: Literal["port", "starboard"]
    plies: tuple[LegPlyLength, ...]
    rail: float | None
    tongue: float | None
    off_core: float | None


def leg_lengths(frame: Frame, assembly: Assembly) -> tuple[LegLength, ...]:
    """The legs of a frame, port before starboard."""
    return tuple(_leg(leg, frame, assembly) for leg in frame.legs)


def _leg(leg: Leg, frame: Frame, assembly: Assembly) -> LegLength:
    rails = assembly.strongback
    found = {} if rails is None else {f.ply: f for f in footings(leg, frame, rails, assembly.cutter_diameter)}
    up = 1.0 if assembly.build == "upright" else -1.0
    core = shapely.union_all([part.shape for part in frame.core])
    plies, feet, tongues = [], [], []
    located = [f.locating for f in found.values() if f.locating is not None]
    for ply in leg.plies:
        footing = found.get(ply)
        bearing = None if footing is None else footing.bearing
        foot = _low(ply, up) if bearing is None else up * bearing.inner[1]
        plies.append(_ply(ply, foot, up, core))
        feet.append(foot)
        tongues += _tongue(ply, foot - plies[-1].tongue / 2, up) if plies[-1].tongue > _LEAST else []
    rail = None if not located else abs(located[0].ends[0][0])
    low = min((_low(part, up) for part in frame.core), default=None)
    off = None if low is None else low - min(feet)
    tongue = min(tongues, default=None)
    return LegLength(name=leg.name, side=leg.side, plies=tuple(plies), rail=rail, tongue=tongue, off_core=off)


def _tongue(ply: Part, height: float, up: float) -> list[float]:
    """How broad a ply is at a height, mm, where it is there."""
    left, _, right, _ = ply.shape.bounds
    line = shapely.LineString([(left - 1.0, up * height), (right + 1.0, up * height)])
    return [length] if (length := float(shapely.intersection(ply.shape, line).length)) > 0.0 else []


def _low(ply: Part, up: float) -> float:
    return float((up * ply.drawn.flattened()[:, 1]).min())


def _ply(ply: Part, foot: float, up: float, core: shapely.Geometry) -> LegPlyLength:
    corners = ply.drawn.flattened()
    heights, across = up * corners[:, 1], np.abs(corners[:, 0])
    heads = dict(_edges(ply, up))
    lap = 0.0
    on_core = shapely.intersection(ply.shape, core)
    if ply.face != "core" and not on_core.is_empty:
        lap = _lap(ply, core, on_core.bounds[1], on_core.bounds[3])
    return LegPlyLength(
        name=ply.name,
        face=ply.face,
        outer=heads["outer"] - foot if "outer" in heads else None,
        inner=heads["inner"] - foot if "inner" in heads else None,
        tongue=max(foot - float(heights.min()), 0.0),
        whole=float(np.ptp(heights)),
        lap=lap,
        across=(float(across.min()), float(across.max())),
    )


def _lap(ply: Part, core: shapely.Geometry, low: float, high: float) -> float:
    """The least upright length of a ply that lies on the core, mm, over its breadth."""
    left, _, right, _ = ply.shape.bounds
    lines = [shapely.LineString([(y, low - 1.0), (y, high + 1.0)]) for y in np.linspace(left + 0.01, right - 0.01, 5)]
    return min(float(shapely.intersection(shapely.intersection(ply.shape, core), line).length) for line in lines)


def _edges(ply: Part, up: float) -> Iterator[tuple[str, float]]:
    """How high the outermost upright edge and the innermost reach."""
    edges = Edges.of_ring(ply.drawn.flattened())
    upright = edges.only((np.abs(edges.along[:, 1]) > _UPRIGHT) & (edges.lengths > _LEAST))
    if not len(upright):
        return
    across = np.abs(upright.starts[:, 0] + upright.ends[:, 0]) / 2
    tops = np.maximum(up * upright.starts[:, 1], up * upright.ends[:, 1])
    yield "outer", float(tops[int(np.argmax(np.round(across, 3)))])
    yield "inner", float(tops[int(np.argmin(np.round(across, 3)))])

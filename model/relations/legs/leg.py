"""The edges by which a leg stands on the strongback: its bearing edge and its locating edge.

Both are looked for on the outlines as drawn. Two kinds of leg are known: one that stands on the rail
with its inner edge in line with the rail's inner face, and one whose tongue hangs inside the rail and
whose shoulder stands on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import JOINT_REACH, PARALLEL, SLIVER, USUAL_CUTTER

from ...boat.frame import Frame, Leg
from ...boat.part import Part
from ...boat.strongback import Strongback
from ...geometry.edge import Edges
from ...geometry.placement import Placement

_LEAST = 3.0
"""mm; a shorter straight piece is a chamfer or a chord of an arc, not an edge to stand on."""

_RELIEF = 2.0
"""cutter diameters; how far a relief in the corner may part the locating edge from the bearing edge."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bearing:
    """The edge of a ply that faces the rail: its inner and outer end (y, v), mm.

    `heights` are how far those ends stand off the rail's top, mm, negative where they reach into it.
    They are taken at a corner that touches first, at the `depth` w, which only in a raked frame differs from face to
    face: that of the leg's whole thickness for plies cut flush, or each ply's own where all are cut to stand on that.
    """

    inner: Point
    outer: Point
    heights: tuple[float, float]
    depth: float
    edges: Edges

    @property
    def worst(self) -> float:
        """The height furthest from 0."""
        return max(self.heights, key=abs)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Locating:
    """The edge of a ply that meets the rail's inner face, by its ends (y, v), mm.

    `offsets` are how far the ends lie outboard of that face, mm, negative inboard. `hangs` is true for
    the outer edge of a tongue inside the rail, false for the inner edge of a leg that stands on it.
    """

    ends: tuple[Point, Point]
    offsets: tuple[float, float]
    hangs: bool
    edges: Edges

    @property
    def worst(self) -> float:
        """The offset furthest from 0."""
        return max(self.offsets, key=abs)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Footing:
    """How one ply of a leg stands; each edge None where the outline has none such."""

    ply: Part
    bearing: Bearing | None
    locating: Locating | None


@kept
def footings(leg: Leg, frame: Frame, strongback: Strongback, cutter_diameter: float) -> tuple[Footing, ...]:
    """How the plies of a leg stand, by name.

    Where some plies have a tongue and others none, those with a tongue locate the leg; the others'
    inner edges are free and count for nothing. Without a cutter (0) reliefs are taken for the usual one's.
    """
    reach = max(_RELIEF * (cutter_diameter or USUAL_CUTTER), JOINT_REACH)
    rings = [Edges.of_ring(ply.drawn.flattened()) for ply in leg.plies]
    bearings = min(
        (
            [_bearing(edges, leg.side, w, frame.placement, strongback) for edges, w in zip(rings, depths, strict=True)]
            for depths in _depths(leg, frame.placement, strongback)
        ),
        key=lambda these: max((abs(b.worst) for b in these if b is not None), default=0.0),
    )
    out = []
    for ply, edges, bearing in zip(leg.plies, rings, bearings, strict=True):
        locating = None if bearing is None else _locating(edges, bearing, leg.side, strongback, reach)
        out.append(Footing(ply=ply, bearing=bearing, locating=locating))
    if any(f.locating is not None and f.locating.hangs for f in out):
        out = [f if f.locating and f.locating.hangs else _free(f) for f in out]
    return tuple(out)


def _free(footing: Footing) -> Footing:
    return Footing(ply=footing.ply, bearing=footing.bearing, locating=None)


def _sign(side: Literal["port", "starboard"]) -> float:
    return 1.0 if side == "port" else -1.0


def _depths(leg: Leg, placement: Placement, strongback: Strongback) -> list[list[float]]:
    """The depths at which plies may touch the rails first: of one flush leg, and of a raked one each its own."""
    flush = [_first_face(leg.plies, placement, strongback)] * len(leg.plies)
    return [flush, [_first_face([ply], placement, strongback) for ply in leg.plies]] if placement.rake else [flush]


def _bearing(
    edges: Edges, side: Literal["port", "starboard"], depth: float, placement: Placement, strongback: Strongback
) -> Bearing | None:
    """The level edge over the rail that is nearest to it, with all pieces in line with it."""
    outboard = _sign(side)
    rail_low = strongback.inside_width / 2
    y = np.sort(np.column_stack([edges.starts[:, 0], edges.ends[:, 0]]) * outboard, axis=1)
    shared = np.minimum(y[:, 1], rail_low + strongback.width) - np.maximum(y[:, 0], rail_low)
    faces = edges.facing[:, 1] * strongback.down > np.cos(PARALLEL)
    over = edges.only(faces & (shared > _LEAST))
    if not len(over):
        return None
    first = int(np.argmin(np.abs(_heights((over.starts + over.ends) / 2, depth, placement, strongback))))
    line = over.starts[first]
    way = over.facing[first]
    in_line = (np.abs((over.starts - line) @ way) < SLIVER) & (np.abs((over.ends - line) @ way) < SLIVER)
    pieces = over.only(in_line)
    ends = np.concatenate([pieces.starts, pieces.ends])
    order = np.argsort(ends[:, 0] * outboard)
    inner, outer = ends[order[0]], ends[order[-1]]
    heights = _heights(np.stack([inner, outer]), depth, placement, strongback)
    return Bearing(
        inner=_point(inner),
        outer=_point(outer),
        heights=(float(heights[0]), float(heights[1])),
        depth=depth,
        edges=pieces,
    )


def _first_face(plies: Sequence[Part], placement: Placement, strongback: Strongback) -> float:
    """The depth of the face of these plies together that touches the rails first."""
    faces = (min(ply.low for ply in plies), max(ply.high for ply in plies))
    low, high = (_heights(np.zeros((1, 2)), w, placement, strongback)[0] for w in faces)
    return faces[0] if low <= high else faces[1]


def _heights(
    points: NDArray[np.float64], w: float, placement: Placement, strongback: Strongback
) -> NDArray[np.float64]:
    """(n,) mm: how far points (y, v) at a depth stand off the rail."""
    placed = placement.to_hull(np.column_stack([points, np.full(len(points), w)]))
    return np.asarray(-strongback.down * placed[:, 2])


def _locating(
    edges: Edges, bearing: Bearing, side: Literal["port", "starboard"], strongback: Strongback, reach: float
) -> Locating | None:
    """The upright edge next to the bearing edge's inner end: a tongue's outer edge first, else the inner edge."""
    outboard = _sign(side)
    inner = np.array(bearing.inner)
    towards_rail = strongback.down
    for hangs in (True, False):
        # a tongue faces the rail and reaches past the bearing edge; an inner edge faces inboard and goes away from it
        faces = edges.facing[:, 0] * outboard * (1.0 if hangs else -1.0) > np.cos(PARALLEL)
        past = (edges.starts[:, 1] + edges.ends[:, 1] - 2 * inner[1]) / 2 * towards_rail
        apart = _distances(inner, edges)
        fits = faces & (past > 0 if hangs else past < 0) & (edges.lengths > _LEAST)
        fits &= hangs | (apart <= reach)  # only a tongue goes past the rail's top: wherever its edge is, it is the one
        if fits.any():
            found = edges.only(np.array([int(np.argmin(np.where(fits, apart, np.inf)))]))
            ends = (_point(found.starts[0]), _point(found.ends[0]))
            offsets = [y * outboard - strongback.inside_width / 2 for y, _ in ends]
            return Locating(ends=ends, offsets=(offsets[0], offsets[1]), hangs=hangs, edges=found)
    return None


def _distances(point: NDArray[np.float64], edges: Edges) -> NDArray[np.float64]:
    """(n,) mm: from a point to each edge."""
    lengths = edges.lengths
    share = np.clip(np.sum((point - edges.starts) * edges.along, axis=1), 0.0, lengths)
    return np.asarray(np.hypot(*(edges.starts + share[:, None] * edges.along - point).T))


def _point(values: NDArray[np.float64]) -> Point:
    return float(values[0]), float(values[1])

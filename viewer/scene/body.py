"""A body: one solid of the boat as triangles and the edges that are drawn."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.part import Part
from scrieve.shared.tolerances import CHORD_TURN

from .kinds import Kind
from .kinds import State as State

_SAME = 0.01  # mm; walls of two levels that are closer are one

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """One solid. `points` (n, 3) hull axes, mm; `triangles` (m, 3) and `edges` (k, 2) are numbers of points.

    Triangles face outwards. `frame` is the number of the frame it belongs to, "" for battens and rails.
    `outward` is the unit direction in which it leaves its frame when the frame is spread, zero for the core.
    """

    name: str
    kind: Kind
    frame: str
    points: Points
    triangles: Indices
    edges: Indices
    outward: tuple[float, float, float] = (0.0, 0.0, 0.0)


Mesh = tuple[Points, Indices, Indices]
"""Points, triangles, edges."""


def prism_mesh(shape: shapely.Polygon, low: float, high: float) -> Mesh:
    """`shape` in (y, v) from `low` to `high` along w: frame coordinates (y, v, w), mm.

    Its rims are drawn, and the edges between them wherever the outline turns by more than a chord of an arc.
    """
    shape = shapely.orient_polygons(shape)
    rings = [np.asarray(shapely.get_coordinates(ring))[:-1] for ring in (shape.exterior, *shape.interiors)]
    flat = np.concatenate(rings)
    n = len(flat)
    top = np.asarray(manifold3d.triangulate(rings), dtype=np.int64)
    points = np.concatenate([np.column_stack([flat, np.full(n, w)]) for w in (low, high)])
    here, beside = _round_about([len(ring) for ring in rings])
    walls = np.concatenate([np.column_stack([here, beside, beside + n]), np.column_stack([here, beside + n, here + n])])
    rims = np.column_stack([here, beside])
    corners = here[np.concatenate([_turns(ring) for ring in rings])]
    edges = np.concatenate([rims, rims + n, np.column_stack([corners, corners + n])])
    return points, np.concatenate([top[:, ::-1], top + n, walls]), edges


def part_mesh(part: Part) -> Mesh:
    """A part, its pockets cut out, in frame coordinates (y, v, w), mm."""
    if not part.pockets:
        return prism_mesh(part.shape, part.low, part.high)
    pieces: list[Mesh] = []
    below: shapely.Geometry = shapely.Polygon()
    nothing = part.high, part.high, shapely.Polygon()
    for low, high, shape in (*part.slices, nothing):
        up, down = shapely.difference(below, shape), shapely.difference(shape, below)
        pieces += [_flat_mesh(piece, low, up=True) for piece in _polygons(up)]
        pieces += [_flat_mesh(piece, low, up=False) for piece in _polygons(down)]
        for one, other in ((below.boundary, shape.boundary), (shape.boundary, below.boundary)):
            # a wall that goes on has no edge
            pieces.append(_rim_mesh(shapely.difference(one, shapely.buffer(other, _SAME)), low))
        for piece in _polygons(shape):
            points, triangles, edges = prism_mesh(piece, low, high)
            walls, rims = len(points), len(points)  # two triangles of each side, and two lines
            pieces.append((points, triangles[-walls:], edges[rims:]))
        below = shape
    starts = np.cumsum([0, *(len(points) for points, _, _ in pieces)])
    joined = list(zip(pieces, starts.tolist(), strict=False))
    return (
        np.concatenate([points for points, _, _ in pieces]),
        np.concatenate([triangles + start for (_, triangles, _), start in joined]),
        np.concatenate([edges + start for (_, _, edges), start in joined]),
    )


def _polygons(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """The polygons of a shape that are wide enough to be seen."""
    pieces = [piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon"]
    return [piece for piece in pieces if 2 * piece.area > _SAME * piece.length]


def _flat_mesh(shape: shapely.Polygon, w: float, *, up: bool) -> Mesh:
    """A face square to w."""
    shape = shapely.orient_polygons(shape)
    rings = [np.asarray(shapely.get_coordinates(ring))[:-1] for ring in (shape.exterior, *shape.interiors)]
    flat = np.concatenate(rings)
    top = np.asarray(manifold3d.triangulate(rings), dtype=np.int64).reshape(-1, 3)
    points = np.column_stack([flat, np.full(len(flat), w)])
    return points, top if up else top[:, ::-1], np.zeros((0, 2), dtype=np.int64)


def _rim_mesh(lines: shapely.Geometry, w: float) -> Mesh:
    """Lines at w that are drawn."""
    flat, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
    here = np.flatnonzero(line[1:] == line[:-1])
    edges = np.column_stack([here, here + 1]).astype(np.int64)
    return np.column_stack([flat, np.full(len(flat), w)]), np.zeros((0, 3), dtype=np.int64), edges


def round_mesh(depths: Points, radii: Points, sides: int) -> Mesh:
    """The solid of revolution about w with these `radii` at these `depths` (both (k,)), closed at both ends."""
    turns = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([np.cos(turns), np.sin(turns)])
    points = np.concatenate(
        [np.column_stack([ring * r, np.full(sides, w)]) for w, r in zip(depths, radii, strict=True)]
    )
    triangles = _tube(len(depths), sides)
    if depths[-1] < depths[0]:
        triangles = triangles[:, ::-1]
    here = np.arange(sides)
    return points, triangles, np.column_stack([here, np.roll(here, -1)])


def swept_mesh(rings: Points, drawn: Indices) -> Mesh:
    """The solid through (m, k, 3) rings; of the lines along it those at the ring's corners `drawn` are drawn."""
    m, k, _ = rings.shape
    here = np.arange(k)
    rim = np.column_stack([here, np.roll(here, -1)])
    along = [np.column_stack([np.arange(m - 1) * k + d, np.arange(1, m) * k + d]) for d in drawn]
    return rings.reshape(-1, 3), _tube(m, k), np.concatenate([rim, rim + (m - 1) * k, *along])


def box_mesh(least: tuple[float, float, float], greatest: tuple[float, float, float]) -> Mesh:
    """A box between two corners, hull axes."""
    (x0, y0, z0), (x1, y1, z1) = least, greatest
    ring = np.array([(y0, z0), (y1, z0), (y1, z1), (y0, z1)])
    rings = np.stack([np.column_stack([np.full(4, x), ring]) for x in (x0, x1)])
    return swept_mesh(rings, np.arange(4))


def _tube(m: int, k: int) -> Indices:
    """Triangles of m rings of k points, run counter-clockwise as seen from the last, and of two caps."""
    here = np.arange(k)
    beside = np.roll(here, -1)
    faces = []
    for i in range(m - 1):
        a, b = i * k, (i + 1) * k
        faces += [
            np.column_stack([a + here, a + beside, b + beside]),
            np.column_stack([a + here, b + beside, b + here]),
        ]
    fan = np.column_stack([np.zeros(k - 2, dtype=np.int64), here[1:-1], here[2:]])
    return np.concatenate([*faces, fan[:, ::-1], fan + (m - 1) * k])


def _round_about(lengths: list[int]) -> tuple[Indices, Indices]:
    """The numbers of all corners, ring after ring, and of the corner that follows each."""
    starts = np.cumsum([0, *lengths[:-1]])
    here = np.arange(sum(lengths))
    beside = np.concatenate([start + np.roll(np.arange(n), -1) for start, n in zip(starts, lengths, strict=True)])
    return here, beside


def _turns(ring: Points) -> NDArray[np.bool_]:
    """Which corners of a ring turn by more than those of a flattened arc."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.abs(np.arctan2(cross, np.sum(before * after, axis=1))) > CHORD_TURN)

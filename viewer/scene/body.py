"""A body: one solid of the boat as triangles and the edges that are drawn."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import CHORD_TURN

from .kinds import Kind
from .kinds import State as State

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

"""Meshes of the solids that marks carry, and the box around points. Hull axes, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.marks import Axis, Polyhedron, Prism

from .body import Indices, Mesh, Points, prism_mesh, round_mesh

Solid = tuple[Points, Indices]
"""Points and triangles."""

_SIDES = 48
_CREASE = 0.94  # cosine of the turn from which an edge between two faces is drawn


def mesh_of(solid: Prism | Polyhedron) -> Mesh:
    """The mesh of a solid; only a prism has drawn edges."""
    if isinstance(solid, Polyhedron):
        triangles = np.array(solid.triangles, dtype=np.int64)
        return np.array(solid.corners), triangles, np.empty((0, 2), dtype=np.int64)
    start = np.array(solid.rings[0][0])
    axes = _axes(solid.through)
    outer, *holes = (np.subtract(ring, start) @ axes[:, :2] for ring in solid.rings)
    points, triangles, edges = prism_mesh(shapely.Polygon(outer, holes), 0.0, float(np.linalg.norm(solid.through)))
    return start + points @ axes.T, triangles, edges


def cylinder(axis: Axis) -> Mesh:
    """What is round about an axis, its two rims drawn."""
    along = np.subtract(axis.end, axis.start)
    radii = np.full(2, axis.diameter / 2)
    points, triangles, rim = round_mesh(np.array([0.0, np.linalg.norm(along)]), radii, _SIDES)
    return axis.start + points @ _axes(along).T, triangles, np.concatenate([rim, rim + _SIDES])


def _axes(normal: ArrayLike) -> Points:
    """(3, 3): two directions square to a normal, and the normal, as columns; right-handed unit vectors."""
    third = np.asarray(normal) / np.linalg.norm(normal)
    first = np.cross(np.eye(3)[np.abs(third).argmin()], third)
    first /= np.linalg.norm(first)
    return np.column_stack([first, np.cross(third, first), third])


def together(solids: Sequence[Solid]) -> Solid:
    """Several as one; at least one."""
    starts = np.cumsum([0, *(len(points) for points, _ in solids)])
    faces = [triangles + start for (_, triangles), start in zip(solids, starts[:-1], strict=True)]
    return np.concatenate([points for points, _ in solids]), np.concatenate(faces)


def normals_of(points: Points, triangles: Indices) -> Points:
    """(m, 3): the unit vectors out of the triangles."""
    corners = points[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12))


def edges_of(triangles: Indices) -> tuple[Indices, Indices]:
    """(k, 2) numbers of points of every edge, and (k, 2) of the triangles on its two sides."""
    ends = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    owner = np.tile(np.arange(len(triangles)), 3)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ends, owner = ends[order], owner[order]
    alike = np.flatnonzero(np.all(ends[1:] == ends[:-1], axis=1))
    return ends[alike], np.column_stack([owner[alike], owner[alike + 1]])


def are_sharp(normals: Points, beside: Indices) -> NDArray[np.bool_]:
    """Which edges between two triangles (k, 2) are drawn, since the surface turns there."""
    return np.asarray(np.einsum("ij,ij->i", normals[beside[:, 0]], normals[beside[:, 1]]) < _CREASE)


def creases(points: Points, triangles: Indices) -> Indices:
    """(k, 2): the edges of a closed mesh at which it turns, by the numbers of their points."""
    edges, beside = edges_of(triangles)
    return edges[are_sharp(normals_of(points, triangles), beside)]


def around(points: Iterable[ArrayLike], past: float = 0.0) -> Points:
    """(8, 3): the corners of the box around all these points, and so much past them, mm."""
    every = np.concatenate([np.asarray(each, dtype=np.float64).reshape(-1, 3) for each in points])
    low, high = every.min(axis=0) - past, every.max(axis=0) + past
    return np.array([(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])

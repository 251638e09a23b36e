"""Meshes of the solids that marks carry, and the box around points. Hull axes, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.marks import Axis, Polyhedron, Prism

from .body import Mesh, Points, prism_mesh, round_mesh

Solid = tuple[Points, NDArray[np.int64]]
"""Points and triangles."""

_SIDES = 48


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


def around(points: Iterable[ArrayLike], past: float = 0.0) -> Points:
    """(8, 3): the corners of the box around all these points, and so much past them, mm."""
    every = np.concatenate([np.asarray(each, dtype=np.float64).reshape(-1, 3) for each in points])
    low, high = every.min(axis=0) - past, every.max(axis=0) + past
    return np.array([(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])

"""How deep two solids overlap, where they do not lie in one frame's plane."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, SLIVER

from .solid import Solid

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SolidOverlap:
    """An overlap of two solids, hull axes: `depth` mm, its middle `at`, and the unit direction of the depth.

    `depth` is the least width of the overlap's convex hull over the normals of the hull's faces: exact
    for boxes, and for any overlap that is least wide between a face and what lies opposite it; never
    too small. `way` points forward, or to port, or up. `piece` is the overlap itself.
    """

    depth: float
    at: tuple[float, float, float]
    way: tuple[float, float, float]
    piece: Solid


def solid_overlaps(a: Solid, b: Solid) -> list[SolidOverlap]:
    """Every separate overlap of two solids, slivers left out, sorted by place; touching faces give none."""
    out = []
    for piece in (a ^ b).decompose():
        found = _measured(piece)
        if found is not None and found.depth >= SLIVER:
            out.append(found)
    return sorted(out, key=lambda overlap: overlap.at)


def deepest_solid(a: Solid, b: Solid) -> SolidOverlap | None:
    """The deepest overlap of two solids; None where they only touch, or overlap by less than a sliver."""
    return max(solid_overlaps(a, b), key=lambda overlap: (overlap.depth, overlap.at), default=None)


def _measured(piece: Solid) -> SolidOverlap | None:
    hull = piece.hull()
    if hull.status() != manifold3d.Error.NoError or hull.volume() <= 0.0:
        return None
    mesh = hull.to_mesh64()
    corners = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    triangles = corners[np.asarray(mesh.tri_verts, dtype=np.int64)]
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(normals, axis=1)
    # the normal of a needle among the triangles is noise; what faces that way has larger ones beside it
    real = size > 1e-9 * size.max()
    normals = normals[real] / size[real][:, None]
    heights = normals @ corners.T
    widths = heights.max(axis=1) - heights.min(axis=1)
    if widths.min() < SLIVER:  # may be so thin that its volume, and with it its centre, is lost in rounding
        return None
    way = _chosen(normals[widths <= widths.min() + COINCIDENT])
    x, y, z = _centre(triangles)
    return SolidOverlap(depth=float(widths.min()), at=(float(x), float(y), float(z)), way=way, piece=piece)


def _chosen(ways: Floats) -> tuple[float, float, float]:
    """Of equally good unit ways (n, 3), either way round, the one most forward, then most to port, then up."""
    rounded = np.round(ways, 9)
    lead = np.take_along_axis(rounded, np.argmax(rounded != 0.0, axis=1)[:, None], axis=1)
    onward = ways * np.where(lead < 0.0, -1.0, 1.0)
    best = max(range(len(onward)), key=lambda n: tuple(np.round(onward[n], 6)))
    x, y, z = (float(c) + 0.0 for c in onward[best])
    return x, y, z


def _centre(triangles: Floats) -> Floats:
    """The centre of volume of a closed mesh (n, 3, 3), from tetrahedra on one of its corners."""
    base = triangles[0, 0]
    a, b, c = (triangles[:, n] - base for n in range(3))
    volumes = np.sum(a * np.cross(b, c), axis=1)
    return np.asarray(base + np.sum(volumes[:, None] * (a + b + c) / 4, axis=0) / volumes.sum())

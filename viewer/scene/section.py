"""A section: what a transverse plane cuts of bodies, as flat outlines, triangles and hatching."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

from ..marks.hatch import hatching
from .body import Body

_HATCH = 12.0
"""mm between the lines of the hatching."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutFace:
    """A body's cut face. `points` (n, 3) hull axes, mm; the others are numbers of them.

    `triangles` (m, 3) fill it, `outline` (k, 2) goes round it, `hatching` (j, 2) lies in it.
    """

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    outline: NDArray[np.int64]
    hatching: NDArray[np.int64]


def solid(body: Body) -> manifold3d.Manifold:
    """The body with x as its third axis, as sections want it: (y, z, x)."""
    points = np.ascontiguousarray(body.points[:, [1, 2, 0]])
    return manifold3d.Manifold(manifold3d.Mesh64(points, np.ascontiguousarray(body.triangles, dtype=np.uint64)))


def cut_face(body: manifold3d.Manifold, x: float) -> CutFace | None:
    """What the plane at `x` (mm) cuts of a body turned by `solid`; None if it passes it by."""
    rings = [np.asarray(ring, dtype=np.float64) for ring in body.slice(x).to_polygons()]
    rings = [ring for ring in rings if len(ring) >= 3]
    if not rings:
        return None
    flat = np.concatenate(rings)
    triangles = np.asarray(manifold3d.triangulate(rings), dtype=np.int64)
    starts = np.cumsum([0, *[len(ring) for ring in rings[:-1]]])
    outline = [
        np.column_stack([start + np.arange(len(ring)), start + np.roll(np.arange(len(ring)), -1)])
        for start, ring in zip(starts, rings, strict=True)
    ]
    shape = shapely.build_area(shapely.geometrycollections([shapely.linearrings(ring) for ring in rings]))
    lines = shapely.get_parts(hatching(shape, 45.0, _HATCH))
    hatch = shapely.get_coordinates(lines[shapely.length(lines) > 0.0])
    across = np.concatenate([flat, hatch])
    return CutFace(
        points=np.column_stack([np.full(len(across), x), across]),
        triangles=triangles,
        outline=np.concatenate(outline),
        hatching=len(flat) + np.arange(len(hatch)).reshape(-1, 2),
    )

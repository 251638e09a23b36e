"""A section: what a transverse plane cuts of bodies, as flat outlines, triangles and hatching."""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

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
    hatch = _hatched(rings)
    hatching = len(flat) + np.arange(len(hatch)).reshape(-1, 2)
    across = np.concatenate([flat, hatch])
    return CutFace(
        points=np.column_stack([np.full(len(across), x), across]),
        triangles=triangles,
        outline=np.concatenate(outline),
        hatching=hatching,
    )


def _hatched(rings: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    """(2 k, 2) mm: the ends of slanting lines inside the rings, counted by the even-odd rule."""
    edges = np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings])
    slant = (edges[:, :, 0] - edges[:, :, 1]) / (_HATCH * np.sqrt(2))  # the number of the line a point lies on
    out = []
    for line in range(int(np.ceil(slant.min())), int(np.floor(slant.max())) + 1):
        a, b = slant[:, 0], slant[:, 1]
        crossed = (a < line) != (b < line)
        share = (line - a[crossed]) / (b[crossed] - a[crossed])
        hits = edges[crossed, 0] + (edges[crossed, 1] - edges[crossed, 0]) * share[:, None]
        out.append(hits[np.argsort(hits[:, 0])])
    return np.concatenate(out) if out else np.zeros((0, 2))


def outline_area(face: CutFace) -> float:
    """mm2 of a cut face."""
    a, b, c = (face.points[face.triangles[:, n], 1:] for n in range(3))
    return float(np.sum(shapely.area(shapely.polygons(np.stack([a, b, c], axis=1)))))

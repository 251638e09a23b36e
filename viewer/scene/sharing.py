"""What two bodies both fill, and the shortest way from one to another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import manifold3d
import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from .body import Body, Mesh
from .signs import Ends, Points
from .triple import Triple, triple

Solid = tuple[Points, NDArray[np.int64]]
"""Points and triangles."""

_LEAST = 1e-3
"""mm3, and mm; less is rounding where two bodies touch."""


_NOT_SCREWED = frozenset({"batten", "rail", "dowel"})
"""Kinds that no screw should be in."""


def shared_by(named: Sequence[Body], *, fouling: bool) -> Solid | None:
    """What the first two that share any space both fill; `fouling`: a screw and what it stands in are such a pair.

    Else screws are in wood on purpose, and only battens, rails and dowels are in their way.
    """
    solids = [(body.kind, solid((body.points, body.triangles))) for body in named]
    for (one, first), (other, second) in combinations(solids, 2):
        driven = {one, other} - {"screw"}
        if one != other and "screw" in (one, other) and not fouling and not driven & _NOT_SCREWED:
            continue
        common = first ^ second
        if common.volume() > _LEAST:
            return _mesh_of(common)
    return None


def both(one: Mesh, other: Mesh) -> Mesh | None:
    """What two meshes both fill, without drawn edges; None where they share nothing."""
    common = solid(one[:2]) ^ solid(other[:2])
    if common.volume() <= _LEAST:
        return None
    points, triangles = _mesh_of(common)
    return points, triangles, np.empty((0, 2), dtype=np.int64)


def together(meshes: Sequence[Mesh]) -> Solid:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(points) for points, _, _ in meshes)])
    faces = [triangles + start for (_, triangles, _), start in zip(meshes, starts[:-1], strict=True)]
    return np.concatenate([points for points, _, _ in meshes]), np.concatenate(faces)


def solid(mesh: Solid) -> manifold3d.Manifold:
    """The kernel's solid of a mesh."""
    points, triangles = mesh
    return manifold3d.Manifold(
        manifold3d.Mesh64(np.ascontiguousarray(points), np.ascontiguousarray(triangles, dtype=np.uint64))
    )


def _mesh_of(made: manifold3d.Manifold) -> Solid:
    mesh = made.to_mesh64()
    points = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    return points, np.asarray(mesh.tri_verts, dtype=np.int64)


def nearest(a: Body, b: Body, at: Triple, within: float) -> Ends | None:
    """The shortest way between two bodies `within` mm of a place, from corners and the foot of the place."""
    best: tuple[float, Points, Points] | None = None
    for one, other in ((a, b), (b, a)):
        own, surface = _surface(one), _surface(other)
        foot = own.find_closest_cell(np.array(at), return_closest_point=True)[1]
        near = one.points[np.linalg.norm(one.points - at, axis=1) < within]
        starts = np.vstack([foot, near])
        ends = surface.find_closest_cell(starts, return_closest_point=True)[1]
        lengths = np.linalg.norm(ends - starts, axis=1)
        n = int(lengths.argmin())
        if best is None or lengths[n] < best[0]:
            best = float(lengths[n]), starts[n], ends[n]
    if best is None or best[0] < _LEAST:
        return None
    return triple(best[1]), triple(best[2])


def _surface(body: Body) -> pv.PolyData:
    return pv.PolyData.from_regular_faces(body.points, body.triangles)

"""A coarse likeness of every body, of a tenth of the triangles: what is painted of a large boat while it moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw

from .bodies import batten_mesh
from .body import Body, Mesh, prism_mesh

_OFF = 1.5  # mm by which an outline may be off
_STEP = 200.0  # mm along a batten from section to section
_SIDES = 4  # of a screw's head, which is all that is seen of it


def coarse_bodies(assembly: Assembly, bodies: Sequence[Body]) -> tuple[Body, ...]:
    """The coarse likeness of each of the `bodies` of an assembly, in their order."""
    meshes: dict[str, Mesh] = {}
    for frame in assembly.frames:
        meshes |= {part.name: _part(part, frame) for part in frame.parts}
        meshes |= {screw.name: _screw(screw, frame) for screw in frame.screws}
    meshes |= {batten.name: _batten(batten) for batten in assembly.battens}
    return tuple(_like(body, meshes.get(body.name)) for body in bodies)


def _like(body: Body, mesh: Mesh | None) -> Body:
    if mesh is None:
        return body
    points, triangles, edges = mesh
    return replace(body, points=points, triangles=triangles, edges=edges)


def _part(part: Part, frame: Frame) -> Mesh:
    rough = shapely.simplify(part.shape, _OFF)
    shape = rough if isinstance(rough, shapely.Polygon) and not rough.is_empty else part.shape
    points, triangles, edges = prism_mesh(shape, part.low, part.high)
    return frame.placement.to_hull(points), triangles, edges


def _screw(screw: Screw, frame: Frame) -> Mesh:
    """The head alone, as a disc seen from the side it is driven from."""
    turns = 2 * np.pi * np.arange(_SIDES) / _SIDES
    ring = np.column_stack([np.cos(turns), np.sin(turns)]) * screw.size.head_diameter / 2 + screw.at
    here = np.arange(1, _SIDES - 1)
    triangles = np.column_stack([np.zeros_like(here), here, here + 1])
    outward = 1.0 if screw.driven_from == "forward" else -1.0
    points = frame.placement.to_hull(np.column_stack([ring, np.full(_SIDES, screw.head + 0.1 * outward)]))
    return points, triangles if outward > 0 else triangles[:, ::-1], np.zeros((0, 2), dtype=np.int64)


def _batten(batten: Batten) -> Mesh:
    corners = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * (batten.long / 2, batten.short / 2)
    return batten_mesh(batten, corners, (batten.centres[0, 0], batten.centres[-1, 0]), _STEP)

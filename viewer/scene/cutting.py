"""The cutting plane in the scene: one side of a transverse plane goes, and the cut faces are closed and hatched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import manifold3d
import numpy as np
import pyvista as pv
import shapely
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane

from ..marks.colours import INK
from ..marks.hatch import hatching
from .body import Body
from .facing import pixels
from .looks import COLOURS
from .scene import Scene

_PALER = 0.45
"""how far towards white a cut face is paler than its kind."""

_HATCH = 12.0
"""mm between the lines of the hatching."""


class Cutting:
    """Cuts a scene open. `x` is where (hull axes, mm), None where it is whole; `keeps` is 1 for what lies forward."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.x: float | None = None
        self.keeps = -1
        self._plane = vtkPlane()
        self._solids: dict[int, manifold3d.Manifold] = {}
        self._faces: dict[int, CutFace] = {}
        self._actors: list[Any] = []

    @property
    def cut_bodies(self) -> frozenset[int]:
        """The bodies that the plane cuts."""
        return frozenset(self._faces)

    def cut(self, x: float | None, keeps: int = -1) -> None:
        """Cuts at `x` and keeps that side, or makes the boat whole again. Call it again when bodies have moved."""
        self.x, self.keeps = x, keeps
        self._clear()
        if x is None:
            self.scene.clip(None)
            return
        self._plane.SetOrigin(x, 0.0, 0.0)
        self._plane.SetNormal(float(keeps), 0.0, 0.0)
        self.scene.clip(self._plane)
        self._faces = {n: face for n in self._crossed(x) if (face := self._face(n, x)) is not None}
        if self._faces:
            self._draw()

    def _crossed(self, x: float) -> list[int]:
        scene = self.scene
        shown = [n for n in range(len(scene.bodies)) if scene.state(n) == "shown"]
        ends = {n: scene.bodies[n].points[:, 0] + scene.offset(n)[0] for n in shown}
        return [n for n in shown if ends[n].min() < x < ends[n].max()]

    def _face(self, n: int, x: float) -> CutFace | None:
        if n not in self._solids:
            self._solids[n] = solid(self.scene.bodies[n])
        return cut_face(self._solids[n], x - self.scene.offset(n)[0])

    def _draw(self) -> None:
        scene = self.scene
        points = [face.points + scene.offset(n) for n, face in self._faces.items()]
        starts = np.cumsum([0, *[len(p) for p in points[:-1]]])
        faces = list(zip(self._faces.items(), starts, strict=True))
        mesh = pv.PolyData.from_regular_faces(
            np.concatenate(points), np.concatenate([face.triangles + start for (_, face), start in faces])
        )
        counts = [len(face.triangles) for face in self._faces.values()]
        numbers = np.repeat(list(self._faces), counts)
        colours = np.array([_pale(COLOURS[scene.bodies[n].kind]) for n in self._faces], dtype=np.uint8)
        mesh.cell_data["colour"] = np.repeat(colours, counts, axis=0)
        mesh.cell_data["body"] = numbers
        common: dict[str, Any] = {"lighting": False, "render": False, "reset_camera": False}
        caps = scene.plotter.add_mesh(
            mesh, scalars="colour", rgb=True, show_scalar_bar=False, name="cut faces", pickable=True, **common
        )
        self._actors = [caps]
        for name, opacity in (("outline", 1.0), ("hatching", 0.35)):
            rows = np.concatenate([getattr(face, name) + start for (_, face), start in faces])
            if len(rows):
                lines = pv.PolyData(mesh.points.copy(), lines=np.column_stack([np.full(len(rows), 2), rows]))
                drawn = scene.plotter.add_mesh(
                    lines,
                    color=INK,
                    line_width=pixels(scene.plotter),
                    opacity=opacity,
                    name=f"cut {name}",
                    pickable=False,
                    **common,
                )
                scene.lifting.lift(drawn)
                self._actors.append(drawn)
        scene.pick_also(caps)

    def _clear(self) -> None:
        for actor in self._actors:
            self.scene.plotter.remove_actor(actor, render=False, reset_camera=False)
        self.scene.pick_also(None)
        self._actors, self._faces = [], {}


def _pale(colour: str) -> tuple[int, int, int]:
    r, g, b = (round(c + (255 - c) * _PALER) for c in pv.Color(colour).int_rgb)
    return r, g, b


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

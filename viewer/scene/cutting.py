"""The cutting plane in the scene: one side of a transverse plane goes, and the cut faces are closed and hatched."""

from __future__ import annotations

from typing import Any

import manifold3d
import numpy as np
import pyvista as pv
from vtkmodules.vtkCommonDataModel import vtkPlane

from ..marks.colours import INK
from .facing import pixels
from .looks import COLOURS
from .scene import Scene
from .section import CutFace, cut_face, solid

_PALER = 0.45
"""how far towards white a cut face is paler than its kind."""


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

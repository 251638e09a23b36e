"""All bodies in a few meshes: what is shown, what is faded, and the edges of both; every cell knows its body."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane

from .body import Body
from .looks import AMBIENT, CHOSEN, COLOURS, DIFFUSE, FADED, FADED_LINES, INK

_MESHES = ("solid", "faded", "lines", "faded lines", "chosen")
_LINES = ("lines", "faded lines", "chosen")
_LIGHT = {"ambient": AMBIENT, "diffuse": DIFFUSE, "specular": 0.0}
_FRONT = -66000
"""depth steps by which lines are drawn before what would hide them."""

Mask = NDArray[np.bool_]


class Merged:
    """Bodies merged into meshes of a plotter; their actors have the meshes' names, each after `prefix`.

    What belongs where is told by `fill`, where it stands by `move`; both are put off while it is not `seen`.
    """

    def __init__(self, plotter: Any, bodies: Sequence[Body], prefix: str = "") -> None:
        self.plotter = plotter
        counts = [len(body.points) for body in bodies]
        starts = np.cumsum([0, *counts[:-1]])
        self.points = np.concatenate([body.points for body in bodies])
        self.of_point = np.repeat(np.arange(len(bodies)), counts)
        self._triangles = np.concatenate([b.triangles + s for b, s in zip(bodies, starts, strict=True)])
        self._of_triangle = np.repeat(np.arange(len(bodies)), [len(body.triangles) for body in bodies])
        self._edges = np.concatenate([b.edges + s for b, s in zip(bodies, starts, strict=True)])
        self._of_edge = np.repeat(np.arange(len(bodies)), [len(body.edges) for body in bodies])
        colours = np.array([pv.Color(COLOURS[body.kind]).int_rgb for body in bodies], dtype=np.uint8)
        self._rgb = colours[self._of_triangle]
        self._prefix = prefix
        self._meshes = {name: self._empty() for name in _MESHES}
        self.actors = {name: self._add(name) for name in _MESHES}
        self._filled: tuple[Mask, Mask, Mask] | None = None
        self._moved: NDArray[np.float64] | None = None
        self._late = False
        self._seen = True

    @property
    def seen(self) -> bool:
        """Whether it is what is painted."""
        return self._seen

    @seen.setter
    def seen(self, seen: bool) -> None:
        self._seen = seen
        if not seen:
            for actor in self.actors.values():
                actor.visibility = False
            self._late = True
            return
        if self._moved is not None:
            self.move(self._moved)
        if self._late and self._filled is not None:
            self.fill(*self._filled)

    def fill(self, shown: Mask, faded: Mask, chosen: Mask) -> None:
        """Puts into each mesh the cells of the bodies that belong there; the masks are by body."""
        self._filled, self._late = (shown, faded, chosen), not self._seen
        if not self._seen:
            return
        self._put("solid", shown)
        self._put("faded", faded)
        self._put("lines", shown & ~chosen)
        self._put("faded lines", faded & ~chosen)
        self._put("chosen", chosen & (shown | faded))
        # what was picked is seen through what hides it; of many that would be a tangle
        front = _FRONT if chosen.sum() == 1 else 0
        self.actors["chosen"].mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, front)

    def move(self, offsets: NDArray[np.float64]) -> None:
        """Stands every body off its place by its row of `offsets` (bodies, 3), mm."""
        self._moved = None if self._seen else offsets
        if self._seen:
            points = self.points + offsets[self.of_point]
            for mesh in self._meshes.values():
                mesh.points = points

    def clip(self, plane: vtkPlane | None) -> None:
        """Takes away what lies behind the plane; or shows the bodies whole."""
        for actor in self.actors.values():
            actor.mapper.RemoveAllClippingPlanes()
            if plane is not None:
                actor.mapper.AddClippingPlane(plane)

    def _empty(self) -> pv.PolyData:
        """All the points and no cells: handed points alone, it would make each of them a cell."""
        mesh = pv.PolyData()
        mesh.points = self.points.copy()
        return mesh

    def _put(self, name: str, which: Mask) -> None:
        mesh, is_lines = self._meshes[name], name in _LINES
        mask = which[self._of_edge if is_lines else self._of_triangle]
        self.actors[name].visibility = bool(mask.any())
        if not mask.any():  # a mesh without cells can neither be coloured nor drawn
            return
        if is_lines:
            mesh.lines = _cells(self._edges[mask])
        else:
            mesh.clear_cell_data()
            mesh.faces = _cells(self._triangles[mask])
            mesh.cell_data["colour"] = self._rgb[mask]
            mesh.cell_data["body"] = self._of_triangle[mask]

    def _add(self, name: str) -> Any:
        """The actor of a mesh, which for that must have cells."""
        mesh = self._meshes[name]
        common: dict[str, Any] = {"name": self._prefix + name, "render": False, "reset_camera": False}
        if name in _LINES:
            mesh.lines = _cells(self._edges)
            colour, width = (CHOSEN, 3.0) if name == "chosen" else (INK, 1.0)
            opacity = FADED_LINES if name == "faded lines" else 1.0
            actor = self.plotter.add_mesh(
                mesh, color=colour, line_width=width, opacity=opacity, lighting=False, pickable=False, **common
            )
            actor.mapper.SetResolveCoincidentTopologyToPolygonOffset()
            return actor
        mesh.faces = _cells(self._triangles)
        mesh.cell_data["colour"] = self._rgb
        opacity = 1.0 if name == "solid" else FADED
        return self.plotter.add_mesh(
            mesh, scalars="colour", rgb=True, opacity=opacity, show_scalar_bar=False, culling="back",
            pickable=name == "solid", **_LIGHT, **common,
        )  # fmt: skip


def _cells(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Cells as the kernel wants them: each row with its length before it."""
    return np.column_stack([np.full(len(rows), rows.shape[1]), rows]).ravel()

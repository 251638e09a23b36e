"""All bodies in a few meshes: what is shown, looked into and faded, and their edges; every cell knows its body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane

from ..marks.colours import INK
from .body import Body
from .facing import pixels, to_front
from .looks import AMBIENT, CHOSEN, COLOURS, DIFFUSE, FADED, FADED_LINES, GLASS, SECOND

_MESHES = ("solid", "glass", "faded", "lines", "faded lines", "chosen")
LINES = ("lines", "faded lines", "chosen")
"""The meshes of edges."""

PICKED = ("solid", "glass")
"""The meshes that picks meet."""

_LIGHT = {"ambient": AMBIENT, "diffuse": DIFFUSE, "specular": 0.0}

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filling:
    """Which bodies belong where: masks by body. One looks into those of `glass`, which are `clear` so much.

    Those of `seconds`, by number, have the second tone of their kind.
    """

    shown: Mask
    glass: Mask
    faded: Mask
    chosen: Mask
    clear: float = GLASS
    seconds: frozenset[int] = frozenset()


class Merged:
    """Bodies merged into meshes of a plotter; their actors have the meshes' names, each after `prefix`.

    What belongs where is told by `fill`, where it stands by `move`; both are put off while it is not `seen`.
    """

    def __init__(self, plotter: Any, bodies: Sequence[Body], prefix: str = "") -> None:
        self.plotter = plotter
        counts = [len(body.points) for body in bodies]
        starts = np.cumsum([0, *counts])[: len(counts)]
        plotter.theme.allow_empty_mesh = True  # a plan may have nothing in it yet
        self.points = np.concatenate([np.zeros((0, 3)), *(body.points for body in bodies)])
        self.of_point = np.repeat(np.arange(len(bodies)), counts)
        self._triangles = _joined([b.triangles + s for b, s in zip(bodies, starts, strict=True)], 3)
        self._of_triangle = np.repeat(np.arange(len(bodies)), [len(body.triangles) for body in bodies])
        self._edges = _joined([b.edges + s for b, s in zip(bodies, starts, strict=True)], 2)
        self._of_edge = np.repeat(np.arange(len(bodies)), [len(body.edges) for body in bodies])
        self._kinds = [body.kind for body in bodies]
        self._rgb = self._toned(frozenset())
        self._prefix = prefix
        self._meshes = {name: self._empty() for name in _MESHES}
        self.actors = {name: self._add(name) for name in _MESHES}
        self._filled: Filling | None = None
        self._seconds: frozenset[int] = frozenset()
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
            self.fill(self._filled)

    def fill(self, filling: Filling) -> None:
        """Puts into each mesh the cells of the bodies that belong there."""
        self._filled, self._late = filling, not self._seen
        if not self._seen:
            return
        if filling.seconds != self._seconds:
            self._seconds = filling.seconds
            self._rgb = self._toned(filling.seconds)
        shown, glass, faded, chosen = filling.shown, filling.glass, filling.faded, filling.chosen
        self.actors["glass"].prop.opacity = filling.clear
        self._put("solid", shown)
        self._put("glass", glass)
        self._put("faded", faded)
        self._put("lines", (shown | glass) & ~chosen)
        self._put("faded lines", faded & ~chosen)
        self._put("chosen", chosen & (shown | glass | faded))
        # what was picked is seen through what hides it; of many that would be a tangle
        to_front(self.actors["chosen"], chosen.sum() == 1)

    def _toned(self, seconds: frozenset[int]) -> NDArray[np.uint8]:
        """(m, 3): the colour of every triangle, of the bodies in `seconds` their kind's second tone."""
        tones = [SECOND[kind] if n in seconds else COLOURS[kind] for n, kind in enumerate(self._kinds)]
        colours = np.array([pv.Color(tone).int_rgb for tone in tones], dtype=np.uint8).reshape(-1, 3)
        return np.asarray(colours[self._of_triangle])

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
        mesh, is_lines = self._meshes[name], name in LINES
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
        if name in LINES:
            mesh.lines = _cells(self._edges)
            colour, width = (CHOSEN, 3.0) if name == "chosen" else (INK, 1.0)
            opacity = FADED_LINES if name == "faded lines" else 1.0
            return self.plotter.add_mesh(
                mesh,
                color=colour,
                line_width=width * pixels(self.plotter),
                opacity=opacity,
                lighting=False,
                pickable=False,
                **common,
            )
        opacity = {"solid": 1.0, "glass": GLASS, "faded": FADED}[name]
        coloured: dict[str, Any] = {}
        if len(self._triangles):
            mesh.faces = _cells(self._triangles)
            mesh.cell_data["colour"] = self._rgb
            coloured = {"scalars": "colour", "rgb": True}
        return self.plotter.add_mesh(
            mesh, **coloured, opacity=opacity, show_scalar_bar=False, culling="back",
            pickable=name in PICKED, **_LIGHT, **common,
        )  # fmt: skip


def _joined(rows: list[NDArray[np.int64]], width: int) -> NDArray[np.int64]:
    return np.concatenate([np.zeros((0, width), dtype=np.int64), *rows])


def _cells(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Cells as the kernel wants them: each row with its length before it."""
    return np.column_stack([np.full(len(rows), rows.shape[1]), rows]).ravel()

"""The signs of the finding in hand in a plotter: arrows, lines, what is not there, and the pieces of what is long."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from ..marks.colours import INK, PAPER, STRONG
from .arrows import Arrows
from .body import Body
from .facing import DRAWN, Facing, Points, follow, pixels, segments, to_front
from .haloed import Haloed
from .looks import AMBIENT, COLOURS, DIFFUSE, GHOST, GLASS
from .sides import View
from .signs import NO_SIGNS, Signs
from .solid_mesh import Solid, are_sharp, edges_of, normals_of, together

_APART = 0.013  # of the height of the picture, from line to line of the hatching
_MOST = 80  # lines of it
_LINES = {"rim": (INK, 5.0), "fill": (STRONG, 2.2), "creases": (INK, 1.2), "hatching": (PAPER, 1.3)}


class Signpost:
    """A few actors, nothing of them seen while nothing is shown.

    One looks into the pieces of bodies, which would hide what they pass through.
    """

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self.signs = NO_SIGNS
        self.overlap = OverlapDrawn(plotter)
        self.lines = Haloed(plotter, "sign lines", STRONG)
        self.inked = Haloed(plotter, "sign ink", INK)
        self.arrows = Arrows(plotter, "sign arrows")
        self._pieces: tuple[Body, ...] = ()
        self._actors: dict[str, Any] = {}

    @property
    def shown(self) -> frozenset[str]:
        """The names of what is seen."""
        seen = {"sign lines": self.lines.shown, "sign ink": self.inked.shown, "sign arrows": bool(self.arrows.paths)}
        seen["shared"] = self.overlap.solid is not None
        return frozenset(self._actors) | frozenset(name for name, shown in seen.items() if shown)

    def show(self, signs: Signs, pieces: Sequence[Body] = (), view: View | None = None) -> None:
        """Shows these signs, hatched for a look from `view`, and these pieces of bodies; no others."""
        if signs is self.signs and tuple(pieces) == self._pieces:
            return
        self.overlap.show(signs.shared, view)
        self.signs, self._pieces = signs, tuple(pieces)
        for actor in self._actors.values():
            self.plotter.remove_actor(actor, render=False, reset_camera=False)
        self._actors = {}
        self.arrows.show(signs.arrows)
        if pieces:
            self._put_pieces()
        if signs.ghosts:
            self._put_ghosts()
        lines = [line for stroke in signs.strokes for line in pairwise(stroke)]
        lines += [(points[a], points[b]) for points, _, edges in signs.ghosts for a, b in edges]
        self.lines.draw_between(lines)
        self.inked.draw_between([line for stroke in signs.inked for line in pairwise(stroke)])

    def _put_pieces(self) -> None:
        bodies = self._pieces
        colours = [pv.Color(COLOURS[body.kind]).int_rgb for body in bodies]
        mesh = pv.PolyData.from_regular_faces(*together([(body.points, body.triangles) for body in bodies]))
        counts = [len(body.triangles) for body in bodies]
        mesh.cell_data["colour"] = np.repeat(np.array(colours, dtype=np.uint8), counts, axis=0)
        self._add("pieces", mesh, scalars="colour", rgb=True, opacity=GLASS)
        lines = segments(np.concatenate([body.points[body.edges] for body in bodies]))
        self._actors["piece lines"] = self.plotter.add_mesh(
            lines, color=INK, line_width=1.4 * pixels(self.plotter), lighting=False, name="piece lines", **DRAWN
        )

    def _put_ghosts(self) -> None:
        mesh = together([(points, triangles) for points, triangles, _ in self.signs.ghosts])
        self._add("sign ghosts", pv.PolyData.from_regular_faces(*mesh), color=STRONG, opacity=GHOST)

    def _add(self, name: str, mesh: Any, **look: Any) -> None:
        self._actors[name] = self.plotter.add_mesh(
            mesh, ambient=AMBIENT, diffuse=DIFFUSE, specular=0.0, culling="back", show_edges=False, name=name,
            **DRAWN, **look,
        )  # fmt: skip


class OverlapDrawn:
    """One solid at a time, in five actors."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self.solid: Solid | None = None
        self.actors: dict[str, Any] = {}
        self._meshes: dict[str, pv.PolyData] = {}
        self._line("rim")
        self._meshes["shared"] = pv.PolyData.from_regular_faces(np.zeros((3, 3)), np.array([[0, 1, 2]]))
        self._add("shared", color=STRONG, ambient=0.7, diffuse=0.4, specular=0.0, culling="back", show_edges=False)
        for name in ("fill", "creases", "hatching"):
            self._line(name)
        follow(plotter, self._face)
        self.show(None)

    @property
    def faces(self) -> Any:
        """The actor of its faces."""
        return self.actors["shared"]

    def show(self, solid: Solid | None, view: View | None = None) -> None:
        """Shows this solid (hull axes, mm), hatched for a look from `view`; or none."""
        self.solid = solid
        for actor in self.actors.values():
            actor.visibility = solid is not None
        if solid is None:
            return
        points, triangles = solid
        corners = points[triangles]
        self._normals, self._middles = normals_of(points, triangles), corners.mean(axis=1)
        edges, self._beside = edges_of(triangles)
        self._sharp = are_sharp(self._normals, self._beside)
        self._ends = points[edges]
        self._hatching, self._of_hatch = _hatched(corners, view)
        self._meshes["shared"].copy_from(pv.PolyData.from_regular_faces(points, triangles), deep=True)
        self._face()

    def _line(self, name: str) -> None:
        colour, width = _LINES[name]
        self._meshes[name] = pv.PolyData(np.zeros((2, 3)), lines=[2, 0, 1])
        self._add(name, color=colour, line_width=width * pixels(self.plotter), lighting=False)

    def _add(self, name: str, **look: Any) -> None:
        self.actors[name] = self.plotter.add_mesh(
            self._meshes[name], name=name if name == "shared" else f"shared {name}", **DRAWN, **look
        )
        to_front(self.actors[name])

    def _face(self) -> None:
        """The lines of those faces alone that are turned to the eye."""
        if self.solid is None:
            return
        facing = Facing.of(self.plotter)
        toward = np.broadcast_to(facing.back, self._middles.shape) if facing.height else facing.eye - self._middles
        seen = np.einsum("ij,ij->i", self._normals, toward) > 0.0
        one, other = seen[self._beside].T
        rim = self._ends[one != other]
        chosen = {
            "rim": rim, "fill": rim, "creases": self._ends[one & other & self._sharp],
            "hatching": self._hatching[seen[self._of_hatch]],
        }  # fmt: skip
        for name, ends in chosen.items():
            self.actors[name].visibility = len(ends) > 0
            if len(ends):
                self._meshes[name].copy_from(segments(ends), deep=True)


def _hatched(corners: Points, view: View | None) -> tuple[Points, NDArray[np.int64]]:
    """(j, 2, 3): slanting lines across the triangles (m, 3, 3), and of which of these each is."""
    right, over, _ = view.axes() if view is not None else np.eye(3)
    way = (right + over) / np.sqrt(2.0)
    along = corners @ way
    apart = _APART * view.height_at_target() if view is not None else np.ptp(along) / 12
    apart = max(apart, float(np.ptp(along)) / _MOST, 1e-6)
    along = along / apart
    ends, owner = [], []
    for line in range(int(np.ceil(along.min())), int(np.floor(along.max())) + 1):
        above = along > line
        cut = np.flatnonzero(above.any(axis=1) & ~above.all(axis=1))
        crossed = []
        for a, b in ((0, 1), (1, 2), (2, 0)):
            here = above[cut, a] != above[cut, b]
            span = np.where(here, along[cut, b] - along[cut, a], 1.0)
            share = (line - along[cut, a]) / span
            crossed.append((here, corners[cut, a] + (corners[cut, b] - corners[cut, a]) * share[:, None]))
        marks = np.stack([here for here, _ in crossed], axis=1)
        places = np.stack([place for _, place in crossed], axis=1)
        ends.append(places[marks].reshape(-1, 2, 3))
        owner.append(cut)
    if not ends:
        return np.empty((0, 2, 3)), np.empty(0, dtype=np.int64)
    return np.concatenate(ends), np.concatenate(owner)

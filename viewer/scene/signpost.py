"""The signs of the finding in hand in a plotter: arrows, lines, what is not there, and the pieces of what is long."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pyvista as pv

from ..marks.colours import INK, STRONG
from .arrows import Arrows
from .body import Body
from .facing import DRAWN, pixels, segments
from .haloed import Haloed
from .looks import AMBIENT, COLOURS, DIFFUSE, GHOST, GLASS
from .overlap_drawn import OverlapDrawn
from .sides import View
from .signs import NO_SIGNS, Signs
from .solid_mesh import together


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

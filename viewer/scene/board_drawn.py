"""The assembly board in a plotter: sheet, holes, centreline and datum line. For the window and for pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv

from ..marks.colours import INK
from .bench import Bench
from .facing import DRAWN, pixels, segments
from .looks import BOARD, FILM, GLUE, HOLE, STRIP, WATER, WEIGHT
from .signs import Points

_THINGS = {"strip": STRIP, "film": FILM, "weight": WEIGHT, "glue": GLUE}


class BoardDrawn:
    """The board of one bench at a time with what is on it, in at most thirteen actors."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self._actors: list[Any] = []

    @property
    def shown(self) -> bool:
        """Whether it is seen."""
        return bool(self._actors)

    def show(self, bench: Bench | None) -> None:
        """Shows the board of this bench, or none."""
        for actor in self._actors:
            self.plotter.remove_actor(actor, render=False, reset_camera=False)
        self._actors = []
        if bench is None:
            return
        sheet = pv.PolyData.from_regular_faces(bench.points, bench.triangles)
        self._add("board", sheet, color=BOARD, ambient=0.75, diffuse=0.3, specular=0.0, culling="back")
        self._line("board lines", bench.lines, WATER, 1.0)
        self._line("board rules", bench.rules, INK, 1.0, opacity=0.55)
        for kind, colour in _THINGS.items():
            of_kind = [thing for thing in bench.things if thing.kind == kind]
            if of_kind:
                starts = np.cumsum([0, *(len(thing.points) for thing in of_kind)])
                points = np.concatenate([thing.points for thing in of_kind])
                triangles = np.concatenate([t.triangles + n for t, n in zip(of_kind, starts, strict=False)])
                self._add(
                    kind, pv.PolyData.from_regular_faces(points, triangles), color=colour, ambient=0.55, diffuse=0.5
                )
                self._line(f"{kind} lines", [ends for thing in of_kind for ends in thing.lines], INK, 0.8, opacity=0.7)
        own, others = ([hole for hole in bench.holes if hole.own == own] for own in (True, False))
        self._line("other holes", [ends for hole in others for ends in _ring(hole.rim)], INK, 1.0, opacity=0.4)
        if own:
            points = np.concatenate([hole.rim for hole in own])
            faces = [len(hole.rim) for hole in own]
            starts = np.cumsum([0, *faces[:-1]])
            cells = [[count, *range(start, start + count)] for count, start in zip(faces, starts, strict=True)]
            self._add("holes", pv.PolyData(points, faces=np.concatenate(cells)), color=HOLE, lighting=False)
            self._line("hole rims", [ends for hole in own for ends in _ring(hole.rim)], INK, 1.6)

    def _line(self, name: str, ends: Sequence[tuple[Points, Points]], colour: str, width: float, **look: Any) -> None:
        if not len(ends):
            return
        width *= pixels(self.plotter)
        self._add(name, segments(ends), color=colour, line_width=width, lighting=False, **look)

    def _add(self, name: str, mesh: Any, **look: Any) -> None:
        self._actors.append(self.plotter.add_mesh(mesh, name=name, **DRAWN, **look))


def _ring(rim: Points) -> list[tuple[Points, Points]]:
    return list(zip(rim, np.roll(rim, -1, axis=0), strict=True))

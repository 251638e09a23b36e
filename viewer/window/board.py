"""The assembly board in the picture, under the frame that lies on it at a step."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyvista as pv

from ..scene.bench import bench_of
from ..scene.looks import BOARD, WATER
from .boat import Boat


class Board:
    """The board of one boat in a plotter; shown for a step on the bench, and for nothing else."""

    def __init__(self, plotter: Any, boat: Boat) -> None:
        self.plotter, self.boat = plotter, boat
        self._frame_and_side: tuple[str, float] | None = None
        self._actors: list[Any] = []

    @property
    def shown(self) -> bool:
        """Whether it is seen."""
        return bool(self._actors)

    def show(self, number: int) -> None:
        """Shows the board of a step by its number; none for 0 and for steps of setting up."""
        step = self.boat.steps[number - 1] if number else None
        if step is None or step.stage != "bench":
            self._put(None)
            return
        own = [body for body in self.boat.bodies if body.frame == step.frame and body.kind not in ("screw", "dowel")]
        bench = bench_of(step, self.boat.steps, self.boat.assembly, own)
        if (step.frame, max(bench.up)) != self._frame_and_side:
            self._put((step.frame, max(bench.up)))
            self._draw(bench.points, bench.triangles, bench.lines)

    def _put(self, shown: tuple[str, float] | None) -> None:
        self._frame_and_side = shown
        for actor in self._actors:
            self.plotter.remove_actor(actor, render=False, reset_camera=False)
        self._actors = []

    def _draw(self, points: Any, triangles: Any, lines: Any) -> None:
        common: dict[str, Any] = {"pickable": False, "render": False, "reset_camera": False}
        sheet = pv.PolyData.from_regular_faces(points, triangles)
        ends = np.array(lines, dtype=np.float64).reshape(-1, 3)
        rows = np.column_stack([np.full(len(lines), 2), np.arange(len(ends)).reshape(-1, 2)])
        self._actors = [
            self.plotter.add_mesh(
                sheet, color=BOARD, ambient=0.75, diffuse=0.3, specular=0.0, culling="back", name="board", **common
            ),
            self.plotter.add_mesh(
                pv.PolyData(ends, lines=rows), color=WATER, line_width=1.0, lighting=False, name="board lines", **common
            ),
        ]

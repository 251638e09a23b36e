"""The assembly board in the picture, under the frame that lies on it at a step."""

from __future__ import annotations

from typing import Any

from ..scene.bench import bench_of
from ..scene.board_drawn import BoardDrawn
from .boat import LoadedBoat


class BoardDisplay:
    """The board of one boat in a plotter; shown for a step on the bench, and for nothing else."""

    def __init__(self, plotter: Any, boat: LoadedBoat) -> None:
        self.boat = boat
        self._drawn = BoardDrawn(plotter)
        self._for: tuple[str, tuple[float, float, float], bool] | None = None

    @property
    def shown(self) -> bool:
        """Whether it is seen."""
        return self._drawn.shown

    def show(self, number: int) -> None:
        """Shows the board of a step by its number; none for 0 and for steps of setting up."""
        step = self.boat.steps[number - 1] if number else None
        if step is None or step.stage != "bench":
            self._for = None
            self._drawn.show(None)
            return
        own = [body for body in self.boat.bodies if body.frame == step.frame and body.kind not in ("screw", "dowel")]
        bench = bench_of(step, self.boat.steps, self.boat.assembly, own)
        about = step.frame, bench.up, any(hole.own for hole in bench.holes)
        if about != self._for:
            self._for = about
            self._drawn.show(bench)

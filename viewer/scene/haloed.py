"""Lines that nothing hides, on paper of their own so that they stand off the wood they lie over; and dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from ..marks.colours import PAPER
from .facing import DRAWN, Facing, Points, follow, pixels, to_front
from .looks import HALO
from .triple import Triple

WIDE = 2.5
"""points; how wide lines that nothing hides are."""

_BAR = 7.0
"""points from the line to the end of a bar."""


class Haloed:
    """One mesh of lines in two actors: `name` in its colour, and before it `name` paper, wider all round.

    Lines are `width` points wide. None are seen until some are drawn.
    """

    def __init__(self, plotter: Any, name: str, colour: str, *, width: float = WIDE) -> None:
        self._mesh = pv.PolyData(np.zeros((2, 3)), lines=[2, 0, 1])
        self._actors = []
        for called, tone, wide in ((f"{name} paper", PAPER, width + 2 * HALO), (name, colour, width)):
            actor = plotter.add_mesh(
                self._mesh, color=tone, line_width=wide * pixels(plotter), lighting=False, name=called, **DRAWN
            )
            to_front(actor)
            self._actors.append(actor)
        self._show(False)

    @property
    def shown(self) -> bool:
        """Whether any lines are drawn."""
        return bool(self._actors[-1].visibility)

    @property
    def ends(self) -> Points:
        """(n, 2, 3): the ends of the lines as they stand."""
        if not self.shown:
            return np.empty((0, 2, 3))
        rows = np.asarray(self._mesh.lines).reshape(-1, 3)[:, 1:]
        return np.asarray(self._mesh.points[rows], dtype=np.float64)

    def draw(self, points: Points, rows: NDArray[np.int64]) -> None:
        """Draws lines between `points` (n, 3) whose numbers are `rows` (k, 2); hull axes, mm. No others."""
        self._show(len(rows) > 0)
        if len(rows):
            mesh = pv.PolyData()
            mesh.points = np.asarray(points, dtype=np.float64)
            mesh.lines = np.column_stack([np.full(len(rows), 2), rows]).ravel()
            self._mesh.copy_from(mesh, deep=True)

    def draw_between(self, ends: Sequence[Any] | Points) -> None:
        """Draws lines between pairs of places (n, 2, 3), and no others."""
        points = np.asarray(ends, dtype=np.float64).reshape(-1, 3)
        self.draw(points, np.arange(len(points)).reshape(-1, 2))

    def move(self, points: Points) -> None:
        """Stands the points of what is drawn elsewhere."""
        self._mesh.points = points

    def _show(self, shown: bool) -> None:
        for actor in self._actors:
            actor.visibility = shown


class DimensionActor:
    """One line at a time. The bars lie in the picture, square to the line, always as long."""

    def __init__(self, plotter: Any, name: str, colour: str) -> None:
        self.plotter = plotter
        self.ends: tuple[Triple, Triple] | None = None
        self._lines = Haloed(plotter, name, colour)
        follow(plotter, self._face)

    def show(self, ends: tuple[Triple, Triple] | None) -> None:
        """Draws the line between these (hull axes, mm), or none."""
        self.ends = ends
        self._lines.draw_between([] if ends is None else np.zeros((3, 2, 3)))
        self._face()

    def _face(self) -> None:
        if self.ends is None:
            return
        a, b = np.array(self.ends[0]), np.array(self.ends[1])
        facing = Facing.of(self.plotter)
        across = np.cross(b - a, facing.back)
        length = np.linalg.norm(across)
        across = facing.over if length < 1e-9 else across / length
        points = np.array([a, b, a, a, b, b])
        for n, (end, point) in enumerate(zip((a, b), facing.point(points[:2]), strict=True)):
            reach = across * point * _BAR
            points[2 + 2 * n], points[3 + 2 * n] = end - reach, end + reach
        self._lines.move(points)

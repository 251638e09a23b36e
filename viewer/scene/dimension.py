"""A dimension in the scene: a line between two places with a bar across each end, hidden by nothing."""

from __future__ import annotations

from typing import Any

import numpy as np

from .facing import Facing, follow
from .haloed import Haloed
from .triple import Triple

_BAR = 7.0
"""points from the line to the end of a bar."""


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

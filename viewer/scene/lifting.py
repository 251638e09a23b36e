"""Lines lifted off the faces on which they lie, so that these do not hide them and nothing else lets them through.

Offsets in steps of the depth buffer would do the same at one distance alone: how thick a step is depends on the
nearest and the farthest thing in the picture, and close by it is thicker than plywood.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from vtkmodules.vtkCommonMath import vtkMatrix4x4

from .facing import follow

LIFT = 0.001
"""share of their distance by which lines come nearer to the eye: two points of an ordinary picture, 1 mm at 1 m."""


class Lifting:
    """Keeps actors lifted towards the eye of a plotter. Where they are seen in the picture stays the same."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self._matrix = vtkMatrix4x4()
        self._eye: tuple[float, ...] = ()
        follow(plotter, self._lift)

    def lift(self, actor: Any) -> None:
        """Keeps this actor lifted from now on."""
        actor.SetUserMatrix(self._matrix)

    def _lift(self) -> None:
        """Shrinks towards the eye; where lines of sight are parallel, moves along them."""
        camera = self.plotter.camera
        eye = np.array(camera.position)
        back = eye - np.array(camera.focal_point)
        parallel = bool(camera.parallel_projection)
        now = (*eye, *back, parallel)
        if now == self._eye:  # a matrix that is set has every actor look whether it must be made anew
            return
        self._eye = now
        shrunk = 1.0 if parallel else 1.0 - LIFT
        moved = LIFT * (back if parallel else eye)
        for n in range(3):
            self._matrix.SetElement(n, n, shrunk)
            self._matrix.SetElement(n, 3, float(moved[n]))

"""A dimension in the scene: a line between two places with a bar across each end, hidden by nothing."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyvista as pv

Place = tuple[float, float, float]

_BAR = 7.0
"""points from the line to the end of a bar."""


class Dimension:
    """One line at a time. The bars lie in the picture, square to the line, always as long."""

    def __init__(self, plotter: Any, name: str, colour: str) -> None:
        self.plotter = plotter
        self.ends: tuple[Place, Place] | None = None
        self._mesh = pv.PolyData(np.zeros((6, 3)), lines=[2, 0, 1, 2, 2, 3, 2, 4, 5])
        self._actor = plotter.add_mesh(
            self._mesh, color=colour, line_width=2.5, lighting=False, name=name, pickable=False, render=False,
            reset_camera=False,
        )  # fmt: skip
        self._actor.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        self._actor.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, -66000)
        self._watch = plotter.renderer.AddObserver("StartEvent", lambda *_: self._face())
        self.show(None)

    def show(self, ends: tuple[Place, Place] | None) -> None:
        """Draws the line between these (hull axes, mm), or none."""
        self.ends = ends
        self._actor.visibility = ends is not None
        self._face()

    def forget(self) -> None:
        """Follows the camera no more: its plotter is about to be cleared."""
        self.plotter.renderer.RemoveObserver(self._watch)

    def _face(self) -> None:
        if self.ends is None:
            return
        a, b = np.array(self.ends[0]), np.array(self.ends[1])
        camera = self.plotter.camera
        eye = np.array(camera.position)
        back = eye - np.array(camera.focal_point)
        back /= np.linalg.norm(back)
        across = np.cross(b - a, back)
        length = np.linalg.norm(across)
        across = np.array(camera.up) if length < 1e-9 else across / length
        points = np.array([a, b, a, a, b, b])
        point = 2 * np.tan(np.radians(camera.view_angle / 2)) / self.plotter.window_size[1]
        for n, end in enumerate((a, b)):
            reach = across * max(float((eye - end) @ back), 1.0) * point * _BAR
            points[2 + 2 * n], points[3 + 2 * n] = end - reach, end + reach
        self._mesh.points = points

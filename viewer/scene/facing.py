"""How the camera of a plotter faces the boat: what turns drawn forms to the eye and keeps their size."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.vtkRenderingCore import vtkMapper

Points = NDArray[np.float64]

FRONT = -66000
"""depth steps by which a thing is drawn before whatever would hide it: more than there are."""


def pixels(plotter: Any) -> float:
    """How many pixels a point of the picture is: one on an ordinary screen, two where all is drawn twice as fine."""
    return float(plotter.ren_win.GetDPI() / 72)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facing:
    """The `eye`, hull axes, mm, and unit vectors `right` and `over` in the picture and `back` out of it.

    The picture is `tall` points high.
    """

    eye: Points
    right: Points
    over: Points
    back: Points
    tangent: float
    height: float
    tall: float

    @classmethod
    def of(cls, plotter: Any) -> Facing:
        """As the plotter's camera stands."""
        camera = plotter.camera
        eye, up = np.array(camera.position), np.array(camera.up)
        back = eye - np.array(camera.focal_point)
        back = back / np.linalg.norm(back)
        right = np.cross(up, back)
        right /= np.linalg.norm(right)
        return cls(
            eye=eye,
            right=right,
            over=np.cross(back, right),
            back=back,
            tangent=float(np.tan(np.radians(camera.view_angle / 2))),
            height=2 * camera.parallel_scale if camera.parallel_projection else 0.0,
            tall=plotter.window_size[1] / pixels(plotter),
        )

    def point(self, places: Points) -> Points:
        """(n,) mm: what a point of the picture measures at each of these places (n, 3)."""
        if self.height:
            return np.full(len(places), self.height / self.tall)
        return np.asarray(2 * self.tangent * np.maximum((self.eye - places) @ self.back, 1e-6) / self.tall)


class Following:
    """Has something done as each picture of a plotter begins, when its camera stands as it will be seen."""

    def __init__(self, plotter: Any, act: Callable[[], None]) -> None:
        self._renderer = plotter.renderer
        self._watch = self._renderer.AddObserver("StartEvent", lambda *_: act())

    def end(self) -> None:
        """Follows the camera no more: its plotter is about to be cleared."""
        self._renderer.RemoveObserver(self._watch)


def exact_depths() -> None:
    """Has the kernel, in this process, draw every thing at its own depth unless the thing says otherwise.

    Left alone it pushes faces back and lines forward by steps that are thicker than plywood close by.
    """
    vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()
    vtkMapper.SetResolveCoincidentTopologyPolygonOffsetParameters(0, 0)
    vtkMapper.SetResolveCoincidentTopologyLineOffsetParameters(0, 0)
    vtkMapper.SetResolveCoincidentTopologyPointOffsetParameter(0)


def to_front(actor: Any, on: bool = True) -> None:
    """Draws the lines and faces of an actor before whatever would hide them; or where they are."""
    steps = FRONT if on else 0
    actor.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, steps)
    actor.mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, steps)

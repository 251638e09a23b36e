"""How the camera of a plotter faces the boat: what turns drawn forms to the eye and keeps their size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import ArrayLike, NDArray
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkMapper

from .sides import View

Points = NDArray[np.float64]

FRONT = -66000
"""depth steps by which a thing is drawn before whatever would hide it: more than there are."""


DRAWN: dict[str, Any] = {"pickable": False, "render": False, "reset_camera": False}
"""How a thing is put into a plotter that is drawn upon the boat: no pick meets it, and nothing is rendered for it."""

LIFT = 0.001
"""share of their distance by which lines come nearer to the eye: two points of an ordinary picture, 1 mm at 1 m."""


def segments(ends: ArrayLike) -> pv.PolyData:
    """The mesh of lines between pairs of places (n, 2, 3)."""
    return pv.line_segments_from_points(np.asarray(ends, dtype=np.float64).reshape(-1, 3))


def pixels(plotter: Any) -> float:
    """How many pixels a point of the picture is: one on an ordinary screen, two where all is drawn twice as fine."""
    return float(plotter.ren_win.GetDPI() / 72)


def seen_at(plotter: Any, place: Sequence[float]) -> tuple[float, float]:
    """Where a place (hull axes, mm) is in the picture, points from its lower left."""
    renderer, size = plotter.renderer, pixels(plotter)
    renderer.SetWorldPoint(*place, 1.0)
    renderer.WorldToDisplay()
    x, y, _ = renderer.GetDisplayPoint()
    return float(x) / size, float(y) / size


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
        view = View.of(plotter)
        right, over, back = view.axes()
        return cls(
            eye=np.array(view.position),
            right=right,
            over=over,
            back=back,
            tangent=float(np.tan(np.radians(plotter.camera.view_angle / 2))),
            height=view.height,
            tall=plotter.window_size[1] / pixels(plotter),
        )

    def point(self, places: Points) -> Points:
        """(n,) mm: what a point of the picture measures at each of these places (n, 3)."""
        if self.height:
            return np.full(len(places), self.height / self.tall)
        return np.asarray(2 * self.tangent * np.maximum((self.eye - places) @ self.back, 1e-6) / self.tall)


def follow(plotter: Any, act: Callable[[], None]) -> None:
    """Has something done as each picture of a plotter begins, when its camera stands as it will be seen."""
    plotter.renderer.AddObserver("StartEvent", lambda *_: act())


def unfollow(plotter: Any) -> None:
    """Nothing follows the camera any more: the plotter is about to be cleared."""
    plotter.renderer.RemoveObservers("StartEvent")


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

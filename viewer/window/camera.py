"""The camera of the window: where it looks, and its flights."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from ..scene.eye import flight, nearer, slid, turned
from ..scene.sides import VERTICAL, Margins, Side, View, view_along, view_from
from ..scene.triple import Triple

FLIGHT = 350
"""milliseconds of a flight."""

_BEAT = 15

_ROOM = Margins(left=0.05, right=0.05, top=0.06, bottom=0.06)

Points = NDArray[np.float64]


class Camera(QObject):
    """The camera of a plotter. `moved` is told after each change; whoever paints listens to it."""

    moved = Signal()

    def __init__(self, plotter: Any, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.plotter = plotter
        self.flight_time = FLIGHT
        self.upright: Triple = VERTICAL
        self._from: View | None = None
        self._to: View | None = None
        self._framed: tuple[View, float] | None = None
        """What was last looked at, and the aspect for which."""
        self._clock = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setInterval(_BEAT)
        self._timer.timeout.connect(self._on)

    @property
    def view(self) -> View:
        """Where it looks now."""
        return View.of(self.plotter)

    @property
    def goal(self) -> View:
        """Where it will look when it has landed."""
        return self._to if self.flying and self._to is not None else self.view

    @property
    def flying(self) -> bool:
        """Whether it is on its way."""
        return self._timer.isActive()

    @property
    def aspect(self) -> float:
        """Width by height of the picture."""
        return float(self.plotter.width() / max(1, self.plotter.height()))

    @property
    def angle(self) -> float:
        """What the height of the picture spans, radians."""
        return float(np.radians(self.plotter.camera.view_angle))

    def jump(self, view: View) -> None:
        """Looks there at once, the same upright."""
        self.stop()
        self._framed = view, self.aspect
        view.apply(self.plotter)
        self.moved.emit()

    def keep_in_sight(self) -> None:
        """Goes so far off that what was seen across before the picture became narrower is seen still; or back again."""
        if self._framed is not None and not self.flying:
            view, aspect = self._framed
            nearer(view, max(1.0, aspect / self.aspect)).apply(self.plotter)
            self.moved.emit()

    def fly(self, view: View, *, upright: Triple = VERTICAL) -> None:
        """Looks there after a short flight; from then on one goes round the vertical that is `upright`."""
        self.upright = upright
        if self.flight_time <= 0:
            self.jump(view)
            return
        self._from, self._to, self._framed = self.view, view, (view, self.aspect)
        self._clock.start()
        self._timer.start()

    def stop(self) -> None:
        """Ends a flight where it is."""
        self._timer.stop()

    def look(self, side: Side, points: Points, *, at_once: bool = False) -> None:
        """Flies to where all the points (n, 3) are seen from a side."""
        view = view_from(side, points, self.aspect, _ROOM)
        if at_once:
            self.upright = VERTICAL
            self.jump(view)
        else:
            self.fly(view)

    def look_along(self, direction: Triple, points: Points, *, upright: Triple = VERTICAL) -> None:
        """Flies to where all the points (n, 3) are seen from a direction, with this upright in the picture."""
        self.fly(view_along(direction, upright, points, self.aspect, _ROOM), upright=upright)

    def turn(self, about: float, over: float) -> None:
        """Goes round the vertical and higher, radians."""
        self.jump(turned(self.view, about=about, over=over, vertical=self.upright))

    def slide(self, right: float, up: float) -> None:
        """Moves across by these shares of the picture's height."""
        self.jump(slid(self.view, right=right, up=up, angle=self.angle))

    def near(self, factor: float, towards: tuple[float, float, float] | None = None) -> None:
        """Goes to `factor` times the distance; the place `towards` stays where it is in the picture."""
        self.jump(nearer(self.view, factor, towards))

    def _on(self) -> None:
        assert self._from is not None and self._to is not None
        share = min(1.0, self._clock.elapsed() / self.flight_time)
        if share >= 1.0:
            self.stop()
            self.keep_in_sight()
            return
        flight(self._from, self._to, (1 - float(np.cos(np.pi * share))) / 2).apply(self.plotter)
        self.moved.emit()

"""Looking from somewhere else: the actions of the group "Look from"."""

from __future__ import annotations

from functools import partialmethod

import numpy as np

from ..scene.sides import Side, View
from ..scene.triple import Triple, triple
from .canvas import PictureWidget
from .selection import Hand

_TURN = np.radians(15.0)
_SLIDE = 0.12
_NEAR = 0.8


class Looking:
    """Moves the camera of a canvas."""

    def __init__(self, hand: Hand, canvas: PictureWidget) -> None:
        self.hand, self.canvas = hand, canvas
        self.camera = canvas.camera
        self._place: tuple[View, Triple] | None = None

    def keep_place(self) -> None:
        """Remembers from where one looks, to go back there."""
        self._place = self.camera.goal, self.camera.upright

    def go_back(self) -> None:
        """To the place that was kept; without one to the whole boat."""
        if self._place is None:
            self.whole_boat()
        else:
            view, upright = self._place
            self.camera.fly(view, upright=upright)

    def _look(self, side: Side) -> None:
        """At the frame in hand where others are out of the way, else at everything that is shown."""
        if self.canvas.stage is not None:
            self.camera.look(side, self.canvas.stage.in_sight())

    look_quarter = partialmethod(_look, "quarter")
    look_bow = partialmethod(_look, "bow")
    look_starboard_quarter = partialmethod(_look, "starboard-quarter")
    look_starboard_bow = partialmethod(_look, "starboard-bow")
    look_port = partialmethod(_look, "port")
    look_starboard = partialmethod(_look, "starboard")
    look_aft = partialmethod(_look, "aft")
    look_forward = partialmethod(_look, "forward")
    look_above = partialmethod(_look, "above")
    look_below = partialmethod(_look, "below")

    def whole_boat(self) -> None:
        """The whole boat, from the starboard bow: so her bow is on the same hand as on the station strip."""
        if self.canvas.stage is not None:
            self.camera.look("starboard-bow", self.canvas.stage.there())

    def whole_boat_at_once(self) -> None:
        """The same without a flight."""
        if self.canvas.stage is not None:
            self.camera.look("starboard-bow", self.canvas.stage.there(), at_once=True)

    def look_at_hand(self) -> None:
        """What is in hand: the finding, the body, the frame; without any the whole boat."""
        stage, now = self.canvas.stage, self.hand.now
        if stage is None:
            return
        close = stage.close_up(now.finding, self.camera.aspect)
        if close is not None:
            self.camera.fly(close.view)
        elif now.body:
            points = stage.scene.points_of(stage.scene.number[now.body])
            self.camera.look_along(self._from_here(), points, upright=self.camera.upright)
        elif now.frame:
            self.look_at_frame(now.frame)
        else:
            self.whole_boat()

    def look_at_frame(self, number: str) -> None:
        """A frame, from its forward side somewhat to port, or from where the eye is if that sees its face."""
        stage = self.canvas.stage
        if stage is None:
            return
        own = [n for n, body in enumerate(stage.scene.bodies) if body.frame == number]
        if own:
            x, y, z = self._from_here()
            direction = (x, y, z) if abs(x) > 0.6 else (0.86, 0.38, 0.34)
            self.camera.look_along(direction, stage.scene.points_of(own))

    def _from_here(self) -> Triple:
        view = self.camera.goal
        arm = np.subtract(view.position, view.target)
        return triple(arm / np.linalg.norm(arm))

    def _move(self, how: str, *by: float) -> None:
        """Has the camera turn, slide or go nearer."""
        getattr(self.camera, how)(*by)

    come_closer = partialmethod(_move, "near", _NEAR)
    go_further = partialmethod(_move, "near", 1 / _NEAR)
    go_left = partialmethod(_move, "turn", -_TURN, 0.0)
    go_right = partialmethod(_move, "turn", _TURN, 0.0)
    go_higher = partialmethod(_move, "turn", 0.0, _TURN)
    go_lower = partialmethod(_move, "turn", 0.0, -_TURN)
    slide_left = partialmethod(_move, "slide", -_SLIDE, 0.0)
    slide_right = partialmethod(_move, "slide", _SLIDE, 0.0)
    slide_up = partialmethod(_move, "slide", 0.0, _SLIDE)
    slide_down = partialmethod(_move, "slide", 0.0, -_SLIDE)

"""Looking from somewhere else: the actions of the group "Look from"."""

from __future__ import annotations

import numpy as np

from ..scene.sides import Side, View
from ..scene.triple import Triple
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

    def look_quarter(self) -> None:
        """From the port quarter."""
        self._look("quarter")

    def look_bow(self) -> None:
        """From the port bow."""
        self._look("bow")

    def look_starboard_quarter(self) -> None:
        """From the starboard quarter."""
        self._look("starboard-quarter")

    def look_starboard_bow(self) -> None:
        """From the starboard bow."""
        self._look("starboard-bow")

    def look_port(self) -> None:
        """From port."""
        self._look("port")

    def look_starboard(self) -> None:
        """From starboard."""
        self._look("starboard")

    def look_aft(self) -> None:
        """From aft."""
        self._look("aft")

    def look_forward(self) -> None:
        """From forward."""
        self._look("forward")

    def look_above(self) -> None:
        """From above."""
        self._look("above")

    def look_below(self) -> None:
        """From below."""
        self._look("below")

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
        elif now.showing.frame:
            self.look_at_frame(now.showing.frame)
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

    def _from_here(self) -> tuple[float, float, float]:
        view = self.camera.goal
        arm = np.subtract(view.position, view.target)
        x, y, z = arm / np.linalg.norm(arm)
        return float(x), float(y), float(z)

    def come_closer(self) -> None:
        """Nearer."""
        self.camera.near(_NEAR)

    def go_further(self) -> None:
        """Further off."""
        self.camera.near(1 / _NEAR)

    def go_left(self) -> None:
        """Round to the left."""
        self.camera.turn(-_TURN, 0.0)

    def go_right(self) -> None:
        """Round to the right."""
        self.camera.turn(_TURN, 0.0)

    def go_higher(self) -> None:
        """Higher, as far as straight above."""
        self.camera.turn(0.0, _TURN)

    def go_lower(self) -> None:
        """Lower, as far as straight below."""
        self.camera.turn(0.0, -_TURN)

    def slide_left(self) -> None:
        """The eye to the left."""
        self.camera.slide(-_SLIDE, 0.0)

    def slide_right(self) -> None:
        """The eye to the right."""
        self.camera.slide(_SLIDE, 0.0)

    def slide_up(self) -> None:
        """The eye up."""
        self.camera.slide(0.0, _SLIDE)

    def slide_down(self) -> None:
        """The eye down."""
        self.camera.slide(0.0, -_SLIDE)

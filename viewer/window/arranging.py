"""Showing the boat another way: the actions of the group "Show"."""

from __future__ import annotations

from functools import partialmethod

from ..scene.picking import Picked
from .canvas import PictureWidget
from .looking import Looking
from .selection import Hand, MeasuredPoint
from .walking import FrameWalk

ALONG = 260.0
"""mm between neighbouring frames that a spread adds, unless the slider says otherwise."""

OFF = 70.0
"""mm that a spread takes plates off the core; likewise."""

_CUT_STEP = 10.0


class Arranging:
    """Spreads, cuts, measures, labels and picks."""

    def __init__(self, hand: Hand, canvas: PictureWidget, frames: FrameWalk, looking: Looking) -> None:
        self.hand, self.canvas, self.frames, self.looking = hand, canvas, frames, looking
        self._spread = (ALONG, OFF)

    def spread(self, on: bool) -> None:
        """Draws frames apart and plates off their faces, as far as the sliders say."""
        if self.hand.boat is None:
            return
        if on:
            along, off = self._spread
            # neither the close-up of a finding nor a frame on its board nor a cut boat can be drawn apart
            self.hand.change(spread_on=True, along=along, off=off, finding=-1, step=0, share=1.0, cut=None)
        else:
            now = self.hand.now
            self._spread = (now.along, now.off) if now.along or now.off else (ALONG, OFF)
            self.hand.change(spread_on=False, along=0.0, off=0.0)
        self.looking.whole_boat()

    def spread_by(self, along: float, off: float) -> None:
        """Spreads so far, mm."""
        self.hand.change(along=along, off=off)

    def cut(self, on: bool) -> None:
        """Cuts the boat open at the frame in hand, or midships, and takes the side nearer to the eye away."""
        boat, now = self.hand.boat, self.hand.now
        if boat is None or self.canvas.stage is None:
            return
        if not on:
            self.hand.change(cut=None)
            return
        x = self.frames.middle(now.frame) if now.frame else sum(self.canvas.stage.reach) / 2
        keeps = -1 if self.canvas.camera.goal.position[0] > x else 1
        # what is cut stands where it is: a boat drawn apart is put together first
        self.hand.change(cut=x, cut_keeps=keeps, finding=-1, spread_on=False, along=0.0, off=0.0)

    def cut_at(self, x: float) -> None:
        """Moves the cut, mm."""
        if self.hand.now.cut is not None:
            self.hand.change(cut=x)

    def _move_cut(self, by: float) -> None:
        if self.hand.now.cut is None:
            self.cut(True)
        elif self.canvas.stage is not None:
            low, high = self.canvas.stage.reach
            self.hand.change(cut=min(max(self.hand.now.cut + by, low), high))

    cut_forward = partialmethod(_move_cut, _CUT_STEP)
    cut_aft = partialmethod(_move_cut, -_CUT_STEP)

    def turn_cut(self) -> None:
        """Keeps the other side of the cut."""
        if self.hand.boat is not None:
            self.hand.change(cut_keeps=-self.hand.now.cut_keeps)

    def measure(self, on: bool) -> None:
        """Lets clicks take points, and measures from the one to the other."""
        if self.hand.boat is not None:
            self.hand.change(measuring=on, spots=())

    def label(self, on: bool) -> None:
        """Names frames, battens, and the parts of the frame in hand."""
        if self.hand.boat is not None:
            self.hand.change(labels=on)

    def take_middle(self) -> None:
        """Takes what is in the middle of the picture, as a click would."""
        self.take(self.canvas.pick_middle())

    def take(self, picked: Picked | None) -> None:
        """Takes a body in hand, or a point for measuring; beside everything lets go of the body."""
        now = self.hand.now
        if not now.measuring:
            self.hand.change(body="" if picked is None else self._name(picked))
            return
        if picked is None:
            return
        spot = self._spot(picked)
        self.hand.change(spots=(*now.spots, spot) if len(now.spots) == 1 else (spot,))

    def take_body(self, name: str) -> None:
        """Takes a body in hand by its name."""
        boat = self.hand.boat
        if boat is not None and any(body.name == name for body in boat.bodies):
            self.hand.change(body=name)

    def _name(self, picked: Picked) -> str:
        assert self.hand.boat is not None
        return self.hand.boat.bodies[picked.body].name

    def _spot(self, picked: Picked) -> MeasuredPoint:
        assert self.canvas.stage is not None
        off = self.canvas.stage.scene.offset(picked.body)
        x, y, z = (float(a - b) for a, b in zip(picked.at, off, strict=True))
        return MeasuredPoint(at=(x, y, z), body=self._name(picked), kind=picked.kind)

    def let_go(self) -> None:
        """Lets go of everything, one thing at a time: points, measuring, body, finding, cut, then all the rest."""
        now = self.hand.now
        if now.spots:
            self.hand.change(spots=())
        elif now.measuring:
            self.hand.change(measuring=False)
        elif now.body:
            self.hand.change(body="")
        elif now.finding >= 0:
            self.hand.change(finding=-1)
            self.looking.go_back()
        elif now.cut is not None:
            self.hand.change(cut=None)
        else:
            self.hand.change(frame="", others="shown", step=0, share=1.0, spread_on=False, along=0.0, off=0.0)
            self.looking.whole_boat()

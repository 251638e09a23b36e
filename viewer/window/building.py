"""Putting the boat together: the actions of the group "Build order"."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partialmethod
from typing import NamedTuple

import numpy as np
from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from scrieve.model.sequence.steps import Step

from ..scene.apart import up_at
from ..scene.bench import has_legs
from ..scene.triple import triple
from .looking import Looking
from .selection import Hand

COMING = 1100
"""milliseconds that what a step adds takes to its place."""

RESTING = 700
"""milliseconds from there to the next step."""

_BEAT = 30
_OVER = 1.15  # how steeply the bench is looked down upon: so much up for 1 back
_RAISED = 260.0  # mm above the bench for which there is room in the picture


class Building(QObject):
    """Walks through the steps and plays them. `playing_changed` tells when playing begins or ends."""

    playing_changed = Signal(bool)

    def __init__(self, hand: Hand, looking: Looking, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.hand, self.looking = hand, looking
        self.coming, self.resting = COMING, RESTING
        self._on = False
        self._clock = QElapsedTimer()
        self._beat = QTimer(self)
        self._beat.setInterval(_BEAT)
        self._beat.timeout.connect(self._move)

    @property
    def playing(self) -> bool:
        """Whether one step follows the other by itself."""
        return self._on

    @property
    def moving(self) -> bool:
        """Whether something is on its way, or waits for the next step."""
        return self._beat.isActive()

    def take(self, number: int) -> None:
        """Takes a step in hand by its number, and lets what it adds come in."""
        boat = self.hand.boat
        if boat is None or not 1 <= number <= len(boat.steps):
            return
        before = self.hand.now.step
        step = boat.steps[number - 1]
        self.hand.change(
            finding=-1, body="", cut=None, spread_on=False, along=0.0, off=0.0,
            frame=step.frame, others="shown", step=number, share=0.0,
        )  # fmt: skip
        if not before or _scene_of(boat.steps, before) != _scene_of(boat.steps, number):
            self._look(step)
        self._clock.start()
        self._beat.start()

    def move_to(self, share: float) -> None:
        """Shows what the step adds this share of its way in, and stops there."""
        if self.hand.now.step:
            self.stop()
            self.hand.change(share=min(max(share, 0.0), 1.0))

    def play(self, on: bool) -> None:
        """Plays on from the step in hand, or from the first; or pauses."""
        if self.hand.boat is None or not self.hand.boat.steps:
            on = False
        if on == self._on:
            return
        self._on = on
        self.playing_changed.emit(on)
        if not on:
            self._beat.stop()
            return
        now = self.hand.now
        last = len(self.hand.boat.steps) if self.hand.boat is not None else 0
        if now.step == 0 or (now.step == last and now.share >= 1.0):
            self.take(1)
        elif now.share >= 1.0:
            self.take(now.step + 1)
        else:
            self.take(now.step)

    def _walk(self, by: int) -> None:
        """From the finished boat to the first step, or to the last."""
        if self.hand.boat is None or not self.hand.boat.steps:
            return
        count, now = len(self.hand.boat.steps), self.hand.now.step
        self.take(min(max(now + by, 1), count) if now else (1 if by > 0 else count))

    next_step = partialmethod(_walk, 1)
    previous_step = partialmethod(_walk, -1)

    def finished_boat(self) -> None:
        """All of it, put together."""
        self.stop()
        self.hand.change(step=0, share=1.0)
        self.looking.whole_boat()

    def stop(self) -> None:
        """Nothing moves any more."""
        self.play(False)
        self._beat.stop()

    def _move(self) -> None:
        boat, now = self.hand.boat, self.hand.now
        if boat is None or not now.step:  # somebody took something else in hand
            self.stop()
            return
        step, past = boat.steps[now.step - 1], self._clock.elapsed()
        coming = self.coming if step.adds or step.screws else 0
        share = 1.0 if past >= coming else past / coming
        self.hand.change(share=share * share * (3 - 2 * share))
        if share < 1.0:
            return
        if not self._on:
            self._beat.stop()
        elif past >= coming + self.resting:
            if now.step == len(boat.steps):
                self.stop()
            else:
                self.take(now.step + 1)

    def _look(self, step: Step) -> None:
        """A frame on the bench lies before whoever stands at its foot; setting up wants the whole boat."""
        stage = self.looking.canvas.stage
        if stage is None:
            return
        numbers = range(len(stage.scene.bodies))
        if step.stage != "bench":
            self.looking.camera.look("starboard-bow", stage.at_home(numbers))
            return
        # the legs, which go on last, reach far over the board: until then one is nearer without them
        legged = has_legs(step, stage.boat.steps)
        own = [
            n
            for n, body in enumerate(stage.scene.bodies)
            if body.frame == step.frame and (legged or body.kind != "leg")
        ]
        frame = next(frame for frame in stage.boat.assembly.frames if frame.number == step.frame)
        side = up_at(step)
        up, foot = frame.placement.vector_to_hull([(0.0, 0.0, side), (0.0, -1.0, 0.0)])
        points = stage.at_home(own)
        self.looking.camera.look_along(
            triple(up * _OVER + foot), np.concatenate([points, points + up * _RAISED]), upright=triple(up)
        )


class _SceneOf(NamedTuple):
    """Steps with the same scene are seen alike: one frame on the bench with one face up, or all of setting up."""

    stage: str
    frame: str = ""
    side_up: float = 1.0
    legged: bool = False


def _scene_of(steps: Sequence[Step], number: int) -> _SceneOf:
    step = steps[number - 1]
    if step.stage != "bench":
        return _SceneOf(step.stage)
    return _SceneOf(step.stage, step.frame, up_at(step), has_legs(step, steps))

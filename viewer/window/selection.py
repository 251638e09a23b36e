"""What is in hand in the window, as a value, and the one place that holds it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PySide6.QtCore import QObject, Signal

from scrieve.model.sequence.steps.step import Step

from ..scene.showing import Showing
from ..scene.triple import Triple
from .boat import LoadedBoat


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPoint:
    """A point taken for measuring: hull axes, mm, as the boat is set up; `body` is the body it lies on."""

    at: Triple
    body: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection(Showing):
    """Everything that decides what is seen, but for the camera.

    `finding` is a place in the list of findings, -1 for none; `body` the name of what was picked, "" for
    nothing. `spread_on` is whether the boat is being spread, be it by 0 mm. `cut` is the x (mm) of the cutting
    plane, None where the boat is whole; `cut_keeps` the side of it that stays. `spots` are the points taken, two
    at the most.
    """

    finding: int = -1
    body: str = ""
    spread_on: bool = False
    cut: float | None = None
    cut_keeps: int = -1
    labels: bool = False
    measuring: bool = False
    spots: tuple[MeasuredPoint, ...] = ()


class Hand(QObject):
    """Holds the boat and what of it is in hand. Whoever shows something of it listens to `changed`.

    `changed` hands over what was in hand before, and so does `boat_changed`, told when there is another boat.
    """

    changed = Signal(object)
    boat_changed = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.now = Selection()
        self.boat: LoadedBoat | None = None

    def change(self, **changes: Any) -> None:
        """Changes these fields of the selection, and tells of it once; where all are as they were, not at all."""
        now = replace(self.now, **changes)
        if now != self.now:
            before, self.now = self.now, now
            self.changed.emit(before)

    def take_boat(self, boat: LoadedBoat) -> None:
        """Another boat, or the same read anew: what is in hand stays as far as it is still there."""
        before, self.now = self.now, _kept(self.now, self.boat, boat)
        self.boat = boat
        self.boat_changed.emit(before)


def _kept(now: Selection, before: LoadedBoat | None, boat: LoadedBoat) -> Selection:
    if now.frame not in {frame.number for frame in boat.assembly.frames}:
        now = replace(now, frame="", others="shown")
    if now.step and before is not None:
        step = _step_again(now.step, before, boat)
        now = replace(now, step=step, share=now.share if step else 1.0)
    return replace(
        now,
        finding=_finding_again(now.finding, before, boat),
        body=now.body if any(body.name == now.body for body in boat.bodies) else "",
        spots=_spots_again(now.spots, before, boat),
    )


def _step_again(number: int, before: LoadedBoat, boat: LoadedBoat) -> int:
    """The number of the step that does the same to the same; 0 where there is none any more.

    Where several do, as where screws are driven from both faces, it is the first again, or the second.
    """
    doing = _doing(before.steps[number - 1])
    were, are = ([step.number for step in each.steps if _doing(step) == doing] for each in (before, boat))
    return are[min(were.index(number), len(are) - 1)] if are else 0


def _doing(step: Step) -> tuple[object, ...]:
    return step.stage, step.frame, step.kind, step.names


def _spots_again(
    spots: tuple[MeasuredPoint, ...], before: LoadedBoat | None, boat: LoadedBoat
) -> tuple[MeasuredPoint, ...]:
    """Those on bodies that are as they were: of another one nobody knows where its corner has gone."""
    if before is None:
        return ()
    was, is_now = ({body.name: body.points for body in each.bodies} for each in (before, boat))
    return tuple(spot for spot in spots if spot.body in is_now and np.array_equal(was[spot.body], is_now[spot.body]))


def _finding_again(finding: int, before: LoadedBoat | None, boat: LoadedBoat) -> int:
    """Where the finding is now: the same, else one of the same check on the same parts; -1 where it is gone."""
    if finding < 0 or before is None:
        return -1
    wanted = before.findings[finding]
    if wanted in boat.findings:
        return boat.findings.index(wanted)
    alike = [n for n, each in enumerate(boat.findings) if (each.check, each.parts) == (wanted.check, wanted.parts)]
    return alike[0] if alike else -1

"""What is in hand in the window, as a value, and the one place that holds it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from ..scene.showing import Showing
from .boat import Boat

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A point taken for measuring: hull axes, mm, as the boat is set up; `body` is the body it lies on."""

    at: Place
    body: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """Everything that decides what is seen, but for the camera.

    `finding` is a place in the list of findings, -1 for none; `body` the name of what was picked, "" for
    nothing. `cut` is the x (mm) of the cutting plane, None where the boat is whole; `cut_keeps` the side of it
    that stays. `spots` are the points taken, two at the most.
    """

    showing: Showing = field(default_factory=Showing)
    finding: int = -1
    body: str = ""
    cut: float | None = None
    cut_keeps: int = -1
    labels: bool = False
    measuring: bool = False
    spots: tuple[Spot, ...] = ()


class Hand(QObject):
    """Holds the boat and what of it is in hand. Whoever shows something of it listens to `changed`.

    `changed` hands over what was in hand before; `boat_changed` is told when there is another boat.
    """

    changed = Signal(object)
    boat_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.now = InHand()
        self.boat: Boat | None = None

    def take(self, **changes: Any) -> None:
        """Changes these fields of what is in hand."""
        self._put(replace(self.now, **changes))

    def show(self, **changes: Any) -> None:
        """Changes these fields of what is shown."""
        self._put(replace(self.now, showing=replace(self.now.showing, **changes)))

    def _put(self, now: InHand) -> None:
        if now != self.now:
            before, self.now = self.now, now
            self.changed.emit(before)

    def take_boat(self, boat: Boat) -> None:
        """Another boat, or the same read anew: what is in hand stays as far as it is still there."""
        before, self.boat = self.boat, boat
        self.now = _kept(self.now, before, boat)
        self.boat_changed.emit()


def _kept(now: InHand, before: Boat | None, boat: Boat) -> InHand:
    frames = {frame.number for frame in boat.assembly.frames}
    showing = now.showing
    if showing.frame not in frames:
        showing = replace(showing, frame="", others="shown")
    if showing.step > len(boat.steps):
        showing = replace(showing, step=0, share=1.0)
    names = {body.name for body in boat.bodies}
    return replace(
        now,
        showing=showing,
        finding=_again(now.finding, before, boat),
        body=now.body if now.body in names else "",
        spots=tuple(spot for spot in now.spots if spot.body in names),
    )


def _again(finding: int, before: Boat | None, boat: Boat) -> int:
    """Where the finding is now: the same, else one of the same check on the same parts; -1 where it is gone."""
    if finding < 0 or before is None:
        return -1
    wanted = before.findings[finding]
    if wanted in boat.findings:
        return boat.findings.index(wanted)
    alike = [n for n, each in enumerate(boat.findings) if (each.check, each.parts) == (wanted.check, wanted.parts)]
    return alike[0] if alike else -1

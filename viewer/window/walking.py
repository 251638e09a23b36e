"""Walking along the boat: the actions of the groups "Frame" and "Findings"."""

from __future__ import annotations

from functools import partialmethod

from ..scene.body import State
from .looking import Looking
from .selection import Hand


class FrameWalk:
    """Takes frames and their parts in hand, one after the other."""

    def __init__(self, hand: Hand, looking: Looking) -> None:
        self.hand, self.looking = hand, looking

    def take(self, number: str) -> None:
        """Takes this frame in hand and lets go of finding and step; the cut goes with it."""
        now, boat = self.hand.now, self.hand.boat
        if boat is None:
            return
        cut = now.cut if now.cut is None else self.middle(number)
        self.hand.change(finding=-1, body="", cut=cut, frame=number, step=0, share=1.0)
        if now.step:  # from the bench, where the boat does not stand upright
            self.looking.whole_boat()
        elif now.others != "shown" or self.hand.now.finding != now.finding:
            self.looking.look_at_frame(number)

    def middle(self, number: str) -> float:
        """The x of the middle of a frame's core on the datum plane, mm."""
        assert self.hand.boat is not None
        frame = next(frame for frame in self.hand.boat.assembly.frames if frame.number == number)
        return frame.placement.point(0.0, 0.0, (frame.core_low + frame.core_high) / 2)[0]

    def _step(self, by: int) -> None:
        if self.hand.boat is None or not self.hand.boat.assembly.frames:
            return
        numbers = [frame.number for frame in self.hand.boat.assembly.frames]  # from aft
        now = self.hand.now.frame
        place = numbers.index(now) + by if now in numbers else (0 if by > 0 else len(numbers) - 1)
        self.take(numbers[min(max(place, 0), len(numbers) - 1)])

    next_frame = partialmethod(_step, 1)
    previous_frame = partialmethod(_step, -1)

    def fade_others(self, on: bool) -> None:
        """Fades what does not belong to the frame in hand."""
        self._others("faded" if on else "shown")

    def only_frame(self, on: bool) -> None:
        """Shows the frame in hand and nothing else."""
        self._others("hidden" if on else "shown")

    def _others(self, others: State) -> None:
        boat, now = self.hand.boat, self.hand.now
        if boat is None or not boat.assembly.frames:
            return
        frame = now.frame or boat.assembly.frames[len(boat.assembly.frames) // 2].number
        self.hand.change(finding=-1, others=others, frame=frame, step=0, share=1.0)
        if others == "shown":
            self.looking.whole_boat()
        else:
            self.looking.look_at_frame(frame)

    def _part(self, by: int) -> None:
        """Along what is seen of the frame in hand, or of the boat."""
        stage, now = self.looking.canvas.stage, self.hand.now
        if stage is None:
            return
        frame = now.frame
        names = [
            body.name
            for n, body in enumerate(stage.scene.bodies)
            if body.kind != "screw" and frame in ("", body.frame) and stage.scene.state(n) != "hidden"
        ]
        if names:
            place = names.index(now.body) + by if now.body in names else (0 if by > 0 else -1)
            self.hand.change(body=names[place % len(names)])

    next_part = partialmethod(_part, 1)
    previous_part = partialmethod(_part, -1)


class FindingWalk:
    """Takes findings in hand, one after the other."""

    def __init__(self, hand: Hand, looking: Looking) -> None:
        self.hand, self.looking = hand, looking

    def take(self, finding: int) -> None:
        """Takes this finding in hand, by its place in the list, and flies to it; lets go of step, spread and cut."""
        boat = self.hand.boat
        if boat is None or not 0 <= finding < len(boat.findings):
            return
        if self.hand.now.finding < 0:
            self.looking.keep_place()
        frame = boat.findings[finding].frame
        known = any(each.number == frame for each in boat.assembly.frames)
        self.hand.change(
            finding=finding, body="", cut=None, spread_on=False, along=0.0, off=0.0,
            frame=frame if known else "", others="shown", step=0, share=1.0,
        )  # fmt: skip
        self.looking.look_at_hand()

    def _step(self, by: int) -> None:
        if self.hand.boat is None or not self.hand.boat.findings:
            return
        count, now = len(self.hand.boat.findings), self.hand.now.finding
        self.take((now + by) % count if now >= 0 else (0 if by > 0 else count - 1))

    next_finding = partialmethod(_step, 1)
    previous_finding = partialmethod(_step, -1)

"""What is shown of the boat, as a value, and what that makes of every body: its state and where it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.steps import Adding, Step

from .apart import is_apart, lying_at
from .body import Body
from .kinds import State

COMING = 350.0
"""mm; from how far off a part is seen coming to its place. Far enough to see the way, near enough to see the part."""

SCREW_COMING = 60.0
"""mm; the same for a screw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Showing:
    """What is shown. `frame` is the number of the frame in hand, "" for none; the others are seen as `others`.

    `step` is the number of the step of the build order that is shown, 0 for the finished boat; `share` how far
    what it adds has come, 0 to 1. `along` and `off` spread the boat, mm (see `spread`).
    """

    frame: str = ""
    others: State = "shown"
    step: int = 0
    share: float = 1.0
    along: float = 0.0
    off: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arrangement:
    """For n bodies: `states` by number, `offsets` (n, 3) mm, hull axes, and which are `coming` in the step shown.

    `ways` (n, 3) mm are how far off its place each begins, `left` how much of that is still to go.
    """

    states: tuple[State, ...]
    offsets: NDArray[np.float64]
    coming: frozenset[int]
    ways: NDArray[np.float64]
    left: NDArray[np.float64]


def arranged(bodies: Sequence[Body], assembly: Assembly, steps: Sequence[Step], showing: Showing) -> Arrangement:
    """What `showing` makes of the bodies. Dowels are seen only while a frame lies on them."""
    states: list[State] = ["hidden" if body.kind == "dowel" else "shown" for body in bodies]
    offsets = spread(bodies, along=showing.along, off=showing.off)
    coming: frozenset[int] = frozenset()
    ways = np.zeros_like(offsets)
    if showing.step:
        step = steps[showing.step - 1]
        states, coming = _built(bodies, steps, step)
        ways = _ways(bodies, assembly, step, coming)
        offsets = offsets + (1.0 - showing.share) * ways + _off_the_frame(bodies, assembly, steps, step)
    elif showing.frame:
        states = [
            state if state == "hidden" or body.frame == showing.frame else showing.others
            for state, body in zip(states, bodies, strict=True)
        ]
    if showing.along:  # battens and rails stay where they are, and the frames have left them
        states = [
            state if body.frame or state == "hidden" else "faded" for state, body in zip(states, bodies, strict=True)
        ]
    left = (1.0 - showing.share) * ways
    return Arrangement(states=tuple(states), offsets=offsets, coming=coming, ways=ways, left=left)


def _built(bodies: Sequence[Body], steps: Sequence[Step], step: Step) -> tuple[list[State], frozenset[int]]:
    """What stands once `step` is done, and which of it the step adds; on the bench, of its frame alone."""
    there, coming = set[int](), set[int]()
    number = {body.name: n for n, body in enumerate(bodies)}
    for done in steps[: step.number]:
        if done.stage != step.stage or (step.stage == "bench" and done.frame != step.frame):
            continue
        there |= (added := _added(done, bodies, number))
        if done.kind == "turn":  # over, and off the dowels
            there -= {n for n in there if bodies[n].kind == "dowel"}
        coming = added
    if is_apart(steps, step):
        there -= {n for n in there if bodies[n].kind == "screw"}
    if step.kind == "glue":  # back onto the dowels; what is on the other face comes when it has been turned again
        there |= {n for n, body in enumerate(bodies) if body.kind == "dowel" and body.frame == step.frame}
        later = {name for done in steps[: step.number] for each in done.screws for name in each.screws
                 if each.driven_from != step.up}  # fmt: skip
        there -= {n for n in there if bodies[n].name in later}
    return ["shown" if n in there else "hidden" for n in range(len(bodies))], frozenset(coming)


def _off_the_frame(
    bodies: Sequence[Body], assembly: Assembly, steps: Sequence[Step], step: Step
) -> NDArray[np.float64]:
    """(n, 3) mm: how far from their places things of a frame lie on the board that is apart, or being glued."""
    out = np.zeros((len(bodies), 3))
    frame = next((frame for frame in assembly.frames if frame.number == step.frame), None)
    lying = None if frame is None else lying_at(frame, steps, step)
    if frame is not None and lying is not None:
        for n, body in enumerate(bodies):
            if body.frame == frame.number:
                out[n] = frame.placement.vector_to_hull([lying.parts.get(body.name, lying.others)])[0]
    return out


def _added(step: Step, bodies: Sequence[Body], number: Mapping[str, int]) -> set[int]:
    added = {number[name] for name in step.names if name in number}
    added |= {number[name] for driving in step.screws for name in driving.screws if name in number}
    if step.kind == "frame":
        added |= {n for n, body in enumerate(bodies) if body.frame == step.frame and body.kind != "dowel"}
    if step.kind == "strongback":
        added |= {n for n, body in enumerate(bodies) if body.kind == "rail"}
    return added


def _ways(bodies: Sequence[Body], assembly: Assembly, step: Step, coming: frozenset[int]) -> NDArray[np.float64]:
    """(n, 3) mm: how far off its place each body is seen when the step begins."""
    ways = np.zeros((len(bodies), 3))
    for adding in step.adds:
        way = _toward(adding, assembly, step)
        names = set(adding.names)
        for n in coming:
            if bodies[n].name in names or step.kind == "frame":
                ways[n] = -COMING * way
    for n in coming:
        if bodies[n].kind == "screw" and step.stage == "bench":
            # they follow the plates that they go through
            far = SCREW_COMING + (COMING if step.adds else 0.0)
            ways[n] = far * np.array(bodies[n].outward) / np.linalg.norm(bodies[n].outward)
    return ways


def _toward(adding: Adding, assembly: Assembly, step: Step) -> NDArray[np.float64]:
    """The unit vector of the way in, hull axes; zero where nothing moves straight."""
    if adding.toward is None:
        return np.zeros(3)
    if step.stage == "setting up":
        return np.array(adding.toward)
    frame = next(frame for frame in assembly.frames if frame.number == step.frame)
    return np.asarray(frame.placement.vector_to_hull([adding.toward])[0])


def spread(bodies: Sequence[Body], *, along: float, off: float) -> NDArray[np.float64]:
    """(bodies, 3) mm, hull axes: how far each stands off its place.

    `along` is what is added between neighbouring frames along x, `off` how far plates leave the core along
    the frame's normal (screws twice that). Battens and rails stay.
    """
    frames = list(dict.fromkeys(body.frame for body in bodies if body.frame))
    middle = (len(frames) - 1) / 2
    steps = {frame: (n - middle) * along for n, frame in enumerate(frames)}
    out = np.array([body.outward for body in bodies]) * off
    out[:, 0] += [steps.get(body.frame, 0.0) for body in bodies]
    return out

"""What is shown of the boat, as a value, and what that makes of every body: its state and where it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps import Adding, Step
from scrieve.shared.kept import kept

from .bench import up_at
from .body import Body
from .kinds import State

COMING = 350.0
"""mm; from how far off a part is seen coming to its place. Far enough to see the way, near enough to see the part."""

SCREW_COMING = 60.0
"""mm; the same for a screw."""

_CLEAR = 14.0  # mm between what lies on the board
_STEP = 18.0  # mm from one place that is tried to the next
_FARTHEST = 900.0  # mm
_ROUND = 24  # directions

PLATES = frozenset({"gusset", "plate"})
"""What comes off when the screws are out: kinds of parts."""


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
    if _is_apart(steps, step):
        there -= {n for n in there if bodies[n].kind == "screw"}
    return ["shown" if n in there else "hidden" for n in range(len(bodies))], frozenset(coming)


def _is_apart(steps: Sequence[Step], step: Step) -> bool:
    """Whether the screws are out and the plates off at a step: until they are glued on."""
    if step.stage != "bench":
        return False
    own = [each.kind for each in steps[: step.number] if each.stage == "bench" and each.frame == step.frame]
    return "apart" in own and "glue" not in own[own.index("apart") :]


def _off_the_frame(
    bodies: Sequence[Body], assembly: Assembly, steps: Sequence[Step], step: Step
) -> NDArray[np.float64]:
    """(n, 3) mm: how far from their places the plates of a frame lie that is apart, on the board beside it."""
    out = np.zeros((len(bodies), 3))
    if _is_apart(steps, step):
        frame = next(frame for frame in assembly.frames if frame.number == step.frame)
        lie = beside(frame, up_at(step))
        for n, body in enumerate(bodies):
            if body.name in lie:
                out[n] = frame.placement.vector_to_hull([lie[body.name]])[0]
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


@kept
def beside(frame: Frame, up: float) -> dict[str, NDArray[np.float64]]:
    """By the names of the plates of a frame: how far (y, v, w) from its place each lies flat on the board, mm.

    `up` is 1 where the forward face is up, -1 where the aft one is. Each lies as near to its place as it can
    without lying on the core or on another.
    """
    plates = [part for part in frame.parts if part.role in PLATES]
    core = shapely.union_all([part.shape for part in frame.parts if part.role not in (*PLATES, "leg")])
    taken = shapely.buffer(shapely.simplify(core, 1.0), _CLEAR)
    # the board is under the lowest of all that lay on it
    depths = [frame.core_low, frame.core_high, *(w for part in plates for w in (part.low, part.high))]
    floor = min(w * up for w in depths)
    out: dict[str, NDArray[np.float64]] = {}
    for part in sorted(plates, key=lambda part: part.name):
        rough = shapely.simplify(part.shape, 1.0)
        by = _nearest_free(rough, taken)
        taken = shapely.union(taken, shapely.buffer(shapely.transform(rough, lambda p, by=by: p + by), _CLEAR))
        lowest = min(part.low * up, part.high * up)
        out[part.name] = np.array([*by, (floor - lowest) * up])
    return out


def _nearest_free(shape: shapely.Polygon, taken: shapely.Geometry) -> NDArray[np.float64]:
    """(2,): by how much the shape has to move to be clear of what is taken, the least that is tried."""
    shapely.prepare(taken)
    turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    for far in np.arange(_STEP, _FARTHEST, _STEP):
        moved = np.array([shapely.transform(shape, lambda p, by=by: p + by) for by in ways * far], dtype=object)
        free = ~shapely.intersects(taken, moved)
        if free.any():
            return np.asarray(ways[int(np.argmax(free))] * far)
    return np.array([0.0, -_FARTHEST])

"""A frame on the board that is taken apart or being glued: where its parts lie beside one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.sequence.steps import Step
from scrieve.shared.kept import kept

Vector: TypeAlias = NDArray[np.float64]

_CLEAR = 14.0  # mm between what lies on the board
_STEP = 18.0  # mm from one place that is tried to the next
_FARTHEST = 900.0  # mm
_ROUND = 24  # directions
_APART = 60.0  # mm from its place to where a part of a core lies that is apart

PLATES = frozenset({"gusset", "plate"})
"""What comes off when the screws are out: kinds of parts."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartsLying:
    """How far from their places (y, v, w) things of a frame lie, mm: its `parts` by name, and all `others`."""

    parts: Mapping[str, Vector]
    others: Vector


def up_at(step: Step) -> float:
    """1 where the frame's forward face is up on the bench at this step, -1 where its aft face is."""
    return -1.0 if step.up == "aft" else 1.0


def is_apart(steps: Sequence[Step], step: Step) -> bool:
    """Whether the screws are out and the frame is in its parts at a step: until it is glued."""
    if step.stage != "bench":
        return False
    own = [each.kind for each in steps[: step.number] if each.stage == "bench" and each.frame == step.frame]
    return "apart" in own and "glue" not in own[own.index("apart") :]


def lying_at(frame: Frame, steps: Sequence[Step], step: Step) -> PartsLying | None:
    """Where things of the frame lie at a step at which it is apart or glued; None where all are in their places."""
    if is_apart(steps, step):
        return lying_apart(frame, up_at(step))
    return lying_glued(frame, up_at(step)) if step.stage == "bench" and step.kind == "glue" else None


@kept
def lying_apart(frame: Frame, up: float) -> PartsLying:
    """All parts flat on the board, the core's drawn apart, the plates beside it; `up` is 1 with the forward face up."""
    centres = {part.name: np.array(part.centre) for part in frame.core}
    middle = np.mean([*centres.values()], axis=0) if centres else np.zeros(2)
    out: dict[str, Vector] = {}
    for part in frame.core:
        way = centres[part.name] - middle
        far = float(np.hypot(*way))
        out[part.name] = np.array([*(way * _APART / far if far > 1.0 else np.zeros(2)), _drop(frame, part, up)])
    return PartsLying(parts=out | _beside(frame, up, _plates(frame), out), others=np.zeros(3))


@kept
def lying_glued(frame: Frame, up: float) -> PartsLying:
    """The frame on the board with the plates of the face that is up, those of the other still beside it."""
    face = "forward" if up > 0.0 else "aft"
    down = np.array([0.0, 0.0, (_floor(frame, up) - min(frame.core_low * up, frame.core_high * up)) * up])
    return PartsLying(parts=_beside(frame, up, [part for part in _plates(frame) if part.face != face], {}), others=down)


def _plates(frame: Frame) -> list[Part]:
    return [part for part in frame.parts if part.role in PLATES]


def _floor(frame: Frame, up: float) -> float:
    """The board is under the lowest of all that lay on it."""
    spans = [(frame.core_low, frame.core_high), *((part.low, part.high) for part in _plates(frame))]
    return min(w * up for span in spans for w in span)


def _drop(frame: Frame, part: Part, up: float) -> float:
    return (_floor(frame, up) - min(part.low * up, part.high * up)) * up


def _beside(frame: Frame, up: float, plates: Sequence[Part], moved: Mapping[str, Vector]) -> dict[str, Vector]:
    """How far from its place each plate lies flat on the board, where parts of the core are `moved`.

    Each lies as near to its place as it can without lying on the core or on another.
    """
    core = [part for part in frame.parts if part.role not in (*PLATES, "leg")]
    shapes = [shifted(part.shape, moved.get(part.name, np.zeros(3))) for part in core]
    taken = shapely.buffer(shapely.simplify(shapely.union_all(shapes), 1.0), _CLEAR)
    out: dict[str, Vector] = {}
    for part in sorted(plates, key=lambda part: part.name):
        rough = shapely.simplify(part.shape, 1.0)
        by = _nearest_free(rough, taken)
        taken = shapely.union(taken, shapely.buffer(shifted(rough, by), _CLEAR))
        out[part.name] = np.array([*by, _drop(frame, part, up)])
    return out


def shifted(shape: shapely.Polygon, by: Vector) -> shapely.Polygon:
    """The shape (y, v) elsewhere in its plane."""
    return shapely.transform(shape, lambda points: points + by[:2])


def _nearest_free(shape: shapely.Polygon, taken: shapely.Geometry) -> Vector:
    """(2,): by how much the shape has to move to be clear of what is taken, the least that is tried."""
    shapely.prepare(taken)
    turns = 2 * np.pi * np.arange(_ROUND) / _ROUND
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    for far in np.arange(_STEP, _FARTHEST, _STEP):
        moved = np.array([shifted(shape, by) for by in ways * far], dtype=object)
        free = ~shapely.intersects(taken, moved)
        if free.any():
            return np.asarray(ways[int(np.argmax(free))] * far)
    return np.array([0.0, -_FARTHEST])

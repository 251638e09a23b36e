"""The bench: which way a frame lies on the assembly board at a step, and the board beneath it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.model.assembly import Assembly
from scrieve.model.board import board_of
from scrieve.model.frame import Frame
from scrieve.model.steps import Step

from .body import Body, Indices, Points, prism_mesh

THICK = 18.0
"""mm; how thick the board is drawn. It has to hold dowels, no more."""

_BEYOND = 60.0  # mm past a frame for which no board is known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """A frame lying on the board. `up` is the unit vector, hull axes, that points up from the bench.

    `points` and `triangles` are those of the board, `lines` its edges, centreline and datum line; hull axes, mm.
    """

    up: tuple[float, float, float]
    points: Points
    triangles: Indices
    lines: tuple[tuple[Points, Points], ...]


def bench_of(step: Step, steps: Sequence[Step], assembly: Assembly, lying: Sequence[Body]) -> Bench:
    """The bench at a step of a frame, under the bodies that lie there."""
    frame = next(frame for frame in assembly.frames if frame.number == step.frame)
    up = up_at(step, steps)
    placement = frame.placement
    # the core lies on the board, or on what is under it
    depths = [placement.to_frame(body.points)[:, 2] for body in lying if body.kind != "screw"]
    top = float((np.concatenate([[frame.core_low, frame.core_high], *depths]) * up).min()) * up
    left, low, right, high = _extent(frame, assembly)
    under = top - up * THICK
    points, triangles, edges = prism_mesh(shapely.box(left, low, right, high), min(top, under), max(top, under))
    lines = [(points[a], points[b]) for a, b in edges]
    above = top + up * 0.5
    marks = [((0.0, low, above), (0.0, high, above))]
    if low < 0.0 < high:
        marks.append(((left, 0.0, above), (right, 0.0, above)))
    lines += [(np.array(a), np.array(b)) for a, b in marks]
    x, y, z = placement.vector_to_hull([(0.0, 0.0, up)])[0]
    return Bench(
        up=(float(x), float(y), float(z)),
        points=placement.to_hull(points),
        triangles=triangles,
        lines=tuple((placement.to_hull([a])[0], placement.to_hull([b])[0]) for a, b in lines),
    )


def up_at(step: Step, steps: Sequence[Step]) -> float:
    """1 where the frame's forward face is up at this step, -1 where its aft face is.

    Parts come down onto the face that is up; a frame that is turned over is seen as it lies afterwards.
    """
    own = [other for other in steps if other.stage == "bench" and other.frame == step.frame]
    here = [other.number for other in own].index(step.number)
    before, after = own[: here + 1][::-1], own[here + 1 :]
    order = [*after, *before] if step.kind == "turn" else [*before, *after]
    for other in order:
        for adding in other.adds:
            if adding.toward is not None and abs(adding.toward[2]) > 0.5:
                return -float(np.sign(adding.toward[2]))
    return 1.0


def _extent(frame: Frame, assembly: Assembly) -> tuple[float, float, float, float]:
    """Left, low, right and high of the assembly board; of a piece under the frame where no dowels make one."""
    board = board_of(assembly)
    if board.holes:
        return -board.half, board.low, board.half, board.high
    shapes = [part.shape.bounds for part in frame.parts]
    left, low = np.min(shapes, axis=0)[:2] - _BEYOND
    right, high = np.max(shapes, axis=0)[2:] + _BEYOND
    return float(left), float(low), float(right), float(high)

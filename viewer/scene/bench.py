"""The bench: which way a frame lies on the assembly board at a step, and the board beneath it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.board import Board, board_of
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps import Step

from .apart import up_at
from .bench_things import BenchThing, rests_at, things_on
from .body import Body, Indices, Points, prism_mesh
from .triple import Triple, triple

THICK = 18.0
"""mm; how thick the board is drawn. It has to hold dowels, no more."""

_ABOVE = 0.5  # mm above the board, for what is drawn on it
_ROUND = 32  # corners of a hole
_CHAIN, _GAP = (36.0, 8.0), 8.0  # mm
_BEYOND = 60.0  # mm past a frame for which no board is known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchHole:
    """A hole of the board: its `rim` (n, 3), hull axes, mm. `own`: a dowel of the frame on it stands there."""

    rim: Points
    own: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """A frame lying on the board. `up` is the unit vector, hull axes, that points up from the bench.

    `points` and `triangles` are those of the board, `lines` its edges, `rules` its centreline and datum line,
    dashed; hull axes, mm. Once the frame has been turned over its holes lie under it the other way about, and
    none is its own. `things` are what is on the board beside parts of the boat: strips, film, weights, glue.
    """

    up: Triple
    points: Points
    triangles: Indices
    lines: tuple[tuple[Points, Points], ...]
    rules: tuple[tuple[Points, Points], ...]
    holes: tuple[BenchHole, ...]
    things: tuple[BenchThing, ...] = ()


def bench_of(step: Step, steps: Sequence[Step], assembly: Assembly, lying: Sequence[Body]) -> Bench:
    """The bench at a step of a frame, under the bodies that lie there."""
    frame = next(frame for frame in assembly.frames if frame.number == step.frame)
    up = up_at(step)
    placement = frame.placement
    # the core lies on the board, or on what is under it
    depths = [placement.to_frame(body.points)[:, 2] for body in lying if body.kind != "screw"]
    lowest = float((np.concatenate([[frame.core_low, frame.core_high], *depths]) * up).min())
    if (rests := rests_at(steps, step)) is not None:
        lowest = min(lowest, min(frame.core_low * up, frame.core_high * up) - rests.strips)
    top = lowest * up
    board = board_of(assembly)
    left, low, right, high = _extent(frame, board)
    under = top - up * THICK
    points, triangles, edges = prism_mesh(shapely.box(left, low, right, high), min(top, under), max(top, under))
    above = top + up * _ABOVE
    dashes = [((0.0, a, above), (0.0, b, above)) for a, b in _dashes(low, high)]
    if low < 0.0 < high:
        dashes += [((a, 0.0, above), (b, 0.0, above)) for a, b in _dashes(left, right)]
    return Bench(
        up=triple(placement.vector_to_hull([(0.0, 0.0, up)])[0]),
        points=placement.to_hull(points),
        triangles=triangles,
        lines=tuple((placement.to_hull([points[a]])[0], placement.to_hull([points[b]])[0]) for a, b in edges),
        rules=tuple((placement.to_hull([a])[0], placement.to_hull([b])[0]) for a, b in dashes),
        holes=tuple(_holes(step, steps, frame, board, above)),
        things=tuple(things_on(frame, steps, step, top)),
    )


def _holes(step: Step, steps: Sequence[Step], frame: Frame, board: Board, above: float) -> Iterator[BenchHole]:
    """The holes as they lie beneath the frame, in its own coordinates."""
    laid = next((each for each in steps if each.stage == "bench" and each.frame == step.frame), step)
    up = up_at(step)
    turned = step.up != laid.up
    angles = 2 * np.pi * np.arange(_ROUND) / _ROUND
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    for hole in board.holes:
        own = frame.number in hole.frames and not turned
        # a dowel stands where its own frame has it, of which the hole may be a hair off
        y, v = next((dowel.at for dowel in hole.dowels if own and dowel.frame == frame.number), hole.at)
        rim = circle * hole.diameter / 2 + ((-y if turned else y), v)
        depth = above + (_ABOVE if own else 0.0) * np.sign(up)
        yield BenchHole(rim=frame.placement.to_hull(np.column_stack([rim, np.full(_ROUND, depth)])), own=own)


def _dashes(low: float, high: float) -> Iterator[tuple[float, float]]:
    """Long and short, as on the drawing of the board."""
    at = low
    while at < high:
        for dash in _CHAIN:
            if at < high:
                yield at, min(at + dash, high)
            at += dash + _GAP


def has_legs(step: Step, steps: Sequence[Step]) -> bool:
    """Whether the frame on the bench has its legs at this step."""
    return any(other.kind == "legs" and other.frame == step.frame for other in steps[: step.number])


def _extent(frame: Frame, board: Board) -> tuple[float, float, float, float]:
    """Left, low, right and high of the assembly board; of a piece under the frame where no dowels make one."""
    if board.holes:
        return -board.half, board.low, board.half, board.high
    shapes = [part.shape.bounds for part in frame.parts]
    left, low = np.min(shapes, axis=0)[:2] - _BEYOND
    right, high = np.max(shapes, axis=0)[2:] + _BEYOND
    return float(left), float(low), float(right), float(high)

"""In which lots the parts of a frame go on, and when each of its screws is driven.

On the bench the core is laid first; then the plates of a face, all together unless one rests on another or
the plan's `[[order]]` parts them, and their screws; the legs go on last.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Literal, TypeAlias

import shapely

from scrieve.shared.tolerances import COINCIDENT, SLIVER

from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.screw import Screw
from ..plan.plan_order import Before
from .bench_order import bench_order

Lot: TypeAlias = tuple[Part, ...]
Stage: TypeAlias = Literal["core", "forward", "aft", "legs", "never"]


def stage_of(part: Part) -> Stage:
    """When a part goes on: with the core, with the plates of its face, or with the legs."""
    return "legs" if part.role == "leg" else part.face


def driven_at(screw: Screw) -> Stage:
    """When a screw is driven: with the core, the plates of a face or the legs that it passes first or last.

    "never" is that of a screw that meets no wood, or only a plate of the face that is turned down.
    """
    stages = [stage_of(ply.part) for ply in screw.plies]
    if "legs" in stages:
        return "legs"
    first = stages[0] if stages else "never"
    return first if first in ("core", screw.driven_from) else "never"


def lots(parts: Iterable[Part], order: Sequence[Before]) -> tuple[Lot, ...]:
    """These parts of one stage in the lots in which they go on, each lot in the order given.

    A part comes in the first lot that is left once all it rests on, and all that the plan wants before it,
    lie. A wish that goes against what rests on what counts for nothing here (the steps refuse it).
    """
    parts = list(parts)
    resting = {part.name: {under.name for under in parts if _rests_on(part, under)} for part in parts}
    wished = {name: set(under) for name, under in resting.items()}
    for wish in order:
        if wish.first in wished and wish.then in wished:
            wished[wish.then].add(wish.first)
    try:
        found = _levels(wished)
    except CycleError:
        found = _levels(resting)
    return tuple(tuple(part for part in parts if part.name in names) for names in found)


def _levels(before: dict[str, set[str]]) -> list[set[str]]:
    """The names, level by level; raises CycleError where they run in a circle."""
    sorter = TopologicalSorter(before)
    sorter.prepare()
    out = []
    while sorter.is_active():
        ready = sorter.get_ready()
        sorter.done(*ready)
        out.append(set(ready))
    return out


def _rests_on(part: Part, under: Part) -> bool:
    """Whether a plate lies over another of its side, seen from the core: it cannot go on before it."""
    if part is under or part.face != under.face:
        return False
    beyond = under.low - part.high if part.face == "aft" else part.low - under.high
    if beyond < -COINCIDENT or not shapely.intersects(part.shape, under.shape):
        return False
    return bool(shapely.intersection(part.shape, under.shape).area > SLIVER)


def _early_legs(frame: Frame, order: Sequence[Before], stage: Stage) -> list[Part]:
    """The plies of legs that find their way in only if they go on with the core or the plates, so far as they lie."""
    found = bench_order(frame, tuple((wish.first, wish.then) for wish in order if wish.frame == frame.number))
    so_far = [*found.core]
    if stage in ("forward", "aft"):
        so_far += found.first_face if stage == found.first else (*found.first_face, *found.second_face)
    return [part for placed in so_far for part in placed.parts if stage_of(part) == "legs"]


def laid_before(screw: Screw, frame: Frame, order: Sequence[Before]) -> tuple[Part, ...]:
    """The parts that lie already when a screw is driven, those that it passes among them; legs and plates in lots."""
    stage = driven_at(screw)
    if stage == "never":
        return ()
    before = [part for part in frame.parts if stage_of(part) == "core"]
    before += _early_legs(frame, order, stage)
    if stage == "core":
        return tuple(before)
    if stage == "legs":
        before += [part for part in frame.parts if stage_of(part) in ("forward", "aft")]
    mine = {ply.part.name for ply in screw.plies}
    rest = lots((part for part in frame.parts if stage_of(part) == stage), order)
    last = max(number for number, lot in enumerate(rest) if any(part.name in mine for part in lot))
    return (*before, *(part for lot in rest[: last + 1] for part in lot))

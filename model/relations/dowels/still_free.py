"""Which core parts of a frame neither the dowels nor the neighbours hold as they lie on the assembly board."""

from __future__ import annotations

from scrieve.shared.budget import Budget
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ..joints.bridged_joint import bridged_joints, parts_apart
from ..notches.notch import crossings, walls
from .contact import joint_pushes, pushes_at, standing_pushes
from .dowel_fit import unsure_parts
from .holding import Motion, free_in_group, free_motion, from_standing, held_in_turn

_MOST_STEPS = 1_000_000_000
"""numbers gone through in a frame to tell whether parts that lean on one another can move; a dozen take a fiftieth."""


def wants_dowels(frame: Frame) -> bool:
    """Whether there is anything to put together in the plane: a board in one piece needs nothing to locate it.

    Nothing is wanted in place of dowels that are drawn and cannot be read.
    """
    return len(frame.core) > 1 and "dowel" not in frame.unread


def still_free(frame: Frame, assembly: Assembly) -> list[dict[Part, Motion]]:
    """The core parts that are not held, each with a motion that is left to it: as many together as one finding names.

    Those of one entry can move only all together, as its first part does. Empty where every part is held or none
    is judged; raises TooCrowded where too many lean on one another to tell.
    """
    if not frame.dowels or not wants_dowels(frame):
        return []
    pushes = standing_pushes(frame, assembly.limits["dowel_gap"])
    joined = joint_pushes(frame)
    if len(held_in_turn(frame.core, pushes, joined)) == len(frame.core):
        return []
    return _free(frame, assembly)


def _free(frame: Frame, assembly: Assembly) -> list[dict[Part, Motion]]:
    """The same with everything taken into account that other checks speak of."""
    limits = assembly.limits
    pushes = standing_pushes(frame, limits["dowel_gap"] + _slack(frame, assembly))
    joined = [*joint_pushes(frame), *pushes_at(bridged_joints(frame, assembly))]
    left_out = unsure_parts(frame, limits["dowel_foul"], limits["dowel_gap"])
    left_out |= {part for apart in parts_apart(frame, assembly) for part in (apart.first, apart.second)}
    held = held_in_turn(frame.core, pushes, joined, given=left_out)
    loose = [part for part in frame.core if part not in held]
    if not loose:
        return []
    alone: list[dict[Part, Motion]] = []
    for part, all_round in from_standing(loose, pushes, joined, frame.core).items():
        motion = free_motion(part, all_round)
        if motion is not None:
            alone.append({part: motion})
    if alone:
        return alone  # the others lean on these
    free = free_in_group(loose, from_standing(loose, pushes, joined, held), joined, Budget(_MOST_STEPS))
    return [free] if free else []


def _slack(frame: Frame, assembly: Assembly) -> float:
    """How far off a wall a batten stands that `notch-slack` speaks of, mm: a dowel in that notch does as well."""
    limit = assembly.limits["notch_slack"]
    gaps = [
        wall.gap
        for batten in assembly.battens
        for crossing in crossings(batten, assembly.frames)
        if crossing.frame is frame
        for wall in walls(crossing, frame.core, frame.core_low, frame.core_high)
    ]
    return max((gap for gap in gaps if exceeds(gap, limit)), default=0.0)

"""Legs that meet no wood of the core, however far off it is, or less of it than the other legs of the boat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame, Leg
from ...boat.part import Part
from ..joints.joint import Point, leg_joints

_PART = 0.5  # of what the boat's legs usually meet; less is a head cut for another place. Common practice, no source
_LAP = 10.0  # mm2; less in common is two outlines that touch


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Adrift:
    """A ply that should meet the core and does not: the nearest part of it, how far, mm, and where (y, v).

    `laps`: it should lie on the core, not in its plane.
    """

    leg: Leg
    ply: Part
    nearest: Part
    distance: float
    laps: bool
    across: tuple[Point, Point]


def adrift(frame: Frame, assembly: Assembly) -> Iterator[Adrift]:
    """For each leg its ply in the plane of the core that stands off the core, and its plies beside it that lap none.

    What the legs of most frames of the boat do is how they are built: blocks at a leg's foot, further from the core
    than they are high, and plies that only double another are not asked for the core where most meet none.
    """
    butts, laps = _built(assembly)
    limit = assembly.limits["joint_gap"]
    for leg in frame.legs:
        found = _nearest(leg, frame)
        if found is not None and exceeds(found.distance, limit) and (butts or found.distance < _height(found.ply)):
            yield found
        for ply in leg.plies:
            if ply.face in laps and ply.face != "core" and not _lapped(ply, frame):
                yield _apart(leg, ply, frame)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Partly:
    """A ply that meets `core` over `contact` mm where the legs of the boat usually do over `usual` mm.

    Along its head; or if it `laps` the core, in the height of the lap. `usual` is 0 where no leg's head faces the core.
    """

    ply: Part
    core: Part
    contact: float
    usual: float
    laps: bool
    across: tuple[Point, Point]


def partly(frame: Frame, assembly: Assembly) -> Iterator[Partly]:
    """The plies of a frame's legs that meet the core, but over much less than those of the boat usually do."""
    usual, limit = _usual(assembly), assembly.limits["joint_gap"]
    for leg in frame.legs:
        for face in ("core", "forward", "aft"):
            plies = [ply for ply in leg.plies if ply.face == face]
            most = usual[face]
            if not plies or not frame.core or most is None:
                continue
            ply = max(plies, key=lambda each: (_contact(each, frame), each.name))
            contact, off = _contact(ply, frame), _apart(leg, ply, frame)
            meets = not exceeds(off.distance, limit) and (contact > 0.0 or (face == "core" and not _lapped(ply, frame)))
            if meets and (contact == 0.0 or contact < _PART * min(most, _offered(ply, frame))):
                across, laps = off.across, off.laps
                yield Partly(ply=ply, core=off.nearest, contact=contact, usual=most, laps=laps, across=across)


@kept
def _usual(assembly: Assembly) -> dict[str, float | None]:
    """Over how much plies on each face usually meet the core, mm; None where most do not, and other plies do."""
    found: dict[str, list[float]] = {"core": [], "forward": [], "aft": []}
    for frame in assembly.frames:
        for leg in frame.legs if frame.core else ():
            for face, here in found.items():
                contacts = [_contact(ply, frame) for ply in leg.plies if ply.face == face]
                here += [max(contacts)] if contacts else []
    usual = {face: float(np.median(here)) if here else 0.0 for face, here in found.items()}
    alone = not any(usual.values())
    return {face: length if length > 0.0 or alone else None for face, length in usual.items()}


def _contact(ply: Part, frame: Frame) -> float:
    """Over how much a ply meets the core, mm: along its head, or the height of the lap."""
    if ply.face == "core":
        return sum(joint.length for joint in leg_joints(frame) if ply in (joint.first, joint.second))
    left, _, right, _ = ply.shape.bounds
    return sum(float(shapely.intersection(ply.shape, part.shape).area) for part in frame.core) / float(right - left)


def _offered(ply: Part, frame: Frame) -> float:
    """Over how much a ply could meet the core, mm: all of its head, or the height of the core where the ply stands."""
    if ply.face == "core":
        return float("inf")
    left, _, right, _ = ply.shape.bounds
    _, low, _, high = shapely.total_bounds([part.shape for part in frame.core])
    column = shapely.box(left, low, right, high)
    return sum(float(shapely.intersection(column, part.shape).area) for part in frame.core) / float(right - left)


@kept
def _built(assembly: Assembly) -> tuple[bool, frozenset[str]]:
    """Whether legs of this boat butt the core in its plane, and on which faces plies of legs lap it: most of them."""
    legs = [(leg, frame) for frame in assembly.frames if frame.core for leg in frame.legs]
    limit = assembly.limits["joint_gap"]
    butting = [found is not None and not exceeds(found.distance, limit) for leg, frame in legs
               for found in [_nearest(leg, frame)] if found is not None]  # fmt: skip
    lapping = {
        face: [_lapped(ply, frame) for leg, frame in legs for ply in leg.plies if ply.face == face]
        for face in ("forward", "aft")
    }
    alone = not any(any(each) for each in lapping.values())  # nothing else then holds them
    most = 2 * sum(butting) >= len(butting) or alone
    return bool(butting) and most, frozenset(face for face, each in lapping.items() if 2 * sum(each) > len(each))


def _nearest(leg: Leg, frame: Frame) -> Adrift | None:
    """The ply in the plane of the core that comes nearest to it; None without such plies or without a core."""
    plies = [ply for ply in leg.plies if ply.face == "core"]
    if not plies or not frame.core:
        return None
    jointed = {part for joint in leg_joints(frame) for part in (joint.first, joint.second)}
    found = [_apart(leg, ply, frame, touches=ply in jointed) for ply in plies]
    return min(found, key=lambda each: (each.distance, each.ply.name))


def _apart(leg: Leg, ply: Part, frame: Frame, *, touches: bool = False) -> Adrift:
    core = min(frame.core, key=lambda part: (float(shapely.distance(part.shape, ply.shape)), part.name))
    start, end = shapely.get_coordinates(shapely.shortest_line(ply.shape, core.shape)).tolist()
    distance = 0.0 if touches else float(shapely.distance(ply.shape, core.shape))
    return Adrift(
        leg=leg,
        ply=ply,
        nearest=core,
        distance=distance,
        laps=ply.face != "core",
        across=((start[0], start[1]), (end[0], end[1])),
    )


def _height(ply: Part) -> float:
    _, bottom, _, top = ply.shape.bounds
    return float(top - bottom)


def _lapped(ply: Part, frame: Frame) -> bool:
    return any(shapely.intersection(ply.shape, part.shape).area > _LAP for part in frame.core)

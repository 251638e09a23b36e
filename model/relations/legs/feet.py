"""What each frame stands on the strongback with: its legs, or without any its own parts that run on to the rails."""

from __future__ import annotations

from collections.abc import Mapping

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame, Leg
from ...boat.strongback import Strongback
from ..fouls.passing import RAILS
from .leg import footings

FOOT_REACH = 20.0
"""mm off the rail; a core part that ends further from it is not meant to stand on it. Common practice, no source."""


@kept
def legs_or_feet(assembly: Assembly) -> Mapping[str, tuple[Leg, ...]]:
    """The legs of each frame, by its number; of one without, its core parts as feet, to port and to starboard.

    There are feet only in a boat where some stand on both rails: a frame's lowest edge may lie near them by chance.
    """
    rails = assembly.strongback
    if rails is None:
        return {frame.number: frame.legs for frame in assembly.frames}
    feet = {frame.number: _feet(frame, rails, assembly.cutter_diameter) for frame in assembly.frames if not frame.legs}
    limit = assembly.limits["leg_bottom"]
    stand = any(
        len(own) == len(RAILS) and all(not exceeds(_height(leg, frame, assembly), limit) for leg in own)
        for frame in assembly.frames
        if (own := feet.get(frame.number))
    )
    return {frame.number: frame.legs or (feet[frame.number] if stand else ()) for frame in assembly.frames}


def _feet(frame: Frame, rails: Strongback, cutter: float) -> tuple[Leg, ...]:
    out = []
    for side in RAILS:
        plies = []
        for part in frame.core:
            (footing,) = footings(Leg(name=part.name, side=side, plies=(part,)), frame, rails, cutter)
            if footing.bearing is not None and abs(footing.bearing.worst) <= FOOT_REACH:
                plies.append(part)
        if plies:
            out.append(Leg(name=f"{frame.name} {side} foot", side=side, plies=tuple(plies)))
    return tuple(out)


def _height(leg: Leg, frame: Frame, assembly: Assembly) -> float:
    """How far a foot stands off its rail, mm, at its worst."""
    assert assembly.strongback is not None
    found = footings(leg, frame, assembly.strongback, assembly.cutter_diameter)
    return max(abs(each.bearing.worst) for each in found if each.bearing is not None)

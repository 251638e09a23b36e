"""Edits of notches: walls of theirs moved, in the parts whose wood they are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.tolerances import exceeds

from ...boat.editing import move, reshape
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edges_moved import Shift
from .notch import Crossing, Wall, walls


def walls_moved(frame: Frame, shifts: Sequence[tuple[Wall, float]], *, sure: bool = False) -> tuple[Edit, ...]:
    """Walls moved by some mm each, away from the batten or, where less than 0, towards it; nothing if one cannot be."""
    of_parts: dict[Part, list[Shift]] = {}
    for wall, by in shifts:
        for part in wall.parts:
            of_parts.setdefault(part, []).append((wall.at, wall.way, by))
    found = [reshape(frame, part, own, sure=sure) for part, own in of_parts.items()]
    return tuple(edit for edits in found for edit in edits) if all(found) else ()


def off_as_drawn(crossing: Crossing, shifts: Sequence[tuple[Wall, float]], limit: float) -> bool:
    """Whether walls that are to be moved are off by more than the limit from the section as it is drawn, as well.

    Else it is how the batten passes that is not as it was meant, and the notch may be right.
    """
    section, batten = crossing.section, crossing.batten
    if section is None:
        return False
    long = np.asarray(crossing.long) / np.hypot(*crossing.long)
    for wall, by in shifts:
        half = (batten.long if abs(long @ wall.way) > np.sqrt(0.5) else batten.short) / 2
        gap = float(np.dot(np.subtract(wall.at, section.centre), wall.way)) - half
        if not exceeds(-gap * np.sign(by), limit):
            return False
    return True


def section_moved(crossing: Crossing, by: tuple[float, float]) -> tuple[Edit, ...]:
    """A batten's section as drawn, its notch and the dowels there moved by (y, v) mm; nothing where one cannot be."""
    frame, section = crossing.frame, crossing.section
    if section is None or section.drawn is None:
        return ()
    found = walls(crossing, frame.core, frame.core_low, frame.core_high)
    notch = walls_moved(frame, [(wall, float(np.dot(wall.way, by))) for wall in found])
    passage = crossing.passage(frame.core_low, frame.core_high)
    there = [each for each in frame.dowels if shapely.dwithin(passage, shapely.Point(each.at), each.diameter)]
    if not notch:
        return ()
    y, v = section.centre
    dowels = (move(frame, dowel, (dowel.at[0] + by[0], dowel.at[1] + by[1])) for dowel in there)
    return (*move(frame, section, (y + by[0], v + by[1])), *(edit for edits in dowels for edit in edits), *notch)

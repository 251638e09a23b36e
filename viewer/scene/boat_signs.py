"""Signs along the boat: where a frame stands or a drawing's lines lie, and how a batten is bent."""

from __future__ import annotations

import numpy as np
import shapely

from scrieve.shared.tolerances import SLIVER

from .sign_case import Case, around
from .signs import NO_SIGNS, Signs
from .span import AGREES
from .triple import triple

_WIDE = 130.0  # mm to each side of an origin; the feet of the legs are within
_OUTBOARD = (0.15, 1.0, 0.4)  # to an eye that looks along the boat's side


def astray(case: Case) -> Signs:
    """The lines of a drawing beside those of the boat; frames in one place; a frame past the end of the rails."""
    names = [frame for frame in case.assembly.frames if frame.name in case.finding.parts]
    if not names:
        return _off_origin(case)
    own = [case.assembly.frames.index(frame) for frame in names]
    bodies = frozenset(part.name for frame in names for part in frame.parts)
    whole = around(
        frame.placement.to_hull(np.column_stack([shapely.get_coordinates(part.shape), np.full(n, frame.core_high)]))
        for frame in names
        for part in frame.parts
        for n in [shapely.get_num_coordinates(part.shape)]
    )
    at, off = np.array(case.finding.at), case.finding.measured
    outboard = case.outboard * np.array(_OUTBOARD)
    toward = triple((*outboard[:2], _OUTBOARD[2]))
    strongback = case.assembly.strongback
    if len(own) == 2 and off is not None:
        half = np.array([off / 2, 0.0, 0.0])
        return Signs(ends=(triple(at - half), triple(at + half)), about=whole, also=bodies, toward=toward)
    if strongback is None or off is None:
        return Signs(about=whole, also=bodies)
    station = case.frame.placement.station
    end = strongback.start if station < strongback.start else strongback.end
    if abs(abs(end - station) - off) > AGREES:
        return Signs(about=whole, also=bodies)
    y = case.outboard * (strongback.inside_width / 2 + strongback.width)
    ends = np.array([(end, y, 0.0), (station, y, 0.0)])
    across = [np.array([(x, -abs(y), 0.0), (x, abs(y), 0.0)]) for x in (end, station)]
    rails = frozenset({"port rail", "starboard rail"})
    feet = around([ends, *across], 1.2 * off + 40.0)
    return Signs(
        ends=(triple(ends[0]), triple(ends[1])), strokes=tuple(across), about=feet, also=bodies | rails, toward=toward
    )


def _off_origin(case: Case) -> Signs:
    """The line of the drawing that the origin should lie on, and the boat's own."""
    y, v, w = case.at
    level = abs(v) >= abs(y)
    a, b = ((-_WIDE, 0.0), (_WIDE, 0.0)) if level else ((0.0, -_WIDE), (0.0, _WIDE))
    by = (0.0, v) if level else (y, 0.0)
    boats, drawings = (case.hull([(p[0] + q[0], p[1] + q[1], w) for p in (a, b)]) for q in ((0.0, 0.0), by))
    whose = "datum line" if level else "centreline"
    return Signs(
        strokes=(boats, drawings),
        ends=case.ends((0.0, 0.0, w), (*by, w)),
        about=around([boats, drawings]),
        words=(
            (f"{whose} as drawn", triple(drawings[-1])),
            (f"{whose} by the plan", triple(boats[0])),
        ),
    )


def bent(case: Case) -> Signs:
    """The straight line between the frames beside the place, square to which one sees how far the batten is bent."""
    batten = next((each for each in case.assembly.battens if each.name in case.finding.parts), None)
    if batten is None or case.finding.at is None:
        return NO_SIGNS
    x = case.finding.at[0]
    knots = batten.centres[:, 0]
    before, after = knots[knots < x - SLIVER], knots[knots > x + SLIVER]
    if not len(before) or not len(after):
        return NO_SIGNS
    a, b = (batten.centre(np.array([end]))[0] for end in (before[-1], after[0]))
    middle = batten.centre(np.array([x]))[0]
    along = (b - a) / np.linalg.norm(b - a)
    bow = (middle - a) - along * ((middle - a) @ along)
    if float(np.linalg.norm(bow)) <= SLIVER:
        return NO_SIGNS
    toward = np.cross(along, bow)
    toward /= np.linalg.norm(toward)
    if toward @ np.array([0.0, 0.4 * case.outboard, 1.0]) < 0.0:
        toward = -toward
    up = (0.0, 0.0, 1.0) if abs(float(toward[2])) < 0.9 else (0.0, 1.0, 0.0)
    return Signs(
        strokes=(np.array([a, b]),),
        arrows=(np.array([middle - bow, middle]),),
        about=around([np.array([a, b, middle])], 20.0),
        toward=triple(toward),
        up=up,
    )

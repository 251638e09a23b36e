"""Signs of screws: the driver that has no room, the axes that come too near, the circle that an edge cuts."""

from __future__ import annotations

import numpy as np
import shapely

from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.shared.tolerances import SLIVER

from .sharing import both
from .sign_case import Case, around
from .signs import NO_SIGNS, Ends, Points, Signs
from .triple import Triple, triple

_SEEN = 55.0  # mm of a driver's length that a close-up holds; the rest runs out of the picture
_PAST = 9.0  # mm by which an axis is drawn past the ends of its screw
_CROSS = 0.35  # of a ring's radius
_LYING = 0.75  # a view this much from above has the frame's normal up in the picture


def no_room(case: Case) -> Signs:
    """The driver as a ghost on the axis of each screw, solid where a part is in it, and what is clear."""
    if not case.parts or not case.screws:
        return NO_SIGNS
    part = case.parts[0]
    limits = case.assembly.limits
    drivers = [
        case.cylinder(screw.at, limits["driver_width"], screw.head, screw.head + _out(screw) * limits["driver_length"])
        for screw in case.screws
    ]
    wood = case.prism(part.shape, part.low, part.high)
    overlaps = tuple(common for driver in drivers if (common := both(driver, wood)) is not None)
    found = [(screw, ends) for screw in case.screws if (ends := _clear(case, screw, part)) is not None]
    screw, ends = found[0] if found else (case.screws[0], None)
    axis = np.array([(*screw.at, screw.head), (*screw.at, screw.head + _out(screw) * _SEEN)])
    toward, up = _beside(case, np.subtract(_foot(part, screw), screw.at), _out(screw))
    near = [points for points, _, _ in overlaps if np.linalg.norm(points - case.hull([axis[0]]), axis=1).min() < _SEEN]
    return Signs(
        strokes=tuple(case.hull([(*each.at, each.tip), (*each.at, each.head)]) for each in case.screws),
        ghosts=tuple(drivers),
        shared=overlaps,
        ends=ends,
        about=around([case.hull(axis), *near], _PAST),
        toward=toward,
        up=up,
    )


def _clear(case: Case, screw: Screw, part: Part) -> Ends | None:
    """Across the driver, what is clear of the part about its axis; along it, up to a part that stands over the head."""
    out = _out(screw)
    near, far = sorted((part.low * out, part.high * out))
    if near - screw.head * out > SLIVER:
        return case.ends((*screw.at, screw.head), (*screw.at, near * out))
    foot = _foot(part, screw)
    w = min(far, screw.head * out + case.assembly.limits["driver_length"]) * out
    return case.ends((*foot, w), (*(2 * np.array(screw.at) - foot), w))


def _foot(part: Part, screw: Screw) -> Points:
    """(2,): where the part comes nearest to the axis."""
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(part.shape, shapely.Point(screw.at)))[0])


def side_by_side(case: Case) -> Signs:
    """Both axes, seen through the wood and square to the plane they lie in, so that they are as far apart as they are.

    Where they meet on one axis they are seen from outboard.
    """
    if len(case.screws) != 2:
        return NO_SIGNS
    one, other = case.screws
    toward, up = _beside(case, np.subtract(other.at, one.at), 0.0)
    lines = tuple(case.hull([(*s.at, s.low - _PAST), (*s.at, s.high + _PAST)]) for s in (one, other))
    return Signs(strokes=lines, about=around(lines, _PAST), toward=toward, up=up, faint=True)


def through(case: Case) -> Signs:
    """No more than wood that one looks into, for the screw whose tip is not where it should be."""
    if not case.screws:
        return NO_SIGNS
    screw = min(case.screws, key=lambda s: (round(float(np.hypot(*np.subtract(s.at, case.at[:2]))), 6), s.name))
    line = case.hull([(*screw.at, screw.low - _PAST), (*screw.at, screw.high + _PAST)])
    return Signs(about=around([line], 2 * _PAST), faint=True)


def near_edge(case: Case) -> Signs:
    """The circle about the axis that should be all wood, and a cross on the axis, on the face from which one looks."""
    if not case.screws or not case.parts or case.finding.limit is None:
        return NO_SIGNS
    screw, part, wanted = case.screws[0], case.parts[0], case.finding.limit
    depth = {"forward": part.high, "aft": part.low, "core": case.at[2]}[part.face]
    y, v = screw.at
    arm = _CROSS * wanted
    cross = [[(y - arm, v), (y + arm, v)], [(y, v - arm), (y, v + arm)]]
    rim = shapely.Point(screw.at).buffer(wanted, quad_segs=24)
    lines = (*case.outlines(rim, depth), *(case.at_depth(shapely.LineString(line), depth) for line in cross))
    return Signs(strokes=lines, about=around(lines, 2 * _PAST))


def too_few(case: Case) -> Signs:
    """The screws there are through all that is named, and the outline of where they have to be."""
    if not case.parts:
        return NO_SIGNS
    lap = shapely.intersection_all([part.shape for part in case.parts])
    if lap.is_empty:
        return NO_SIGNS
    plate = next((part for part in case.parts if part.face != "core"), case.parts[0])
    outline = case.outlines(lap, plate.low if plate.face == "aft" else plate.high)
    parts = set(case.parts)
    there = [screw.name for screw in case.frame.screws if parts <= {ply.part for ply in screw.plies}]
    return Signs(strokes=outline, about=around(outline, 3 * _PAST), also=frozenset(there))


def _out(screw: Screw) -> float:
    return 1.0 if screw.driven_from == "forward" else -1.0


def _beside(case: Case, across: Points, out: float) -> tuple[Triple, Triple]:
    """The way to an eye that sees `across` (y, v) at its length and the normal too, and what is up for it.

    `out` says from which face it looks a little down, 0 for neither.
    """
    length = float(np.hypot(*across))
    y, v = (-across[1] / length, across[0] / length) if length > SLIVER else (case.outboard, 0.0)
    sign = 1.0 if v + 0.8 * case.outboard * y >= 0.0 else -1.0
    toward = np.array(case.way((sign * y, sign * v, 0.45 * out)))
    toward /= np.linalg.norm(toward)
    lying = abs(float(toward[2])) > _LYING
    return triple(toward), case.way((0.0, 0.0, 1.0)) if lying else (0.0, 0.0, 1.0)

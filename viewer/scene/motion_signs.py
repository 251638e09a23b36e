"""Signs of what moves, or cannot: how a part is still free on its dowels, and the way in that is barred."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.model.boat.part import Part
from scrieve.model.checks.dowel_hold import still_free
from scrieve.model.relations.dowels.holding import Motion
from scrieve.model.sequence.bench_order import bench_order
from scrieve.model.sequence.setting_up import setting_up
from scrieve.model.sequence.way import Trapped

from .sign_case import Case, around
from .signs import NO_SIGNS, Points, Signs

_SHORTEST, _LONGEST = 45.0, 150.0
"""mm; an arrow is a third as long as what moves, within these."""

_TURN = np.radians(50.0)  # the most that a bent arrow turns
_CENTRE = 5.0  # mm; radius of the ring about which a part turns
_PAST = 30.0  # mm about what moves


def still_moves(case: Case) -> Signs:
    """An arrow along the slide at every part that is free, both ways if it slides both; a bent one for a turn."""
    names = set(case.finding.parts)
    free = next((m for m in still_free(case.frame, case.assembly) if {part.name for part in m} == names), None)
    if free is None:
        return NO_SIGNS
    arrows: list[Points] = []
    strokes: list[Points] = []
    depth = case.frame.core_high if case.at[2] <= case.frame.core_high else case.at[2]
    for part, motion in free.items():
        arrows += [case.hull(np.column_stack([path, np.full(len(path), depth)])) for path in motion_paths(part, motion)]
        if motion.centre is not None and motion.corner is not None:
            strokes.append(case.at_depth(shapely.LineString([motion.centre, motion.corner]), depth))
            strokes += case.outlines(shapely.Point(motion.centre).buffer(_CENTRE), depth)
    held = [case.prism(part.shape, part.low, part.high)[0] for part in free]
    return Signs(
        arrows=tuple(arrows),
        strokes=tuple(strokes),
        about=around([*arrows, *strokes, *held], _PAST),
        also=frozenset(dowel.name for dowel in case.frame.dowels),
        toward=case.way((0.25 * case.outboard, 0.25, 1.0)),
    )


def motion_paths(part: Part, motion: Motion) -> Iterator[Points]:
    """(n, 2) each: the lines along which arrows tell how a part can move, (y, v), mm."""
    left, low, right, high = part.shape.bounds
    long = float(np.clip(max(right - left, high - low) / 3, _SHORTEST, _LONGEST))
    y, v = part.shape.representative_point().coords[0]
    start = np.array([y, v])
    if not motion.slide.any():  # nothing is in its way at all
        for way in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
            yield np.array([start, start + np.array(way) * long])
    elif motion.centre is None or motion.corner is None:
        for sign in (1.0, -1.0) if motion.either else (1.0,):
            yield np.array([start, start + sign * motion.slide * long])
    else:
        arm = motion.corner - motion.centre
        radius = float(np.hypot(*arm))
        turns = np.sign(arm[0] * motion.slide[1] - arm[1] * motion.slide[0])
        angles = np.arctan2(arm[1], arm[0]) + turns * np.linspace(0.0, min(_TURN, long / radius), 16)
        yield motion.centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def barred_way(case: Case) -> Signs:
    """An arrow along the way in that comes nearest to one, its head at what is in the way."""
    trapped = next((each for each in _all_trapped(case) if _is_told(each, case)), None)
    if trapped is None or trapped.toward is None:
        return NO_SIGNS
    frames = [frame for frame in case.assembly.frames if frame.name in trapped.parts]
    own = [frame.placement.to_hull(_corners(part)) for frame in frames for part in frame.parts]
    own += [case.hull(_corners(part)) for part in case.parts if part.name in trapped.parts]
    toward = np.array(trapped.toward)
    size = float(np.ptp(np.concatenate(own) @ toward)) if own else 0.0
    end = np.array(trapped.at)
    arrow = np.array([end - toward * float(np.clip(size / 3, _SHORTEST, _LONGEST)), end])
    others = [frame for frame in case.assembly.frames if frame.name in (*trapped.parts, *trapped.by)]
    seen = {part.name for frame in others if frame in frames or frames for part in frame.parts}
    return Signs(
        arrows=(arrow,),
        about=around([arrow, *own], _PAST) if own else around([arrow], 2.5 * _PAST),
        also=frozenset(seen),
    )


def _all_trapped(case: Case) -> Iterator[Trapped]:
    yield from bench_order(case.frame, case.assembly.wanted_in(case.frame)).trapped
    yield from setting_up(case.assembly, case.assembly.wanted_in(None)).trapped


def _is_told(trapped: Trapped, case: Case) -> bool:
    return trapped.at == case.finding.at and {*trapped.parts, *trapped.by} == set(case.finding.parts)


def _corners(part: Part) -> Points:
    flat = shapely.get_coordinates(part.shape)
    return np.concatenate([np.column_stack([flat, np.full(len(flat), w)]) for w in (part.low, part.high)])

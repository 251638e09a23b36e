"""Signs of shapes: what lies past a line, what its mirror image is, where it should be, what it wants in a corner."""

from __future__ import annotations

import numpy as np
import shapely

from scrieve.model.boat.board import board_of
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel
from scrieve.model.relations.fouls.passing import battens_passing
from scrieve.model.relations.joints.outer_line import closed
from scrieve.model.relations.notches.corner_wood import corner_wood
from scrieve.shared.tolerances import SLIVER

from .sharing import both
from .sign_case import Case, around
from .signs import NO_SIGNS, Ends, Points, Signs
from .thing import disc, foot, things_of

_ABOUT = 150.0  # mm of a line beside the place
_TICK = 24.0  # mm to each side; where an end should be
_PAST = 16.0  # mm about what is looked at
_CORNER = 20.0  # mm past the wood left in a corner
_TWIN = 0.5  # of a part's area; a part that covers so much of the mirror image of another is its twin


def past_line(case: Case) -> Signs:
    """The frame's outer line beside the place."""
    near = shapely.Point(case.at[:2]).buffer(_ABOUT)
    line = shapely.intersection(shapely.boundary(closed(case.frame, case.assembly)), near)
    return Signs(strokes=tuple(stroke for part in case.parts[:1] for stroke in case.outlines(line, _face(case, part))))


def bare(case: Case) -> Signs:
    """The line of the joint that no gusset covers."""
    return NO_SIGNS if case.span is None else Signs(strokes=(case.hull([case.span.start, case.span.end]),))


def too_short(case: Case) -> Signs:
    """A line across where the gusset has to reach."""
    if case.span is None or case.finding.limit is None or not case.span.across:
        return NO_SIGNS
    reached, joint = (np.array(end) for end in (case.span.start, case.span.end))
    way = (reached - joint) / np.linalg.norm(reached - joint)
    wanted = joint + way * case.finding.limit
    aside = np.array([-way[1], way[0], 0.0]) * _TICK
    return Signs(strokes=(case.hull([wanted - aside, wanted + aside]),))


def to_its_place(case: Case) -> Signs:
    """An arrow from where it is to where it should be; for a batten its outline there as well."""
    if case.span is None:
        return NO_SIGNS
    start, end = case.span.start, case.span.end
    strokes: tuple[Points, ...] = ()
    if case.finding.check == "fair":
        crossing = next((c for c in battens_passing(case.frame, case.assembly) if c.batten.name in case.finding.parts),
                        None)  # fmt: skip
        if crossing is not None:
            by = np.subtract(end, start)[:2]
            there = shapely.transform(crossing.passage(case.frame.core_low, case.frame.core_high), lambda p: p + by)
            strokes = case.outlines(there, case.frame.core_high)
            start, end = ((*each[:2], case.frame.core_high) for each in (start, end))
    return Signs(arrows=(case.hull([start, end]),), strokes=strokes)


def images(case: Case) -> Signs:
    """The mirror image of what differs from its twin as lines; of what has no twin as a ghost where that should be."""
    parts = case.parts
    mirrored = {part: shapely.transform(part.shape, lambda p: p * (-1.0, 1.0)) for part in parts}
    alone = [part for part in parts if not any(_covers(other, mirrored[part]) for other in parts)]
    twins = [part for part in parts if part not in alone]
    strokes = tuple(
        line
        for part in twins
        if np.sign(part.shape.centroid.x) != case.outboard
        for line in case.outlines(mirrored[part], _face(case, part))
    )
    if case.finding.measured is not None:
        return Signs(strokes=strokes)
    ghosts = tuple(case.prism(mirrored[part], part.low, part.high) for part in alone)
    shown = [points for points, _, _ in ghosts] + [case.prism(p.shape, p.low, p.high)[0] for p in alone]
    return Signs(strokes=strokes, ghosts=ghosts, about=around(shown, _PAST) if shown else np.empty((0, 3)))


def _covers(part: Part, image: shapely.Polygon) -> bool:
    return bool(shapely.intersection(part.shape, image).area > _TWIN * image.area)


def in_corner(case: Case) -> Signs:
    """The wood that the cutter leaves in the corner, as far as it is in the way of something; else all of it."""
    left = [
        (wood.region.distance(shapely.Point(case.at[:2])), part, wood.region)
        for part in case.parts
        for wood in corner_wood(part, case.assembly.cutter_diameter)
    ]
    if not left:
        return NO_SIGNS
    _, part, region = min(left, key=lambda each: (round(each[0], 6), each[1].name))
    things = things_of(case.finding, case.frame, case.assembly, beside=frozenset({"corner"}))
    fouled = [shapely.intersection(region, thing.shape) for thing in things if thing.part is not part]
    pieces = [piece for piece in shapely.get_parts(shapely.union_all(fouled)) if piece.area > SLIVER * SLIVER]
    solids = tuple(case.prism(piece, part.low, part.high) for piece in pieces if piece.geom_type == "Polygon")
    whole = case.prism(region, part.low, part.high)
    return Signs(
        strokes=tuple(case.outlines(region, _face(case, part))),
        shared=solids or (whole,),
        about=around([whole[0]], _CORNER),
    )


def in_board(case: Case) -> Signs:
    """The holes in this frame's plane, where those of other frames are too on the board; or the edge of the board."""
    dowels = [d for frame in case.assembly.frames for d in frame.dowels if d.name in case.finding.parts]
    if not dowels:
        return NO_SIGNS
    low, high = case.frame.core_low, case.frame.core_high
    discs = [case.prism(disc(dowel.at, dowel.diameter), low, high) for dowel in dowels]
    common = both(discs[0], discs[1]) if len(dowels) == 2 else None
    rims = [case.at_depth(disc(dowel.at, dowel.diameter).exterior, high) for dowel in dowels]
    board = board_of(case.assembly)
    sheet = shapely.box(-board.half, board.low, board.half, board.high)
    return Signs(
        strokes=(*rims, *case.outlines(sheet, high)),
        ghosts=tuple(
            mesh for dowel, mesh in zip(dowels, discs, strict=True) if dowel.frame != case.frame.number
        ),
        shared=() if common is None else (common,),
        ends=_to_board_edge(case, dowels[0], sheet) if len(dowels) == 1 else None,
        about=around([points for points, _, _ in discs], _PAST / 2),
        words=tuple((dowel.name, _beside(case, dowel, dowels)) for dowel in dowels) if len(dowels) > 1 else (),
        toward=case.way((0.0, 0.0, 1.0)),
    )  # fmt: skip


def _to_board_edge(case: Case, dowel: Dowel, sheet: shapely.Polygon) -> Ends | None:
    """From the rim of a hole to the nearest edge of the board, or from that to how far the hole breaks out of it."""
    edge = np.array(foot(sheet, dowel.at))
    way = edge - dowel.at
    length = float(np.hypot(*way))
    if length <= SLIVER:
        return None
    inside = sheet.contains(shapely.Point(dowel.at))
    rim = np.array(dowel.at) + way / length * dowel.diameter / 2 * (1.0 if inside else -1.0)
    return case.ends((*rim, case.frame.core_high), (*edge, case.frame.core_high))


def _beside(case: Case, dowel: Dowel, dowels: list[Dowel]) -> tuple[float, float, float]:
    """The rim of a hole on the side away from the others."""
    middle = np.mean([each.at for each in dowels], axis=0)
    way = np.subtract(dowel.at, middle)
    length = max(float(np.hypot(*way)), SLIVER)
    y, v = np.array(dowel.at) + way / length * 0.9 * dowel.diameter
    return case.frame.placement.point(float(y), float(v), case.frame.core_high)


def _face(case: Case, part: Part) -> float:
    """The depth of the face of a part from which it is looked at."""
    return {"forward": part.high, "aft": part.low, "core": part.high}[part.face]

"""Holes that two parts leave between them in a joint: where a tongue, a finger or a lap is missing or too small."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.tolerances import BRIDGED_TURN, COINCIDENT, JOINT_REACH, SLIVER, exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import reliefs
from ...geometry.inscribed import inscribed_circle
from ..fouls.passing import battens_passing
from .bridged_joint import bridged_joints
from .joint import LONGEST_TENON, Joint, Point, Stretch, facing, gap_of, joints, leg_joints, meeting

_THROUGH = 0.15
"""share; a hole of which as much lies on either side of the joint's line is cut through both parts, on purpose."""

_HIDDEN = 0.5
"""share; what as much of lies under a gusset lets nothing through, and is no limber hole."""

_FAR = 1e4  # mm

Pair = tuple[Part, Part]


class JointHole(NamedTuple):
    """A hole between two parts, `first` before `second` by name: `width` is that of the widest circle in it, mm.

    `region` is the hole in (y, v), `across` the width where it is.
    """

    first: Part
    second: Part
    region: shapely.Polygon
    width: float
    across: tuple[Point, Point]


def holes(frame: Frame, assembly: Assembly) -> tuple[JointHole, ...]:
    """The holes in the joints of a frame that are wider than joint_gap, the widest of each two parts first.

    Those that two parts shut in all round, and those open to one end of their joint that a gusset hides. No hole is
    the relief of a corner, what passes for a batten, or what is cut through both parts alike; nor what `joints` and
    `bridged_joints` tell of already, or as wide between the same parts.
    """
    limit = assembly.limits["joint_gap"]
    wood = [part for part in frame.parts if part.face == "core"]
    found = [*joints(frame), *leg_joints(frame), *bridged_joints(frame, assembly)]
    by_pair: dict[Pair, list[Joint]] = defaultdict(list)
    for joint in found:
        by_pair[joint.first, joint.second].append(joint)
    through = [crossing.passage(frame.core_low, frame.core_high) for crossing in battens_passing(frame, assembly)]
    told = [gap_of(stretch) for joint in found for stretch in joint.stretches]
    gussets = shapely.union_all([part.shape for part in frame.parts if part.role == "gusset" and part.face != "core"])
    out: list[JointHole] = []
    shut = list(_shut_in(wood, told, limit))
    for pair, region in shut:
        if not _passed(region, through) and not _on_purpose(region, by_pair.get(pair, ()), gussets):
            out += _measured(pair, region, limit)
    for pair, joints_of in by_pair.items():
        known = [*told_by(joints_of, limit), *(region for _, region in shut)]
        for region in _open_ends(joints_of, wood, gussets):
            told_already = any(shapely.intersects(region, each) for each in known)
            if not told_already and not _passed(region, through) and not _on_purpose(region, joints_of, gussets):
                out += _measured(pair, shapely.buffer(region, -limit / 2, join_style="mitre"), limit)
    open_by = {pair: max(joint.gap for joint in each) for pair, each in by_pair.items()}
    # a joint drawn open leaves holes as wide beside its reliefs
    out = [hole for hole in out if hole.width > open_by.get((hole.first, hole.second), 0.0) + SLIVER]
    return tuple(sorted(out, key=lambda hole: (hole.first.name, hole.second.name, -hole.width, hole.across)))


def told_by(found: Iterable[Joint], limit: float) -> Iterator[shapely.Geometry]:
    """What lies between the edges of these joints where they stand apart further than the limit."""
    for joint in found:
        for stretch in joint.stretches:
            if exceeds(max(stretch.apart), limit):
                yield gap_of(stretch)


def _shut_in(
    wood: Sequence[Part], told: Sequence[shapely.Geometry], limit: float
) -> Iterator[tuple[Pair, shapely.Polygon]]:
    """Where two parts shut in what is wider than the limit: the middles of all circles of that width in it."""
    grown = [shapely.buffer(part.shape, limit / 2, join_style="mitre") for part in wood]
    closed = shapely.union_all([*grown, *(shapely.buffer(gap, COINCIDENT, join_style="bevel") for gap in told)])
    for ring in (ring for piece in shapely.get_parts(closed) for ring in piece.interiors):
        region = shapely.Polygon(ring)
        beside = [part for part, each in zip(wood, grown, strict=True) if shapely.dwithin(each, region, COINCIDENT)]
        if len(beside) == 2 and _least_width(region) <= LONGEST_TENON:
            yield (beside[0], beside[1]), region


def _open_ends(found: Sequence[Joint], wood: Sequence[Part], gussets: shapely.Geometry) -> Iterator[shapely.Polygon]:
    """What lies between facing edges about these joints of two parts, however far apart, if gussets hide it."""
    first, second = found[0].first, found[0].second
    lines = shapely.union_all([joint.line for joint in found])
    ours, theirs = (meeting(part).within(lines.bounds, LONGEST_TENON) for part in (first, second))
    between = [
        (gap_of(stretch), SLIVER * stretch.length)
        for stretch in facing(ours, theirs, LONGEST_TENON, BRIDGED_TURN)
        if min(stretch.apart) > JOINT_REACH
    ]
    if not between:
        return
    free = [
        gap
        for gap, least in between
        if shapely.dwithin(gap, lines, LONGEST_TENON)
        and shapely.intersection(gap, gussets).area > _HIDDEN * gap.area
        and all(shapely.intersection(gap, part.shape).area < least for part in wood)
    ]
    for region in shapely.get_parts(shapely.union_all(free)):
        if region.geom_type == "Polygon":
            yield region


def _passed(region: shapely.Polygon, through: Sequence[shapely.Geometry]) -> bool:
    return bool(np.any(shapely.intersects(through, region)))


def _on_purpose(region: shapely.Polygon, found: Sequence[Joint], gussets: shapely.Geometry) -> bool:
    """Whether the line of the joint that meets a hole goes on through it; where none does, whether it lies bare."""
    beside = [
        stretch
        for joint in found
        for stretch in joint.stretches
        if shapely.dwithin(shapely.linestrings(stretch.middle), region, JOINT_REACH)
    ]
    if not beside:
        return bool(shapely.intersection(region, gussets).area < _HIDDEN * region.area)
    return all(_share_beside(stretch, region) > _THROUGH for stretch in beside)


def _share_beside(stretch: Stretch, region: shapely.Polygon) -> float:
    """How much of a region lies on that side of a stretch's line on which less of it lies, 0 to 1/2."""
    start, end = np.array(stretch.middle)
    along = (end - start) / np.hypot(*(end - start)) * _FAR
    out = np.array([along[1], -along[0]])
    half = shapely.Polygon([start - along, start + along, start + along + out, start - along + out])
    share = float(shapely.intersection(region, half).area / region.area)
    return min(share, 1.0 - share)


def _measured(pair: Pair, region: shapely.Polygon, limit: float) -> Iterator[JointHole]:
    """The holes in a region of the middles of circles as wide as the limit, the reliefs of both parts left out."""
    first, second = sorted(pair, key=lambda part: part.name)
    rounds = [shapely.buffer(each, limit + SLIVER) for part in pair for each in reliefs(part.shape)]
    for piece in shapely.get_parts(shapely.difference(region, shapely.union_all(rounds))):
        if piece.geom_type != "Polygon" or piece.area <= SLIVER * piece.length:
            continue
        circle = inscribed_circle(piece)
        if circle.radius < SLIVER:
            continue
        width = 2 * circle.radius + limit
        whole = shapely.buffer(piece, limit / 2, join_style="mitre")
        hole = shapely.difference(whole, shapely.union(first.shape, second.shape))
        hole = max(shapely.get_parts(hole), key=shapely.area)
        yield JointHole(
            first=first, second=second, region=hole, width=width, across=_across(circle.centre, hole, width)
        )


def _across(centre: Point, hole: shapely.Polygon, width: float) -> tuple[Point, Point]:
    """The width of a hole about the middle of its widest circle, square to the nearest edge."""
    (y, v), (to_y, to_v) = shapely.get_coordinates(shapely.shortest_line(shapely.Point(centre), hole.exterior)).tolist()
    way = np.array([to_y - y, to_v - v])
    half = way / np.hypot(*way) * width / 2
    return (y - float(half[0]), v - float(half[1])), (y + float(half[0]), v + float(half[1]))


def _least_width(region: shapely.Polygon) -> float:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(region))
    return (
        float(min(np.hypot(*(corners[1] - corners[0])), np.hypot(*(corners[2] - corners[1]))))
        if len(corners) > 2
        else 0.0
    )

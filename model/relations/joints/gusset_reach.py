"""How far a gusset reaches past a butt joint over each of the parts that it holds together. (y, v), mm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.tolerances import COINCIDENT, SLIVER, falls_short

from ...boat.part import Part
from .gusset import Cover, member_edge
from .joint import Joint
from .joint_end import JointEnd, ends

STRIP = 0.25
"""share of the joint's length: what a gusset leaves bare this close to an edge of the part does not count."""

WIDEST_STRIP = 20.0
"""mm; no wider than this, however long the joint."""

_RELIEF = 12.0  # mm; an edge that keeps so close to a joint is of a corner opened for the cutter, not one of the part
_FAR = 1e4  # mm


class Reach(NamedTuple):
    """How far the gussets of a cover reach over `member`, mm: from `start` on the joint to their end at `at`."""

    cover: Cover
    member: Part
    reach: float
    start: tuple[float, float]
    at: tuple[float, float]


def short_reaches(covers: Sequence[Cover], limit: float) -> list[Reach]:
    """The reaches that are less than `limit`, mm, over either part of these joints, in their order.

    The reach is the least distance from the joint to where the gusset ends on the part. Only what lies STRIP of
    the joint or more from every other edge of the part is an end; it is taken to go on straight to those edges.
    So what is bare beside a gusset does not count, nor about its rounded corners and about what it lets through;
    nor does what lies past the end of the joint and not in front of it. A part that itself ends before that, or
    that is covered all over, has no end of a gusset on it.
    """
    if not covers:
        return []
    members = [(cover, first) for cover in covers for first in (True, False)]
    edges = [member_edge(cover.joint, first=first) for cover, first in members]
    strips = np.array([_strip(cover.joint) for cover, _ in members])
    # room for a square of bare wood as wide as the strip at the limit, askew to the end of the joint or not
    around = np.array([_around(*each) for each in zip(edges, np.hypot(limit + strips, strips), strict=True)])
    uncovered = shapely.difference(around, np.repeat([cover.shape for cover in covers], 2))
    parts = [cover.joint.first if first else cover.joint.second for cover, first in members]
    bare = shapely.intersection(uncovered, [part.shape for part in parts])
    large = np.flatnonzero(shapely.area(bare) > np.pi / 4 * strips**2)
    narrowed = shapely.buffer(bare[large], -strips[large] / 2, join_style="mitre")
    out = []
    for n in large[~shapely.is_empty(narrowed)].tolist():
        (cover, first), member = members[n], parts[n]
        end = _end(cover, member, edges[n], around[n], first=first, strip=float(strips[n]))
        reach = float(shapely.distance(edges[n], end))
        if falls_short(reach, limit):
            start, at = map(tuple, shapely.get_coordinates(shapely.shortest_line(edges[n], end)).tolist())
            out.append(Reach(cover=cover, member=member, reach=reach, start=start, at=at))
    return out


def _around(lines: shapely.Geometry, distance: float) -> shapely.Geometry:
    """All within a distance of lines, from segment to segment: of a ragged edge that is forty times as quick."""
    points, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
    goes_on = line[1:] == line[:-1]
    segments = shapely.linestrings(np.stack([points[:-1][goes_on], points[1:][goes_on]], axis=1))
    return shapely.union_all(shapely.buffer(segments, distance))


def _strip(joint: Joint) -> float:
    return min(STRIP * joint.length, WIDEST_STRIP)


def _end(
    cover: Cover, member: Part, edge: shapely.Geometry, around: shapely.Geometry, *, first: bool, strip: float
) -> shapely.Geometry:
    """The lines where the gussets end on the member in front of the joint, carried on to the edges of its wood."""
    wood = shapely.get_parts(shapely.intersection(member.shape, around))
    front = shapely.union_all(wood[shapely.dwithin(wood, edge, SLIVER)])
    for end in ends(cover.joint):
        front = shapely.difference(front, _past(end, first=first))
    flanks = shapely.difference(front.boundary, shapely.union_all(shapely.buffer([edge, around.boundary], SLIVER)))
    runs = shapely.get_parts(shapely.line_merge(flanks))
    flanks = shapely.union_all(runs[~shapely.covered_by(runs, shapely.buffer(edge, _RELIEF))])
    # only those that come near an end of the gussets take anything from it
    flanks = shapely.intersection(flanks, shapely.buffer(shapely.intersection(cover.shape.boundary, front), 2 * strip))
    heart = shapely.difference(front, shapely.buffer(flanks, strip + SLIVER))
    lines = shapely.get_parts(shapely.line_merge(shapely.intersection(cover.shape.boundary, heart)))
    points, owner = shapely.get_coordinates(lines, return_index=True)
    same = owner[1:] == owner[:-1]
    starts, stops = points[:-1][same], points[1:][same]
    along = stops - starts
    lengths = np.hypot(*along.T)
    real = lengths > COINCIDENT
    starts, stops, along = starts[real], stops[real], along[real] / lengths[real, None]
    on = along * (strip + 2 * SLIVER)
    carried = np.stack([starts, stops], axis=1)
    for side, way in ((0, -on), (1, on)):
        here, there = (shapely.points(points) for points in (carried[:, side], carried[:, side] + way))
        # only where the end leaves the heart is it carried on, and not along an edge of the part
        nearer = shapely.distance(here, flanks) - shapely.distance(there, flanks) > strip / 2
        leaves = shapely.dwithin(heart.boundary, here, COINCIDENT) & nearer
        carried[leaves, side] += way[leaves]
    return shapely.union_all(shapely.intersection(shapely.linestrings(carried), front))


def _past(end: JointEnd, *, first: bool) -> shapely.Polygon:
    """The plane past one end of a joint, as far as it does not lie in front of the joint.

    Where the outline of the member leaves the joint askew, what lies between the square and the outline is in
    front of it too.
    """
    at, into = end.of(first=first)
    way, side = end.outline(first=first) if end.is_askew(first=first) else (into, end.out)
    return shapely.Polygon([at - _FAR * way, at + _FAR * way, at + _FAR * (way + side), at + _FAR * (side - way)])

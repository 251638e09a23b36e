"""The frame's outer line, on which the planking lies, and what stands past it. (y, v), mm.

The outer line is the outside of the core, its joints closed: all round a frame that closes across the deck,
from sheer to sheer below an open one. The walls of notches are no part of it, nor is the inside of a frame.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT, JOINT_REACH, PARALLEL, SLIVER, exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import Edges
from ..opening import opening
from .bridged_joint import bridged_joints
from .joint import joints

NOTCH_LEAST = 8.0
"""mm; wood that rises this far above an edge of the core makes it the wall of a notch. Battens are no thinner."""

_BESIDE = 20.0  # mm from the end of an edge within which it does: a dowel's relief may lie in the corner
_STRAIGHT = np.radians(2.0)  # what turns by less where two parts meet is one wall of a notch, as for those recognised
_SHY = 20.0  # mm; a plate that ends further in was not meant to end at the outer line
_PACE = 10.0  # mm between the places on a plate's straight edges that are looked at first
_UPWARD = np.cos(np.pi / 4)  # an open frame's edges that face up are the tops of its sides; no planking lies there

Floats = NDArray[np.float64]
Point = tuple[float, float]


class Proud(NamedTuple):
    """Wood that stands `by` mm past the outer line, furthest at `at`, square over its `foot`."""

    by: float
    at: Point
    foot: Point


@kept
def enclosed(frame: Frame) -> shapely.Geometry:
    """All that the core of a frame encloses: itself, and its opening up to the sheer where it is open."""
    return _filled(frame, shapely.union_all([part.shape for part in frame.core]))


def _filled(frame: Frame, core: shapely.Geometry) -> shapely.Geometry:
    rings = [shapely.Polygon(piece.exterior) for piece in shapely.get_parts(core) if piece.geom_type == "Polygon"]
    whole = rings[0] if len(rings) == 1 else shapely.union_all(rings)
    if frame.kind != "open":
        return whole
    return shapely.union(whole, shapely.buffer(opening(whole), COINCIDENT, join_style="mitre"))


def standing_past(frame: Frame, assembly: Assembly, part: Part, least: float) -> Proud | None:
    """How far a plate stands past the frame's outer line; None if by `least` mm or less.

    Measured square to the edge of the core that it passes. What lies across a notch or its mouth stands past
    nothing, nor does what reaches into the opening or, in an open frame, above the sheer.
    """
    if not _juts(part.shape, enclosed(frame), least / 2):
        return None
    within = closed(frame, assembly)
    found = [
        proud
        for piece in shapely.get_parts(shapely.difference(part.shape, within))
        for proud in _over_edges(piece, planked_edges(frame, assembly, piece.bounds))
    ]
    worst = max(found, key=lambda proud: (round(proud.by, 6), proud.at), default=None)
    return worst if worst is not None and exceeds(worst.by, least) else None


def standing_in(frame: Frame, assembly: Assembly, part: Part) -> float:
    """By how much the edges of a plate along the frame's outer line all stand in from it, mm; 0 if one meets it.

    0 as well where none runs along it within _SHY of it.
    """
    around = shapely.buffer(part.shape, _SHY, quad_segs=1).bounds
    lines = planked_edges(frame, assembly, around)
    edges = Edges.around(part.shape)
    i, j = np.nonzero(edges.facing @ lines.facing.T > np.cos(PARALLEL))
    edges, lines = edges.only(i), lines.only(j)
    along = [np.sum((end - lines.starts) * lines.along, axis=1) for end in (edges.starts, edges.ends)]
    shared = np.minimum(along[1], lines.lengths) - np.maximum(along[0], 0.0)
    within = np.sum((lines.starts - (edges.starts + edges.ends) / 2) * lines.facing, axis=1)
    near = within[(shared > NOTCH_LEAST) & (np.abs(within) < _SHY)]
    return max(0.0, float(near.min())) if len(near) else 0.0


def _juts(plate: shapely.Polygon, within: shapely.Geometry, least: float) -> bool:
    """Whether the plate's outline comes further than `least` off what the core encloses, at any of many places."""
    shapely.prepare(within)
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(plate.exterior, _PACE)))
    return not shapely.dwithin(within, places, least).all()


@kept
def closed(frame: Frame, assembly: Assembly) -> shapely.Geometry:
    """The same as `enclosed`, with open joints closed."""
    gaps = [
        shapely.convex_hull(shapely.multipoints([*stretch.first, *stretch.second]))
        for joint in (*joints(frame), *bridged_joints(frame, assembly))
        for stretch in joint.stretches
    ]
    # a hair more than the gap, so that nothing is left between
    gaps = [shapely.buffer(gap, COINCIDENT, join_style="bevel") for gap in gaps]
    return _filled(frame, shapely.union_all([*(part.shape for part in frame.core), *gaps]))


def planked_edges(frame: Frame, assembly: Assembly, bounds: tuple[float, float, float, float]) -> Edges:
    """The edges about `bounds` that the planking lies on."""
    edges = edges_about(frame, assembly).within(bounds, SLIVER)
    return edges.only(edges.facing[:, 1] < _UPWARD) if frame.kind == "open" and len(edges) else edges


@kept
def edges_about(frame: Frame, assembly: Assembly) -> Edges:
    """The edges all round what the core encloses, without the walls of notches."""
    within = closed(frame, assembly)
    edges = Edges.around(within)
    edges = edges.only(edges.lengths > COINCIDENT * 10)
    if not len(edges):
        return edges
    along, up = edges.along * _BESIDE, edges.facing * NOTCH_LEAST
    before = shapely.linestrings(np.stack([edges.starts + up, edges.starts + up - along], axis=1))
    after = shapely.linestrings(np.stack([edges.ends + up, edges.ends + up + along], axis=1))
    walls = shapely.intersects(within, before) | shapely.intersects(within, after)
    return edges.only(~(walls | _running_on(edges, edges.only(walls))))


def _running_on(edges: Edges, walls: Edges) -> NDArray[np.bool_]:
    """(n,): which edges run on into one of these walls: side and floor may make one wall of a notch together."""
    if not len(walls):
        return np.zeros(len(edges), dtype=bool)
    in_line = edges.along @ walls.along.T > np.cos(_STRAIGHT)
    before = np.hypot(*np.moveaxis(edges.ends[:, None] - walls.starts, 2, 0)) <= JOINT_REACH
    after = np.hypot(*np.moveaxis(edges.starts[:, None] - walls.ends, 2, 0)) <= JOINT_REACH
    return np.asarray((in_line & (before | after)).any(axis=1))


def _over_edges(piece: shapely.Geometry, edges: Edges) -> list[Proud]:
    """How far a piece of wood outside stands over each of these edges on which it stands."""
    if not len(edges):
        return []
    left, bottom, right, top = piece.bounds
    high = edges.facing * (np.hypot(right - left, top - bottom) + 1.0)
    over = shapely.polygons(np.stack([edges.starts, edges.ends, edges.ends + high, edges.starts + high], axis=1))
    lines = shapely.linestrings(np.stack([edges.starts, edges.ends], axis=1))
    parts, owner = shapely.get_parts(shapely.intersection(piece, over), return_index=True)
    standing = shapely.dwithin(parts, lines[owner], SLIVER)
    out = []
    for part, n in zip(parts[standing], owner[standing], strict=True):
        corners = shapely.get_coordinates(part)
        heights = (corners - edges.starts[n]) @ edges.facing[n]
        furthest = corners[heights >= heights.max() - COINCIDENT]
        across = furthest @ edges.along[n]
        middle = (furthest[np.argmin(across)] + furthest[np.argmax(across)]) / 2
        by = float(heights.max())
        out.append(Proud(by=by, at=_point(middle), foot=_point(middle - by * edges.facing[n])))
    return out


def _point(values: Floats) -> Point:
    return float(values[0]), float(values[1])

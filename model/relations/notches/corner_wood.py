"""The wood a round cutter leaves standing in the inside corners of a part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, PARALLEL

from ...boat.part import Part
from ...geometry.cut import left_standing, without_hairs
from ...geometry.inscribed import inscribed_circle
from ...geometry.outline import Outline
from ...geometry.plane import common_area

_ON_EDGE = 1e-5
"""mm; a corner of the left wood this close to the drawn outline lies on it: ten times the noise of clipping."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CornerWood:
    """One piece of wood left in an inside corner of `part`: `region` in the frame's (y, v), mm.

    `drawn_radius` is the radius of the corner as drawn, 0 for a sharp one. `depth` is how far the wood
    stands out of the corner: the distance from the corner to the cutter's arc.
    """

    part: Part
    region: shapely.Polygon
    drawn_radius: float
    depth: float
    at: tuple[float, float]


def corner_wood(part: Part, cutter_diameter: float) -> tuple[CornerWood, ...]:
    """The pieces left in the part's corners by this cutter, sorted by place; none without a cutter (0)."""
    drawn = part.drawn_shape
    pieces = left_standing(drawn, cutter_diameter)
    if not pieces:
        return ()
    turns = _turns(part.drawn, part.holes, 1.0)
    wood = shapely.buffer(drawn, _ON_EDGE, quad_segs=1)
    out = []
    for piece in pieces:
        depth, at = _depth(piece, wood)
        out.append(CornerWood(part=part, region=piece, drawn_radius=_drawn_radius(piece, turns), depth=depth, at=at))
    return tuple(sorted(out, key=lambda wood: wood.at))


def pocket_wood(part: Part) -> Iterator[tuple[Part, tuple[CornerWood, ...]]]:
    """The same of each pocket of a part: the part as it lies beside the pocket, and what is left in its corners."""
    for pocket in part.pockets:
        left = shapely.difference(common_area(part.drawn_shape, pocket.drawn_shape), pocket.shape)
        # along a wall rounding leaves hairs, which would join one corner to the next
        pieces = [piece for piece in shapely.get_parts(without_hairs(left)) if not piece.is_empty]
        if not pieces:
            continue
        beside = part.beside(pocket)
        turns = _turns(pocket.drawn, pocket.holes, -1.0)
        out = []
        for piece in pieces:
            depth, at = _furthest(piece, pocket.shape)
            radius = _drawn_radius(piece, turns)
            out.append(CornerWood(part=beside, region=piece, drawn_radius=radius, depth=depth, at=at))
        yield beside, tuple(sorted(out, key=lambda wood: wood.at))


def _depth(piece: shapely.Polygon, wood: shapely.Geometry) -> tuple[float, tuple[float, float]]:
    """How far the piece stands out of its corner in the drawn `wood`, mm, and the corner (y, v)."""
    arc = shapely.difference(piece.exterior, wood)
    if arc.is_empty:
        circle = inscribed_circle(piece)
        return 2 * circle.radius, circle.centre
    return _furthest(piece, arc)


def _furthest(piece: shapely.Polygon, arc: shapely.Geometry) -> tuple[float, tuple[float, float]]:
    """The corner of the piece (y, v) furthest from where the cutter comes, and how far it is, mm."""
    corners = shapely.get_coordinates(piece.exterior)
    distances = shapely.distance(arc, shapely.points(corners))
    deepest = int(np.argmax(distances))
    y, v = corners[deepest]
    return float(distances[deepest]), (float(y), float(v))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Turns:
    """Where an outline turns inward: places (n,) as points or lines, and the radius of each turn, (n,) mm."""

    places: NDArray[np.object_]
    radii: NDArray[np.float64]


def _drawn_radius(piece: shapely.Polygon, turns: _Turns) -> float:
    """The least radius of the inward turns that the piece touches; 0 if it touches none that is known."""
    touched = shapely.dwithin(turns.places, piece, _ON_EDGE)
    return float(turns.radii[touched].min(initial=np.inf)) if touched.any() else 0.0


def _turns(drawn: Outline, holes: Sequence[Outline], wood: float) -> _Turns:
    """The corners and arcs into the wood of an outline and the holes in it, whichever way round they are drawn.

    `wood` is 1 where the wood lies within the outline, -1 where it lies around it.
    """
    places: list[shapely.Geometry] = []
    radii: list[float] = []
    for outline, inward in ((drawn, wood), *((hole, -wood) for hole in holes)):
        ring = shapely.LinearRing(outline.flattened())
        sense = inward if shapely.is_ccw(ring) else -inward
        for place, radius in _turns_of(outline, sense):
            places.append(place)
            radii.append(radius)
    return _Turns(places=np.array(places, dtype=object), radii=np.array(radii, dtype=np.float64))


def _turns_of(outline: Outline, sense: float) -> Iterator[tuple[shapely.Geometry, float]]:
    """Place and radius of every turn into the wood; `sense` is 1 for an outline with the wood on its left.

    Corners that turn less than `PARALLEL` are those of an arc drawn as chords: their radius is that of
    the circle the chords go round.
    """
    points, bulges, radii = outline.points, outline.bulges, outline.radii()
    # a corner drawn twice has no direction of its own
    real = np.hypot(*(np.roll(points, -1, axis=0) - points).T) > COINCIDENT
    points, bulges, radii = points[real], bulges[real], radii[real]
    following = np.roll(points, -1, axis=0)
    chord = following - points
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    half = 2 * np.arctan(bulges)  # an arc leaves and arrives at half its angle off its chord
    leaving, arriving = heading - half, np.roll(heading + half, 1)
    turn = sense * ((leaving - arriving + np.pi) % (2 * np.pi) - np.pi)
    length = np.hypot(*chord.T)
    reach = (length + np.roll(length, 1)) / 2
    for n in np.flatnonzero(turn < -COINCIDENT):
        yield shapely.Point(points[n]), 0.0 if turn[n] < -PARALLEL else float(reach[n] / -turn[n])
    for n in np.flatnonzero(sense * bulges < 0.0):
        # its two half chords lie in the wood that is left, or touch it
        yield (
            shapely.LineString([points[n], _middle(points[n], following[n], bulges[n]), following[n]]),
            float(radii[n]),
        )


def _middle(start: NDArray[np.float64], end: NDArray[np.float64], bulge: float) -> NDArray[np.float64]:
    """The middle of an arc."""
    y, v = (end - start) / 2
    return np.asarray((start + end) / 2 + np.array([v, -y]) * bulge)

"""Contacts in the plane of a frame: where dowels and neighbours push against a part.

A push is a row of (n, 4) float64: the point y, v, mm, and the unit way y, v in which the part is pushed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import atan2, pi

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept

from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import Edges
from ..joints.joint import Joint, joints

Floats = NDArray[np.float64]
Pushes = NDArray[np.float64]

NO_PUSH: Pushes = np.empty((0, 4))

_ALIKE = 1e-6  # rad; ways that differ by less are one
_MOST_WAYS = 8  # of one dowel on one part; in a round hole there are as many as it has chords


class Rims:
    """The edges of several outlines at once, wood to the left; `owner` (n,) tells whose each is.

    `following` (n,) is the edge that goes on from the end of each.
    """

    __slots__ = ("edges", "following", "owner")

    def __init__(self, shapes: Sequence[shapely.Polygon]) -> None:
        """Of polygons; holes count as theirs."""
        rings, whose = shapely.get_rings(shapely.orient_polygons(np.array(shapes)), return_index=True)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        real = (ring[1:] == ring[:-1]) & np.any(points[1:] != points[:-1], axis=1)
        self.edges = Edges(starts=points[:-1][real], ends=points[1:][real])
        ring = ring[1:][real]
        self.owner: NDArray[np.intp] = whose[ring]
        first = np.searchsorted(ring, ring)
        after = np.arange(1, len(ring) + 1)
        self.following: NDArray[np.intp] = np.where(
            after < len(ring), np.where(np.roll(ring, -1) == ring, after, first), first
        )


def depths(places: Floats, radii: Floats, shapes: Sequence[shapely.Polygon]) -> Floats:
    """(d, p): how deep each dowel stands in each outline, mm; negative: how far off it."""
    if not len(places) or not len(shapes):
        return np.empty((len(places), len(shapes)))
    outlines = np.array(shapes)
    points = shapely.points(places)[:, None]
    off = shapely.distance(points, outlines[None, :])
    within = off == 0.0
    if within.any():
        d, p = np.nonzero(within)
        off[d, p] = -shapely.distance(points[d, 0], shapely.boundary(outlines[p]))
    return np.asarray(radii[:, None] - off)


def dowel_pushes(places: Floats, radii: Floats, rims: Rims, gap: float) -> dict[tuple[int, int], Pushes]:
    """What each dowel does to each outline that it touches: by their numbers, a push for each outermost wall.

    A dowel touches a wall that it can come to lie against by a move of up to `gap`, mm. Every push runs
    through the dowel's middle.
    """
    if not len(places):
        return {}
    d, owner, ways = _edge_touches(rims, places, radii, gap)
    at_corners = _corner_touches(rims, places, radii, gap)
    d, owner = np.concatenate([d, at_corners[0]]), np.concatenate([owner, at_corners[1]])
    ways = np.concatenate([ways, at_corners[2]])
    touched: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for dowel, part, (y, v) in zip(d.tolist(), owner.tolist(), ways.tolist(), strict=True):
        touched.setdefault((dowel, part), []).append((y, v))
    middles = places.tolist()
    return {
        (dowel, part): np.array([(*middles[dowel], *way) for way in _outermost(touched[dowel, part])])
        for dowel, part in sorted(touched)
    }


Touches = tuple[NDArray[np.intp], NDArray[np.intp], Floats]  # dowel, outline, way


def _edge_touches(rims: Rims, places: Floats, radii: Floats, gap: float) -> Touches:
    edges = rims.edges
    along, facing, lengths = edges.along, edges.facing, edges.lengths
    off = places[:, None, :] - edges.starts[None, :, :]
    height = np.einsum("dej,ej->de", off, facing) - radii[:, None]
    run = np.einsum("dej,ej->de", off, along)
    beside = np.maximum(np.maximum(-run, run - lengths), 0.0)
    d, e = np.nonzero(np.hypot(height, beside) <= gap)
    return d, rims.owner[e], -facing[e]


def _corner_touches(rims: Rims, places: Floats, radii: Floats, gap: float) -> Touches:
    edges, after = rims.edges, rims.following
    off = places[:, None, :] - edges.ends[None, :, :]
    lengths = np.hypot(off[..., 0], off[..., 1])
    d, e = np.nonzero((np.abs(lengths - radii[:, None]) <= gap) & (lengths > 0.0))
    way, along = off[d, e] / lengths[d, e, None], edges.along
    # a corner that stands out meets the dowel where the way to it lies between the two edges' own
    out = (np.sum(way * along[e], axis=1) >= 0.0) & (np.sum(way * along[after[e]], axis=1) <= 0.0)
    return d[out], rims.owner[e[out]], -way[out]


def _outermost(ways: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Those of unit ways between which all lie; where they go all round, some from all round."""
    angles = sorted((atan2(v, y), (y, v)) for y, v in ways)
    turns = [after[0] - before[0] for before, after in pairwise(angles)]
    turns.append(angles[0][0] + 2 * pi - angles[-1][0])
    widest = max(range(len(turns)), key=turns.__getitem__)
    in_turn = [way for _, way in angles[widest + 1 :] + angles[: widest + 1]]
    if turns[widest] > 2 * pi - _ALIKE:
        return in_turn[:1]
    if turns[widest] > pi + _ALIKE:
        return [in_turn[0], in_turn[-1]]
    step = -(-len(in_turn) // _MOST_WAYS)
    return [*in_turn[::step], in_turn[-1]]


@kept
def joint_pushes(frame: Frame) -> tuple[tuple[Part, Part, Pushes], ...]:
    """What neighbours do to one another at the joints of a frame's core: see `pushes_at`."""
    return pushes_at(joints(frame))


def pushes_at(joints: Iterable[Joint]) -> tuple[tuple[Part, Part, Pushes], ...]:
    """Part, neighbour, and what the neighbour does to the part, for both parts of every joint.

    A joint counts as closed however wide it is drawn: that it is not is another finding. It pushes at
    both ends of every straight piece, and so everywhere between.
    """
    out = []
    for joint in joints:
        onto_second = np.array([(*point, *stretch.way) for stretch in joint.stretches for point in stretch.middle])
        out.append((joint.second, joint.first, onto_second))
        out.append((joint.first, joint.second, onto_second * (1.0, 1.0, -1.0, -1.0)))
    return tuple(out)


@kept
def standing_pushes(frame: Frame, gap: float) -> Mapping[Part, Pushes]:
    """What the dowels of a frame do to its core parts; a part that none touches is left out."""
    if not frame.core:
        return {}
    places = np.array([dowel.at for dowel in frame.dowels]).reshape(-1, 2)
    radii = np.array([dowel.diameter / 2 for dowel in frame.dowels])
    by_part: dict[Part, list[Pushes]] = {}
    for (_, part), rows in dowel_pushes(places, radii, Rims([p.shape for p in frame.core]), gap).items():
        by_part.setdefault(frame.core[part], []).append(rows)
    return {part: np.concatenate(rows) for part, rows in by_part.items()}

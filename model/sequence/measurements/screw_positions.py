"""Where the screws stand on their plates, as a rule measures it: square to two straight edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import SLIVER

from ...boat.part import Part
from ...boat.screw import Screw
from ...geometry.edge import Edges

Point = tuple[float, float]

_LEAST = 20.0  # mm; a shorter edge holds no square
_SQUARE = np.radians(30.0)  # edges that face more alike than this fix no place
_SLANT = np.tan(np.pi / 8)  # an edge that faces nearer to the diagonal than this is named by two words


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeDistance:
    """How far, mm, a place is from a straight edge, square to it; `foot` is where on the edge's line, (y, v).

    `edge` says which edge it is by where it faces: "lower", "outboard"; `ends` are those of the edge.
    """

    edge: str
    distance: float
    foot: Point
    ends: tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewPosition:
    """A screw `at` (y, v), mm, in the part `plate` that it is drilled through, on into the part `into`.

    `edges` are the two edges of the plate from which it is set out; fewer where the plate has none such. `bite` is how
    much of it is in the last part that it reaches, `left` how much wood of that part stays beyond its tip, mm, negative
    where it comes through.
    """

    name: str
    at: Point
    plate: str
    into: str
    edges: tuple[EdgeDistance, ...]
    bite: float
    left: float


def screw_positions(screws: Iterable[Screw]) -> tuple[ScrewPosition, ...]:
    """The places of these screws, in their order; those that meet no wood left out."""
    given = [screw for screw in screws if screw.plies]
    plates = {screw.plies[0].part: None for screw in given}
    from_edges: dict[Screw, tuple[EdgeDistance, ...]] = {}
    for plate in plates:
        edges, own = outer_edges(plate), [screw for screw in given if screw.plies[0].part is plate]
        chosen = {screw: _nearest(edges, screw.at) for screw in own}
        names = edge_names(edges, sorted({n for pair in chosen.values() for n in pair}), plate)
        for screw, pair in chosen.items():
            found = [_distance(edges, n, names[n], screw.at) for n in pair]
            from_edges[screw] = tuple(sorted(found, key=lambda each: each.edge))
    return tuple(
        ScrewPosition(
            name=screw.name,
            at=screw.at,
            plate=screw.plies[0].part.name,
            into=screw.plies[-1].part.name,
            edges=from_edges[screw],
            bite=screw.plies[-1].depth,
            left=screw.plies[-1].thickness - screw.plies[-1].depth if screw.left_beyond >= 0 else screw.left_beyond,
        )
        for screw in given
    )


def outer_edges(part: Part) -> Edges:
    """The straight edges of a part as drawn that a square can be held to: long, and none of a notch or hollow."""
    points, straight = part.drawn.points, part.drawn.bulges == 0.0
    following = np.roll(points, -1, axis=0)
    straight &= np.hypot(*(following - points).T) >= _LEAST
    doubled = np.sum(points[:, 0] * following[:, 1] - points[:, 1] * following[:, 0])
    starts, ends = (points, following) if doubled >= 0.0 else (following, points)
    rim = shapely.boundary(shapely.convex_hull(part.drawn_shape))
    straight &= shapely.distance(shapely.points((points + following) / 2), rim) < SLIVER
    return Edges(starts=starts[straight], ends=ends[straight])


def edge_names(edges: Edges, wanted: Sequence[int], part: Part) -> dict[int, str]:
    """The wanted edges by where they face, each by another name: "upper", "inboard", "upper inboard"."""
    outboard = {"port": 1.0, "starboard": -1.0, "centre": 0.0}[part.side]
    names: dict[int, str] = {}
    for slanted in (False, True):
        names |= {n: _facing(edges.facing[n], outboard, slanted=slanted) for n in _alike(names, wanted)}
    for same in _groups(names, wanted):
        names |= {n: f"{names[n]} {place}" for place, n in enumerate(same, start=1)} if len(same) > 1 else {}
    return names


def _groups(names: dict[int, str], wanted: Sequence[int]) -> list[list[int]]:
    found: dict[str, list[int]] = {}
    for n in wanted:
        found.setdefault(names.get(n, ""), []).append(n)
    return list(found.values())


def _alike(names: dict[int, str], wanted: Sequence[int]) -> Iterator[int]:
    """Those that have no name of their own yet."""
    for same in _groups(names, wanted):
        if len(same) > 1 or same[0] not in names:
            yield from same


def _facing(way: NDArray[np.float64], outboard: float, *, slanted: bool) -> str:
    y, v = float(way[0]), float(way[1])
    across = ("outboard" if y * outboard > 0 else "inboard") if outboard else ("port" if y > 0 else "starboard")
    up = "upper" if v > 0 else "lower"
    if slanted and min(abs(y), abs(v)) > _SLANT * max(abs(y), abs(v)):
        return f"{up} {across}"
    return up if abs(v) > abs(y) else across


def _nearest(edges: Edges, at: Point) -> tuple[int, ...]:
    """Which two edges, not alike, fix a place best: its feet on both, then the shortest ways; none without two such."""
    along, facing = edges.along, edges.facing
    off = np.asarray(at) - edges.starts
    run, height = np.sum(off * along, axis=1), np.abs(np.sum(off * facing, axis=1))
    on = (run >= 0.0) & (run <= edges.lengths)
    pairs = [
        pair
        for pair in combinations(range(len(edges)), 2)
        if abs(facing[pair[0], 0] * facing[pair[1], 1] - facing[pair[0], 1] * facing[pair[1], 0]) > np.sin(_SQUARE)
    ]
    if not pairs:
        return ()
    return min(pairs, key=lambda pair: (-int(on[list(pair)].sum()), round(float(height[list(pair)].sum()), 4), pair))


def _distance(edges: Edges, n: int, name: str, at: Point) -> EdgeDistance:
    start, along, facing = edges.starts[n], edges.along[n], edges.facing[n]
    foot = start + float((at - start) @ along) * along
    return EdgeDistance(
        edge=name,
        distance=abs(float((at - start) @ facing)),
        foot=(float(foot[0]), float(foot[1])),
        ends=(_point(edges.starts[n]), _point(edges.ends[n])),
    )


def _point(values: NDArray[np.float64]) -> Point:
    return float(values[0]), float(values[1])

"""How the pieces of a frame come off it one at a time: straight off a face, or along the frame's plane.

Pieces are rigid: a part, or plies glued together. Wood that stands in the way by less than IN_THE_WAY
does not bar it, and what two pieces overlap in their places is left to the checks that look there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, IN_THE_WAY, SLIVER

from ..boat.part import Part
from ..geometry.overlap import deepest
from .blocking import blocked_arcs, contacts, free_arcs, is_free
from .way import Way

Floats = NDArray[np.float64]
Piece = tuple[Part, ...]

_TURNS = 1e-3  # rad; ways that turn less from one another are tried once
_MOST_WAYS = 32  # along edges; pieces with more are rounded off


class Hold(NamedTuple):
    """Wood of `part`, in the way of a piece: what has to go, mm wide, in the middle at (y, v)."""

    part: Part
    width: float
    at: tuple[float, float]


class Pieces:
    """The pieces of a frame in their places, by number. Frame coordinates, mm."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        """Of these pieces, each of one or more parts; of parts with pockets the prisms are taken."""
        pieces = self.pieces = tuple(tuple(prism for part in piece for prism in part.prisms) for piece in pieces)
        parts = [part for piece in pieces for part in piece]
        owner = np.array([n for n, piece in enumerate(pieces) for _ in piece], dtype=np.intp)
        bounds = shapely.bounds(np.array([part.shape for part in parts], dtype=object)).reshape(-1, 4)
        low, high = np.array([part.low for part in parts]), np.array([part.high for part in parts])
        least, greatest = bounds[:, :2], bounds[:, 2:]
        deep = np.minimum(greatest[:, None], greatest[None]) - np.maximum(least[:, None], least[None])
        near = np.all(deep > IN_THE_WAY, axis=2) & (owner[:, None] != owner[None, :])
        over = near & (low[None, :] >= high[:, None] - SLIVER)
        self._low = [min(part.low for part in piece) for piece in pieces]
        self._high = [max(part.high for part in piece) for piece in pieces]
        self._over: dict[tuple[int, int], list[tuple[Part, Part]]] = {}
        for i, j in np.argwhere(over).tolist():
            self._over.setdefault((int(owner[i]), int(owner[j])), []).append((parts[i], parts[j]))
        self._covered: dict[tuple[int, int], bool] = {}
        self._moving: dict[tuple[Part, tuple[Part, ...], float], shapely.Geometry] = {}
        self._arcs: dict[tuple[shapely.Geometry, Part], Floats] = {}

    def way(self, piece: int, rest: Sequence[int], sides: Sequence[int]) -> Way | None:
        """How a piece comes to its place among the rest: dropped from one of the sides, else slid.

        Sides are 1 for the forward, -1 for the aft; the first that will do is taken.
        """
        return next((way for side in sides if (way := self.dropped(piece, rest, side)) is not None), None) or self.slid(
            piece, rest, sides
        )

    def dropped(self, piece: int, rest: Sequence[int], side: int) -> Way | None:
        """Straight on to the face that lies up, from forward (1) or aft (-1); None if any of the rest covers it."""
        if any(self._covers(other, piece, side) for other in rest):
            return None
        among = [piece, *rest]
        reach = max(self._high[n] for n in among) - self._low[piece]
        if side < 0:
            reach = self._high[piece] - min(self._low[n] for n in among)
        return Way(how="drop", toward=(0.0, 0.0, -float(side)), reach=float(reach))

    def slid(self, piece: int, rest: Sequence[int], sides: Sequence[int]) -> Way | None:
        """Along the frame's plane: from where it is clear of all the rest, else from where it can be dropped."""
        beside = list(self._beside(piece, rest))
        if not beside:
            return None
        free = free_arcs([self._blocked(moving, other) for moving, other in beside])
        for way in _tried(self.pieces[piece], free):
            return self._slide(way, self._clear_of(piece, rest, way))
        best: tuple[float, Floats] | None = None
        for way in _straight(self.pieces[piece], [other for _, other in beside]):
            reach = self._lifted(piece, rest, beside, way, sides)
            if reach is not None and (best is None or reach < best[0] - SLIVER):
                best = reach, way
        return None if best is None else self._slide(best[1], best[0])

    def holders(self, piece: int, rest: Sequence[int], sides: Sequence[int]) -> list[int]:
        """The least of the rest that still bar every way of a piece: without any one of them it is free."""
        kept = [n for n in rest if self._over.keys() & {(piece, n), (n, piece)} or any(self._beside(piece, [n]))]
        for n in list(kept):
            fewer = [other for other in kept if other != n]
            if self.way(piece, fewer, sides) is None:
                kept = fewer
        return kept

    def holds(self, piece: int, rest: Sequence[int], sides: Sequence[int]) -> tuple[Way | None, list[Hold]]:
        """The way that least wood bars, and that wood, the widest first; None and none if there is no telling."""
        found: list[tuple[Way, list[Hold]]] = []
        for side in sides:
            covers = [pair for n in rest for pair in self._pairs(n, piece, side)]
            overlaps = [(part, deepest(mine.shape, part.shape)) for mine, part in covers]
            holds = [Hold(part, o.depth, o.at) for part, o in overlaps if o is not None and o.depth > IN_THE_WAY]
            found.append((Way(how="drop", toward=(0.0, 0.0, -float(side)), reach=0.0), holds))
        beside = list(self._beside(piece, rest, SLIVER))
        for way in _nice(self.pieces[piece]):
            reach = self._clear_of(piece, rest, way)
            found.append((self._slide(way, reach), list(_hooks(beside, way, reach))))
        whole = [pair for pair in found if pair[1]]
        if not whole:
            return None, []
        best, holds = min(whole, key=lambda pair: round(sum(hold.width for hold in pair[1]), 3))
        return best, sorted(holds, key=lambda hold: (-round(hold.width, 3), hold.part.name, round(abs(hold.at[0]), 3)))

    # ---- straight off a face

    def _pairs(self, other: int, piece: int, side: int) -> list[tuple[Part, Part]]:
        """The part of a piece and the part of another that lies over it on this side, whose bounds overlap."""
        if side > 0:
            return self._over.get((piece, other), [])
        return [(mine, its) for its, mine in self._over.get((other, piece), [])]

    def _covers(self, other: int, piece: int, side: int) -> bool:
        pairs = self._pairs(other, piece, side)
        if not pairs:
            return False
        key = (piece, other) if side > 0 else (other, piece)
        if key not in self._covered:
            self._covered[key] = any(_in_the_way(mine.shape, its.shape) for mine, its in pairs)
        return self._covered[key]

    # ---- along the plane

    def _beside(
        self, piece: int, rest: Sequence[int], less: float = IN_THE_WAY
    ) -> Iterator[tuple[shapely.Geometry, Part]]:
        """What of a piece, made smaller, has to move past which part of the rest: all that share a level with it."""
        for mine in self.pieces[piece]:
            others = [
                part for n in rest for part in self.pieces[n]
                if min(mine.high, part.high) - max(mine.low, part.low) > SLIVER
            ]  # fmt: skip
            moving = self._shrunk(mine, others, less)
            if not shapely.is_empty(moving):
                yield from ((moving, part) for part in others)

    def _shrunk(self, mine: Part, others: Sequence[Part], less: float) -> shapely.Geometry:
        """A part without what others overlap of it in its place, and smaller by so much all round, mm."""
        near = [part for part in others if shapely.intersects(mine.shape, part.shape)]
        key = (mine, tuple(near), less)
        if key not in self._moving:
            shape = mine.shape
            if near:
                shape = shapely.difference(shape, shapely.union_all([part.shape for part in near]))
            self._moving[key] = shapely.buffer(shape, -less, join_style="mitre")
        return self._moving[key]

    def _blocked(self, moving: shapely.Geometry, other: Part) -> Floats:
        if (moving, other) not in self._arcs:
            self._arcs[moving, other] = blocked_arcs(moving, other.shape)
        return self._arcs[moving, other]

    def _slide(self, way: Floats, reach: float) -> Way:
        y, v = (-way).tolist()
        return Way(how="slide", toward=(y + 0.0, v + 0.0, 0.0), reach=float(reach))

    def _clear_of(self, piece: int, rest: Sequence[int], way: Floats) -> float:
        """How far along a unit way a piece lies beyond all of the rest, mm."""
        mine = _along(self.pieces[piece], way)
        theirs = [_along(self.pieces[n], way).max() for n in rest]
        return max(float(max(theirs, default=0.0) - mine.min()), 0.0)

    def _lifted(
        self,
        piece: int,
        rest: Sequence[int],
        beside: Sequence[tuple[shapely.Geometry, Part]],
        way: Floats,
        sides: Sequence[int],
    ) -> float | None:
        """How far a piece has to go along a way, past nothing that stops it, until it can be taken off a face."""
        covers = [
            [(mine.shape, part.shape) for n in rest for part in self.pieces[n] for mine in self.pieces[piece]
             if (part.low >= mine.high - SLIVER if side > 0 else part.high <= mine.low + SLIVER)]
            for side in sides
        ]  # fmt: skip
        stops = [(moving, part.shape) for moving, part in beside]
        events = [contacts(a, [b], way) for a, b in [*stops, *(pair for pairs in covers for pair in pairs)]]
        at = np.unique(np.concatenate(events))
        for start, end in zip(at, [*at[1:], at[-1] + 2 * SLIVER], strict=True):
            if end - start < SLIVER:
                continue
            gone = (start + end) / 2
            if any(shapely.intersection(_moved(a, gone * way), b).area > 0.0 for a, b in stops):
                return None
            if any(not any(_in_the_way(_moved(a, gone * way), b) for a, b in pairs) for pairs in covers):
                return float(gone)
        return None


def _in_the_way(shape: shapely.Geometry, other: shapely.Geometry) -> bool:
    """Whether two outlines overlap deeper than IN_THE_WAY."""
    if not shapely.intersects(shape, other):
        return False
    overlap = deepest(shape, other)
    return overlap is not None and overlap.depth > IN_THE_WAY


def _moved(shape: shapely.Geometry, by: Floats) -> shapely.Geometry:
    return shapely.transform(shape, lambda points: points + by)


def _along(piece: Piece, way: Floats) -> Floats:
    return np.asarray(shapely.get_coordinates([part.shape for part in piece]) @ way)


def _nice(piece: Piece) -> list[Floats]:
    """Down, up, outboard, inboard: the plain ways off, tried before any other."""
    out = 1.0 if sum(part.shape.centroid.x * part.volume for part in piece) >= 0.0 else -1.0
    return [np.array(way) for way in ((0.0, -1.0), (0.0, 1.0), (out, 0.0), (-out, 0.0))]


def _edge_ways(piece: Collection[Part]) -> list[Floats]:
    """Both ways along each edge of the drawn outlines, the longest edges first."""
    rings = shapely.get_exterior_ring(shapely.get_parts([part.drawn_shape for part in piece]))
    runs = np.concatenate([np.diff(shapely.get_coordinates(ring), axis=0) for ring in rings])
    lengths = np.hypot(*runs.T)
    order = np.argsort(-np.round(lengths, 3), kind="stable")
    kept: list[Floats] = []
    for run in runs[order[lengths[order] > SLIVER]] / lengths[order[lengths[order] > SLIVER], None]:
        if all(abs(run[0] * way[1] - run[1] * way[0]) > _TURNS for way in kept):
            kept.append(run)
    return [way for run in kept for way in (run, -run)]


def _tried(piece: Piece, free: Floats) -> Iterator[Floats]:
    """Ways that lie in the free arcs: plain ones, those along the piece's edges, the middles of the arcs."""
    if len(free):
        for way in (*_nice(piece), *_edge_ways(piece)):
            if is_free(float(np.arctan2(way[1], way[0])), free):
                yield way
        for middle in free.mean(axis=1):
            yield np.array([np.cos(middle), np.sin(middle)])


def _straight(piece: Piece, others: Collection[Part]) -> Iterator[Floats]:
    """Ways for a slide that ends: plain ones, and along and square to the edges of the piece and what is beside it."""
    yield from _nice(piece)
    for way in _edge_ways([*piece, *others])[:_MOST_WAYS]:
        yield way
        yield np.array([-way[1], way[0]])


def _hooks(beside: Sequence[tuple[shapely.Geometry, Part]], way: Floats, reach: float) -> Iterator[Hold]:
    """What a piece runs into on its way off: the wood to take off, and how wide it is across the way."""
    across = np.array([-way[1], way[0]])
    found: dict[Part, list[shapely.Geometry]] = {}
    for moving, part in beside:
        common = shapely.intersection(swept(moving, way * reach), part.shape)
        found.setdefault(part, []).extend(p for p in shapely.get_parts(common) if p.geom_type == "Polygon")
    for part, pieces in found.items():
        for piece in pieces:
            width = float(np.ptp(shapely.get_coordinates(piece) @ across)) + SLIVER
            if width > IN_THE_WAY and piece.area > SLIVER * SLIVER:
                y, v = piece.representative_point().coords[0]
                yield Hold(part, width, (float(y), float(v)))


def swept(shape: shapely.Geometry, by: Floats) -> shapely.Geometry:
    """All that a shape passes over on a straight move by (2,), mm, its first and last place too."""
    hull = shapely.convex_hull(shape)
    if hull.area - shape.area <= COINCIDENT:
        corners = shapely.get_coordinates(hull)
        return shapely.convex_hull(shapely.linestrings(np.concatenate([corners, corners + by])))
    rings = shapely.get_rings(shapely.get_parts(shape))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    a, b = points[:-1][same], points[1:][same]
    sides = shapely.convex_hull(shapely.linestrings(np.stack([a, b, b + by, a + by], axis=1)))
    return shapely.union_all([*(s for s in sides if s.geom_type == "Polygon"), shape, _moved(shape, by)])

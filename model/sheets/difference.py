"""How a shape on a sheet differs from a part, laid on it turned and turned over so that most of it agrees."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import log
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.tolerances import CHORD_TURN, COINCIDENT, SLIVER, USUAL_CUTTER

from ..boat.cut_sheet import SheetShape
from ..boat.part import Part
from ..geometry.cut import left_standing
from ..geometry.outline import Outline
from .move import RigidMotion
from .stack import Complexes, Floats, Stack, without_needless_corners

MOST = 0.5
"""share of corners that agree, from which an outline is taken for a part, laid on it by those corners."""

_MOST_WAYS = (
    20_000_000  # corners of both times ways of laying them, that are counted; a part's on a shape are a thousandth
)
_AT_ONCE = 1_000_000  # distances between corners held in memory at once
_EDGES = 8  # of a part, the longest, by which it is laid on a shape
_FEWEST_EACH = 4  # edges of a shape that each of them is laid on, however many corners there are
_TRIED = 6  # ways of laying it that are measured exactly
_NEARLY = 0.2  # share by which an edge may differ that is laid on another
_CLOSE = 2.0  # mm; lain this well, the best place by least squares is looked for
_STEPS = 6  # of that search
_STEP = 5.0  # mm along the edges, by which the difference is measured that is told
_RELIEF = 0.6  # cutter diameters; the greatest radius of a relief in a corner


class Laying(NamedTuple):
    """A shape laid on a part: `move` takes the sheet's u + iv to the part's y + iv.

    `off` is how far the outlines are apart at worst, mm, `at` where on the part, and `onto` the point of the other
    outline nearest to that. `agree` is the share of the part's and the shape's corners that lie on one another.
    """

    move: RigidMotion
    off: float
    at: tuple[float, float]
    onto: tuple[float, float]
    agree: float


class Pattern:
    """A part, ready to be compared with shapes."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.stack = Stack([without_needless_corners(part.drawn)])
        self.region = part.drawn_shape

    @cached_property
    def lines(self) -> shapely.Geometry:
        """The edges of the part, holes and all."""
        return self.region.boundary


def laid(pattern: Pattern, shape: SheetShape, within: float) -> Laying:
    """The shape laid on the part: so that they agree to `within` mm if they can, else that most corners agree."""
    cut = shapely.MultiLineString(_rings(shape.outline, *shape.holes))
    marked = shapely.MultiLineString(_rings(shape.outline, *shape.holes, *shape.marks))
    ways = sorted(_ways(pattern, Stack([shape.outline]), within), key=lambda way: -way[0])[:_TRIED]
    best: Laying | None = None
    for agree, move in ways:
        laying = _measured(pattern, cut, marked, move, agree)
        # where corners agree they settle the place; curves drawn in chords of their own have none that do
        if within < laying.off < _CLOSE and laying.agree < MOST:
            laying = _better_placed(pattern, cut, marked, laying, within)
        if laying.off <= within:
            return laying
        if best is None or (laying.agree, -laying.off) > (best.agree, -best.off):
            best = laying
    if best is None:
        raise ValueError("there are always the ways by their axes")
    # where they differ, edges may lie further apart half way along than at their ends
    return _measured(pattern, cut, marked, best.move, best.agree, step=_STEP)


def _rings(*outlines: Outline) -> list[Floats]:
    return [np.vstack([line, line[:1]]) for line in (outline.flattened() for outline in outlines)]


def _ways(pattern: Pattern, shape: Stack, within: float) -> Iterator[tuple[float, RigidMotion]]:
    """Ways to lay a shape on a part, each with the share of corners that agree.

    Of curves in very many chords, all about as long, only those nearest in length are laid on one another.
    """
    part = pattern.stack
    corners = len(part.corners) + len(shape.corners)
    most = max(_FEWEST_EACH, _MOST_WAYS // (4 * _EDGES * corners))
    for over in (False, True):
        there = shape.corners.conj()[::-1] if over else shape.corners
        chords = np.roll(there, -1) - there
        turns: list[complex] = []
        shifts: list[complex] = []
        for n in np.argsort(-np.abs(part.chords), kind="stable")[:_EDGES]:
            length, start = abs(part.chords[n]), part.corners[n]
            sizes = np.abs(chords)
            off = np.abs(sizes - length)
            near = np.flatnonzero((off <= max(2 * within, SLIVER, _NEARLY * length)) & (sizes > COINCIDENT))
            if len(near) > most:
                near = np.sort(near[np.argsort(off[near], kind="stable")[:most]])
            for m in near:
                turn = part.chords[n] / chords[m] * (sizes[m] / length)
                turns += [turn, turn]
                shifts += [start - turn * there[m], start + part.chords[n] - turn * (there[m] + chords[m])]
        for turn, shift in _by_axes(part.corners, there):
            turns.append(turn)
            shifts.append(shift)
        yield from zip(
            _agreeing(part.corners, there, np.array(turns), np.array(shifts), within),
            (RigidMotion(turn=turn, shift=shift, over=over) for turn, shift in zip(turns, shifts, strict=True)),
            strict=True,
        )


def _by_axes(part: Complexes, shape: Complexes) -> Iterator[tuple[complex, complex]]:
    """The turns and shifts that lay middle on middle and long axis on long axis, either way round."""
    axes = []
    for points in (part, shape):
        seen = points - points.mean()
        axes.append(np.exp(0.5j * np.angle(np.sum(seen**2))))
    for way in (1, 1j, -1, -1j):
        turn = complex(axes[0] / axes[1] * way)
        yield turn, complex(part.mean() - turn * shape.mean())


def _agreeing(part: Complexes, shape: Complexes, turns: Complexes, shifts: Complexes, within: float) -> list[float]:
    """For each way the share of corners, of both, that lie on one another to within twice `within`."""
    reach = max(2 * within, SLIVER)
    if len(shape) * len(part) > _AT_ONCE:
        return [_share(part, turn * shape + shift, reach) for turn, shift in zip(turns, shifts, strict=True)]
    out: list[float] = []
    ways = max(1, _AT_ONCE // (len(shape) * len(part)))
    for n in range(0, len(turns), ways):
        moved = turns[n : n + ways, None] * shape[None, :] + shifts[n : n + ways, None]
        near = np.abs(moved[:, :, None] - part[None, None, :]) <= reach
        both = near.any(axis=1).sum(axis=1) + near.any(axis=2).sum(axis=1)
        out += [float(share) for share in both / (len(part) + len(shape))]
    return out


def _share(part: Complexes, shape: Complexes, reach: float) -> float:
    """The share of corners, of both, that lie on one another, found without looking at every pair."""
    here, there = (shapely.points(points.real, points.imag) for points in (part, shape))
    agree = sum(
        len(np.unique(shapely.STRtree(others).query(ones, predicate="dwithin", distance=reach)[0]))
        for ones, others in ((here, there), (there, here))
    )
    return agree / (len(part) + len(shape))


def _measured(
    pattern: Pattern,
    cut: shapely.Geometry,
    marked: shapely.Geometry,
    move: RigidMotion,
    agree: float,
    *,
    step: float | None = None,
) -> Laying:
    """How far the shape's cuts lie from the part's edges, and those from anything drawn in the shape.

    At their corners, or every `step` mm along them too.
    """
    there, drawn = move.shape(cut), move.shape(marked)
    here, cuts = (
        shapely.get_coordinates(lines if step is None else shapely.segmentize(lines, step))
        for lines in (pattern.lines, there)
    )
    points = np.concatenate([here, cuts])
    away = np.concatenate(
        [
            shapely.distance(shapely.points(here), drawn),
            shapely.distance(shapely.points(cuts), pattern.lines),
        ]
    )
    worst = int(np.argmax(away))
    way = shapely.shortest_line(shapely.Point(points[worst]), drawn if worst < len(here) else pattern.lines)
    at, onto = shapely.get_coordinates(way)
    return Laying(move=move, off=float(away[worst]), at=_point(at), onto=_point(onto), agree=agree)


def _better_placed(
    pattern: Pattern, cut: shapely.Geometry, marked: shapely.Geometry, laying: Laying, within: float
) -> Laying:
    """The laying moved a little, if that brings it within; else as it was."""
    points = shapely.get_coordinates(shapely.segmentize(cut, 50.0))
    there = points[:, 0] + 1j * points[:, 1]
    if laying.move.over:
        there = there.conj()
    turn, shift = laying.move.turn, laying.move.shift
    for _ in range(_STEPS):
        moved = turn * there + shift
        here = _nearest(pattern.lines, moved)
        seen, wanted = there - there.mean(), here - here.mean()
        size = complex(np.sum(seen.conj() * wanted))
        turn = size / abs(size)
        shift = complex(here.mean() - turn * there.mean())
        move = RigidMotion(turn=turn, shift=shift, over=laying.move.over)
        better = _measured(pattern, cut, marked, move, laying.agree)
        if better.off <= within:
            return better
    return laying


def _nearest(lines: shapely.Geometry, points: Complexes) -> Complexes:
    """The points on lines nearest to points."""
    ways = shapely.shortest_line(shapely.points(points.real, points.imag), lines)
    ends = shapely.get_coordinates(ways)[1::2]
    return np.asarray(ends[:, 0] + 1j * ends[:, 1])


def only_reliefs(pattern: Pattern, shape: SheetShape, laying: Laying, cutter: float, within: float) -> bool:
    """Whether the shape differs from the part only by what is drawn in inside corners for the cutter's sake.

    It may have more wood there if the cutter leaves that in the part's own corner; and less, if the cutter
    leaves it in the shape's or it is no more than a relief. A relief that the part has and the shape has
    not is a difference. Without a cutter (0) the usual one is thought of.
    """
    cutter = cutter or USUAL_CUTTER
    holes = [hole.polygon().exterior for hole in shape.holes]
    there = laying.move.shape(shapely.make_valid(shapely.Polygon(shape.region.exterior, holes)))
    for piece in _pieces(there, pattern.region, within):
        if not _covered(piece, left_standing(pattern.region, cutter), within):
            return False
    corners = shapely.multipoints(_inside_corners(pattern.region))
    for piece in _pieces(pattern.region, there, within):
        small = shapely.minimum_bounding_radius(piece) <= _RELIEF * cutter
        in_corner = small and shapely.distance(piece, corners) <= _RELIEF * cutter
        if not in_corner and not _covered(piece, _left(there, cutter), within):
            return False
    return True


def _pieces(one: shapely.Geometry, other: shapely.Geometry, within: float) -> list[shapely.Geometry]:
    """What one has and the other has not, what is thinner than `within` left out."""
    rest = shapely.buffer(shapely.difference(one, other), -within / 2, join_style="mitre")
    rest = shapely.buffer(rest, within / 2, join_style="mitre")
    return [piece for piece in shapely.get_parts(rest) if not piece.is_empty]


def _covered(piece: shapely.Geometry, by: Sequence[shapely.Polygon], within: float) -> bool:
    return bool(shapely.difference(piece, shapely.buffer(shapely.union_all(list(by)), within)).is_empty)


def _left(region: shapely.Geometry, cutter: float) -> Sequence[shapely.Polygon]:
    return left_standing(region, cutter) if region.geom_type == "Polygon" else ()


def _inside_corners(region: shapely.Geometry) -> Floats:
    """The corners of a region at which the wood is more than half round, (n, 2)."""
    found = [np.zeros((0, 2))]
    for ring in shapely.get_rings(shapely.get_parts(shapely.orient_polygons(region))):
        points = shapely.get_coordinates(ring)[:-1]
        before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
        turns = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], np.sum(before * after, axis=1))
        found.append(points[turns < -CHORD_TURN])
    return np.concatenate(found)


def nearest_sizes(shape: SheetShape, patterns: Sequence[Pattern], most: int, unlike: float) -> list[Pattern]:
    """Of the patterns the few whose area and length round are nearest to the shape's, nearest first.

    None whose area or length differs by a share of more than `unlike`.
    """
    area, length = shape.region.area, shape.region.length

    def off(pattern: Pattern) -> tuple[float, float]:
        own = pattern.stack
        return abs(log(abs(own.areas[0]) / area)), abs(log(own.lengths[0] / length))

    near = [pattern for pattern in patterns if max(off(pattern)) <= unlike]
    return sorted(near, key=lambda pattern: (round(sum(off(pattern)), 9), pattern.part.name))[:most]


def _pairs(points: Complexes) -> Floats:
    return np.column_stack([points.real, points.imag])


def _point(values: Floats) -> tuple[float, float]:
    return float(values[0]), float(values[1])

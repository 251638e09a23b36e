"""Places at which a dowel could stand against the core of a frame: inside corners first, then along edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import CHORD_TURN, COINCIDENT, SLIVER

from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.plane import mirrored_points
from ...relations.dowels.contact import Pushes, Rims, dowel_pushes

Floats = NDArray[np.float64]

_LEAST_TURN = 0.5  # rad (29 degrees); a wall that turns by less is no corner to set a dowel into
_FEW, _MANY = (3, 1.5), (15, 0.75)  # places on a stretch, and dowel diameters that the first stands from its end
_QUADRANT = 32  # segments a quarter turn of the path of a dowel's middle round a corner
_ALIKE = 0.05  # mm; places that are mirror images to within this are meant so


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DowelPlace:
    """A place `at` (y, v) for a dowel, mm, and what it does there to the parts that it touches.

    `rank` is lower for the better place: 0 in an inside corner, 1 against an edge, 2 and 3 the same
    under a gusset, where glue runs.
    """

    at: tuple[float, float]
    rank: int
    pushes: dict[Part, Pushes]


Places = tuple[DowelPlace, ...]
"""A place, or two that are mirror images: what is chosen or left out together."""


@kept
def dowel_places(frame: Frame, radius: float, gap: float, everywhere: bool = False) -> tuple[Places, ...]:
    """The places for dowels of this radius at a frame's core, mm, best first, mirror images together.

    A dowel touches what it can come to lie against by a move of `gap`, mm. There are three places
    on every stretch of an outline, or `everywhere` many, also on short ones.
    """
    if not frame.core:
        return ()
    shapes = [part.shape for part in frame.core]
    rims = Rims(shapes)
    corners = [_nestled(rims, point, radius, gap) for point in _corners(shapes, radius, gap)]
    beside = [place for shape in shapes for place in _beside(shape, radius, *(_MANY if everywhere else _FEW))]
    points = np.array([*corners, *beside]).reshape(-1, 2)
    if not len(points):
        return ()
    deep = radius - shapely.distance(shapely.points(points)[:, None], np.array(shapes)[None, :])
    clear = np.all(deep <= SLIVER, axis=1)
    points, in_corners = points[clear], (np.arange(len(points)) < len(corners))[clear]
    covered = _covered(frame, points, radius)
    pushes: dict[int, dict[Part, Pushes]] = {}
    for (dowel, part), rows in dowel_pushes(points, np.full(len(points), radius), rims, gap).items():
        pushes.setdefault(dowel, {})[frame.core[part]] = rows
    places = []
    for number, own in pushes.items():
        in_corner = bool(in_corners[number])
        if not in_corner or _turns(own) >= _LEAST_TURN:
            y, v = (float(c) + 0.0 for c in points[number])
            places.append(DowelPlace(at=(y, v), rank=2 * int(covered[number]) + int(not in_corner), pushes=own))
    return tuple(_paired(places))


def _corners(shapes: Sequence[shapely.Polygon], radius: float, gap: float) -> Iterator[tuple[float, float]]:
    """Where the middle of a dowel that is rolled round the wood comes to a corner: it touches two walls there."""
    path = shapely.buffer(shapely.union_all(shapes), radius, quad_segs=_QUADRANT)
    for ring in shapely.get_rings(shapely.get_parts(shapely.orient_polygons(shapely.simplify(path, gap / 4)))):
        points = shapely.get_coordinates(ring)[:-1]
        runs = np.roll(points, -1, axis=0) - points
        before = np.roll(runs, 1, axis=0)
        turns = np.arctan2(before[:, 0] * runs[:, 1] - before[:, 1] * runs[:, 0], np.sum(before * runs, axis=1))
        for point in points[turns < -_LEAST_TURN]:
            yield float(point[0]), float(point[1])


def _nestled(rims: Rims, point: tuple[float, float], radius: float, gap: float) -> tuple[float, float]:
    """The place at `point`, put right so that the dowel touches its two outermost walls and no more."""
    edges = rims.edges.within((*point, *point), radius + gap)
    off = np.sum((point - edges.starts) * edges.facing, axis=1) - radius
    run = np.sum((point - edges.starts) * edges.along, axis=1)
    edges = edges.only(np.hypot(off, np.maximum(np.maximum(-run, run - edges.lengths), 0.0)) <= gap)
    facing = edges.facing
    if len(edges) < 2:
        return point
    i, j = np.unravel_index(int(np.argmin(np.round(facing @ facing.T, 9))), (len(edges), len(edges)))
    walls = np.array([facing[i], facing[j]])
    if abs(np.linalg.det(walls)) < np.sin(_LEAST_TURN):
        return point
    starts = np.array([edges.starts[i], edges.starts[j]])
    y, v = np.linalg.solve(walls, np.sum(walls * starts, axis=1) + radius)
    return (float(y), float(v)) if _apart((float(y), float(v)), point) <= gap else point


def _beside(shape: shapely.Polygon, radius: float, count: int, off: float) -> Iterator[tuple[float, float]]:
    """From near one end to near the other of every straight or gently curved stretch of an outline."""
    inset = off * 2 * radius
    for ring in shapely.get_rings(shapely.orient_polygons(shape)):
        points = shapely.get_coordinates(ring)
        points = points[np.append(True, np.hypot(*np.diff(points, axis=0).T) > COINCIDENT)]
        for run in _stretches(points):
            steps = np.hypot(*np.diff(run, axis=0).T)
            total = float(steps.sum())
            if total < 2 * inset:
                continue
            reached = np.concatenate([[0.0], np.cumsum(steps)])
            for along in np.linspace(inset, total - inset, count):
                i = min(int(np.searchsorted(reached, along, side="right")) - 1, len(steps) - 1)
                way = (run[i + 1] - run[i]) / steps[i]
                on = run[i] + way * (along - reached[i])
                yield float(on[0] + way[1] * radius), float(on[1] - way[0] * radius)


def _stretches(points: Floats) -> Iterator[Floats]:
    """The ring (n, 2), its end repeating its start, cut at its corners."""
    runs = np.diff(points, axis=0)
    before = np.roll(runs, 1, axis=0)
    turns = np.arctan2(before[:, 0] * runs[:, 1] - before[:, 1] * runs[:, 0], np.sum(before * runs, axis=1))
    lengths = np.hypot(*runs.T)
    # where a straight edge runs into an arc there is no corner to see, but its chord is much the shorter
    longer = np.maximum(lengths, np.roll(lengths, 1)) > _MUCH * np.minimum(lengths, np.roll(lengths, 1))
    cuts = np.flatnonzero((np.abs(turns) > CHORD_TURN) | longer)
    for start, end in zip(cuts, np.append(cuts[1:], cuts[:1] + len(runs)), strict=True):
        yield points[np.arange(start, end + 1) % len(runs)]


_MUCH = 5.0


def _covered(frame: Frame, points: Floats, radius: float) -> NDArray[np.bool_]:
    """Which of the places lie under a gusset or another plate."""
    plates = [part.shape for part in frame.parts if part.face != "core" and part.role != "leg"]
    if not plates:
        return np.zeros(len(points), dtype=bool)
    off = shapely.distance(shapely.points(points)[:, None], np.array(plates)[None, :])
    return np.asarray(np.any(off < radius - SLIVER, axis=1))


def _turns(pushes: dict[Part, Pushes]) -> float:
    """How far the walls that push turn from one another, rad, at most."""
    ways = np.concatenate([rows[:, 2:] for rows in pushes.values()])
    return float(np.arccos(np.clip(ways @ ways.T, -1.0, 1.0)).max())


def _paired(places: Iterable[DowelPlace]) -> list[Places]:
    """Mirror images together; singles, and places twice found, once."""
    ordered = sorted(places, key=lambda p: (p.rank, -round(p.at[0], 2), -round(p.at[1], 2)))
    at = np.array([place.at for place in ordered]).reshape(-1, 2)
    left = np.ones(len(ordered), dtype=bool)
    out: list[Places] = []
    for number, place in enumerate(ordered):
        if not left[number]:
            continue
        left &= np.hypot(*(at - at[number]).T) > _ALIKE
        images = np.flatnonzero(left & (np.hypot(*(at - mirrored_points(at[number])).T) <= _ALIKE))
        if len(images):
            left &= np.hypot(*(at - at[images[0]]).T) > _ALIKE
            out.append((place, ordered[images[0]]))
        else:
            out.append((place,))
    return out


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(np.hypot(one[0] - other[0], one[1] - other[1]))

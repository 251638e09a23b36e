"""Runs: lines and arcs drawn in one go, and how conics and splines become them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, SAGITTA

from .drawn import Point
from .plane_map import PlaneMap

_ROUND = 1e-11  # share of the radius; a conic whose half diameters differ less is a circle
_HALF_TURN = math.pi * (1 + 1e-12)
_STRAIGHT = 1e-9  # mm; an arc that stands off its chord by less is a line
_FINEST = 50_000  # corners of one flattened curve; far more than any drawn part has
_FARTHEST = 1e7  # mm from the drawing's zero, and the greatest radius: 10 km, where float64 is finer than COINCIDENT


class CurveError(ValueError):
    """A curve that cannot be followed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """`points` (n), mm, and `bulges` of the segments between them: n - 1, or n where the run is `closed`.

    No two points in a row are closer than `COINCIDENT`.
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    closed: bool

    def reversed(self) -> Run:
        """The same drawn the other way; only for open runs."""
        return Run(points=self.points[::-1], bulges=tuple(-b for b in self.bulges[::-1]), closed=False)


def run_of(points: Sequence[Point], bulges: Sequence[float], *, closed: bool) -> Run | None:
    """A run of these corners, those that repeat the one before left out; None where nothing is left to draw.

    `bulges` has one entry a point; that of the last point of an open run is not looked at. Raises CurveError.
    """
    kept: list[Point] = []
    curves: list[float] = []
    for point, bulge in zip(points, bulges, strict=True):
        check_place(point, bulge)
        if kept and _near(kept[-1], point):
            curves[-1] = bulge
            continue
        kept.append(point)
        curves.append(bulge)
    if closed and len(kept) > 1 and _near(kept[-1], kept[0]):
        kept.pop()
        curves.pop()
    if len(kept) < 2:
        return None
    for index, bulge in enumerate(curves):
        if bulge:
            chord = math.dist(kept[index], kept[(index + 1) % len(kept)])
            if abs(bulge) * chord < 2 * _STRAIGHT:
                curves[index] = 0.0
            elif abs(bulge) > 1.0:  # it stands off its chord by half as much as this
                check_place((abs(bulge) * chord, 0.0))
    return Run(points=tuple(kept), bulges=tuple(curves if closed else curves[:-1]), closed=closed)


def check_place(point: Point, *more: float) -> None:
    """Raises CurveError for a point that is no place in a drawing: not a number, or kilometres off."""
    if not (abs(point[0]) <= _FARTHEST and abs(point[1]) <= _FARTHEST and all(map(math.isfinite, more))):
        raise CurveError("its coordinates are out of all bounds")


def conic(centre: Point, p: Point, q: Point, start: float, sweep: float) -> Run | None:
    """The run of `centre + p cos t + q sin t` for t from `start` through `sweep` radians (above 0, at most a turn).

    `p` and `q` are conjugate half diameters, mm. A circle's arc stays a true arc; any other conic is
    flattened to the sagitta, its corners lying on it. Raises CurveError.
    """
    size = max(math.hypot(*p), math.hypot(*q))
    check_place(centre, sweep)
    check_place((size, size))
    if size < COINCIDENT or sweep <= 0.0:
        return None
    closed = sweep >= 2 * math.pi * (1 - 1e-12)
    is_round = (
        abs(math.hypot(*p) - math.hypot(*q)) <= _ROUND * size and abs(p[0] * q[0] + p[1] * q[1]) <= _ROUND * size**2
    )
    if is_round:
        pieces = math.ceil(sweep / _HALF_TURN)
        bulge = math.copysign(math.tan(sweep / pieces / 4), p[0] * q[1] - p[1] * q[0])
    else:
        # no chord of a curve stands further off it than step**2 / 8 times its greatest second derivative
        pieces = max(2, math.ceil(sweep / math.sqrt(8 * SAGITTA / _half_major(p, q))))
        bulge = 0.0
    if pieces > _FINEST:
        raise CurveError("it is too big to follow")
    turns = (start + sweep * k / pieces for k in range(pieces if closed else pieces + 1))
    points = [
        (centre[0] + p[0] * math.cos(t) + q[0] * math.sin(t), centre[1] + p[1] * math.cos(t) + q[1] * math.sin(t))
        for t in turns
    ]
    return run_of(points, [bulge] * len(points), closed=closed)


def mapped_polyline(corners: Iterable[tuple[float, float, float]], place: PlaneMap, *, closed: bool) -> Run | None:
    """The run of (x, y, bulge) corners through a map; arcs that it squashes are flattened."""
    rows = list(corners)
    turn = place.turn
    if turn or not any(bulge for *_, bulge in rows):
        return run_of([place.point(x, y) for x, y, _ in rows], [bulge * turn for *_, bulge in rows], closed=closed)
    points: list[Point] = []
    following = rows[1:] + rows[:1]
    for index, ((x, y, bulge), (x2, y2, _)) in enumerate(zip(rows, following, strict=True)):
        check_place(place.point(x, y), bulge)
        check_place((abs(bulge) * math.hypot(x2 - x, y2 - y) * place.scale, 0.0))
        last = index == len(rows) - 1
        if abs(bulge) * math.hypot(x2 - x, y2 - y) * place.scale >= 2 * _STRAIGHT and not (last and not closed):
            points.extend(_squashed_arc((x, y), (x2, y2), bulge, place))
        else:
            points.append(place.point(x, y))
    return run_of(points, [0.0] * len(points), closed=closed)


def sampled(
    curve: Callable[[NDArray[np.float64]], NDArray[np.float64]], knots: Sequence[float], *, closed: bool
) -> Run | None:
    """A curve over its parameter flattened to the sagitta, its corners lying on it.

    `curve` maps parameters (m,) to points (m, 2), mm; `knots` are where it may have corners, rising.
    Raises CurveError.
    """
    t = np.unique(np.concatenate([np.linspace(a, b, 5) for a, b in pairwise(knots)]))
    points = curve(t)
    if not (np.abs(points) <= _FARTHEST).all():
        raise CurveError("its coordinates are out of all bounds")
    while True:
        # looking at the quarters, not at the middle alone, so that no bend both ways slips through
        tried = t[:-1, None] + np.diff(t)[:, None] * (0.25, 0.5, 0.75)
        there = curve(tried.ravel()).reshape(-1, 3, 2)
        coarse = _off_chord(points, there) > SAGITTA
        if not coarse.any():
            break
        if len(t) + coarse.sum() > _FINEST:
            raise CurveError("it is too big to follow")
        halfway = np.flatnonzero(coarse)
        t = np.insert(t, halfway + 1, tried[halfway, 1])
        points = np.insert(points, halfway + 1, there[halfway, 1], axis=0)
    corners = [(float(u), float(v)) for u, v in points]
    return run_of(corners, [0.0] * len(corners), closed=closed)


def _off_chord(points: NDArray[np.float64], there: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far the furthest of `there` (n - 1, k, 2) stands off the chord between neighbouring `points` (n, 2)."""
    chord = np.diff(points, axis=0)
    square = np.maximum(np.sum(chord**2, axis=1), COINCIDENT**2)[:, None]
    arm = there - points[:-1, None, :]
    along = np.clip(np.sum(arm * chord[:, None, :], axis=2) / square, 0.0, 1.0)
    off = arm - along[:, :, None] * chord[:, None, :]
    return np.asarray(np.sqrt(np.sum(off**2, axis=2).max(axis=1)))


def _half_major(p: Point, q: Point) -> float:
    """The longest half diameter of the ellipse with the conjugate half diameters `p` and `q`."""
    along, across = p[0] ** 2 + p[1] ** 2, q[0] ** 2 + q[1] ** 2
    return math.sqrt((along + across) / 2 + math.hypot((along - across) / 2, p[0] * q[0] + p[1] * q[1]))


def _squashed_arc(start: Point, end: Point, bulge: float, place: PlaneMap) -> list[Point]:
    """Points on the mapped arc from `start` (included) to `end` (left out)."""
    x, y = end[0] - start[0], end[1] - start[1]
    away = (1 - bulge * bulge) / (4 * bulge)
    centre = (start[0] + x / 2 - y * away, start[1] + y / 2 + x * away)
    p = (start[0] - centre[0], start[1] - centre[1])
    q = (-p[1], p[0]) if bulge > 0 else (p[1], -p[0])
    run = conic(place.point(*centre), place.vector(*p), place.vector(*q), 0.0, 4 * math.atan(abs(bulge)))
    return [place.point(*start), *(run.points[1:-1] if run else ())]


def _near(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) <= COINCIDENT and abs(one[1] - other[1]) <= COINCIDENT

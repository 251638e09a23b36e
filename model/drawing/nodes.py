"""Loose lines parted where others end on them: a side that stands on a long edge, lines that two parts share."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.tolerances import COINCIDENT

from ..geometry.outline import Outline
from .drawn import Point
from .run import Run, run_of

_MOST_ENDS = 200  # that part one segment; more are a hatch and no parts


@dataclass(frozen=True, kw_only=True)
class Walk:
    """Runs by index that go on at one another; `dead` are the ends at which nothing does, `shut` if it closes."""

    runs: tuple[int, ...]
    dead: tuple[Point, ...]
    shut: bool


def parted(runs: Sequence[Run], walks: Sequence[Walk], gap: float) -> dict[int, list[Run]]:
    """The runs on which ends of others lie, up to `gap` mm off, by index, each as the runs that they part it into.

    `walks` are the runs that go on at one another, each with whether it shuts without a fork: such a one stays whole
    unless a line that ends nowhere else stands on it. A line that ends anywhere in the open parts nothing.
    """
    reach = max(gap, COINCIDENT)
    segments = [(index, n) for index, run in enumerate(runs) for n in range(len(run.points) - 1)]
    loose = [walk for walk in walks if not walk.shut]
    if not loose:
        return {}
    tree = shapely.STRtree([_line(runs[index], n) for index, n in segments])

    def met(ends: Sequence[Point]) -> dict[int, dict[int, list[tuple[float, Point]]]]:
        on: dict[int, dict[int, list[tuple[float, Point]]]] = defaultdict(lambda: defaultdict(list))
        which, hit = tree.query(shapely.points(np.array(ends)), predicate="dwithin", distance=reach)
        for spot, place in zip(which.tolist(), hit.tolist(), strict=True):
            index, n = segments[place]
            share = _share(runs[index], n, ends[spot], reach)
            if share is not None:
                on[index][n].append((share, ends[spot]))
        return on

    ends_alone = sorted({end for walk in loose for end in walk.dead})
    stand = (
        {at for of in met(ends_alone).values() for shares in of.values() for _, at in shares} if ends_alone else set()
    )
    taken = [walk for walk in loose if stand.issuperset(walk.dead)]
    others = [walk for walk in walks if walk.shut]
    cut: dict[int, dict[int, list[tuple[float, Point]]]] = {}
    while taken:
        ends = {at for walk in taken for index in walk.runs for at in (runs[index].points[0], runs[index].points[-1])}
        cut = met(sorted(ends))
        on = met(sorted(dead)) if (dead := {end for walk in taken for end in walk.dead}) else {}
        more = [walk for walk in others if any(index in on for index in walk.runs)]
        if not more:
            break
        others = [walk for walk in others if walk not in more]
        taken += more
    within = {index for walk in taken for index in walk.runs}
    return {
        index: _cut(runs[index], {n: [share for share, _ in these] for n, these in of.items()}, reach)
        for index, of in cut.items()
        if index in within and max(map(len, of.values())) <= _MOST_ENDS
    }


def _line(run: Run, n: int) -> shapely.LineString:
    corners = [run.points[n], run.points[n + 1]]
    if run.bulges[n] == 0.0:
        return shapely.LineString(corners)
    return shapely.LineString(Outline.of(corners, [run.bulges[n], 0.0]).flattened())


def _share(run: Run, n: int, point: Point, reach: float) -> float | None:
    """How far along a segment a point lies on it, 0 to 1; None at the ends of the run."""
    start, end, bulge = run.points[n], run.points[n + 1], run.bulges[n]
    near_start, near_end = math.dist(start, point) <= reach, math.dist(end, point) <= reach
    if near_start or near_end:
        inside = n > 0 if near_start else n < len(run.points) - 2
        return (0.0 if near_start else 1.0) if inside else None
    if bulge == 0.0:
        along = np.subtract(end, start)
        return float(np.dot(np.subtract(point, start), along) / np.dot(along, along))
    # the angle at the circle's edge between chord and start: half of what the arc has gone
    chord = math.atan2(end[1] - start[1], end[0] - start[0])
    gone = math.atan2(point[1] - start[1], point[0] - start[0]) - (chord - 2 * math.atan(bulge))
    gone = (gone + math.pi) % (2 * math.pi) - math.pi
    return gone / (2 * math.atan(bulge))


def _cut(run: Run, shares: Mapping[int, Iterable[float]], reach: float) -> list[Run]:
    """The pieces of a run that is cut at these shares of its segments."""
    pieces: list[Run] = []
    points, bulges = [run.points[0]], list[float]()
    for n, (start, end, bulge) in enumerate(zip(run.points, run.points[1:], run.bulges, strict=False)):
        last = 0.0
        for share in [*sorted(shares.get(n, ())), None]:
            at = end if share is None else _at(start, end, bulge, share)
            if share is not None and math.dist(at, points[-1]) <= reach:
                if len(points) > 1:
                    pieces.extend(_run(points, bulges))
                    points, bulges = [points[-1]], []
                continue
            points.append(at)
            bulges.append(math.tan(math.atan(bulge) * ((1.0 if share is None else share) - last)))
            if share is not None:
                pieces.extend(_run(points, bulges))
                points, bulges, last = [at], [], share
    return [*pieces, *_run(points, bulges)]


def _at(start: Point, end: Point, bulge: float, share: float) -> Point:
    (u, v), (u2, v2) = start, end
    if share in (0.0, 1.0):
        return end if share else start
    if bulge == 0.0:
        return u + (u2 - u) * share, v + (v2 - v) * share
    half = 2 * math.atan(bulge)
    length = math.dist(start, end) * math.sin(half * share) / math.sin(half)
    angle = math.atan2(v2 - v, u2 - u) - half + half * share
    return u + length * math.cos(angle), v + length * math.sin(angle)


def _run(points: Sequence[Point], bulges: Sequence[float]) -> list[Run]:
    whole = run_of(points, [*bulges, 0.0], closed=False) if len(points) > 1 else None
    return [whole] if whole is not None else []

"""Joins runs end to end: what closes is an outline, where three ends meet is a fork, the rest stays open.

Nothing is guessed: at a fork no way on is chosen, and two ends are joined over a gap only when
neither has another end within reach. What hangs together by forks is kept as a network too, whose
faces labels may settle (`openings`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from scrieve.shared.findings import Source
from scrieve.shared.tolerances import COINCIDENT

from ..geometry.outline import Outline
from .drawn import DrawnChain, DrawnEdge, DrawnFork, DrawnNetwork, DrawnOutline, Point, drawn_with
from .nodes import Walk, parted
from .run import Run, run_of

_CROWD = 8  # points compared with in one cell of the grid; more of them in so small a space are one heap
_SAME_MIDDLE = 1e-5  # mm; runs between the same ends with middles this close are one run drawn twice

End = tuple[int, int]  # index of a run; 0 for its start, 1 for its end


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """What has become of the runs of one layer."""

    outlines: tuple[DrawnOutline, ...]
    chains: tuple[DrawnChain, ...]
    forks: tuple[DrawnFork, ...]
    networks: tuple[DrawnNetwork, ...]


def join(layer: str, pieces: Iterable[tuple[Run, Source]], gap: float, centrelines: Collection[float] = ()) -> Joined:
    """Outlines, open chains, forks and networks of one layer's open runs; ends up to `gap` mm apart are one.

    What ends on the centreline (u) of a half drawing goes on there.
    The outcome does not hang on the order of the runs, nor on the way each was drawn.
    """
    outlines: list[DrawnOutline] = []
    runs: list[Run] = []
    sources: list[Source] = []
    for run, source in pieces:
        whole = _linked([run], closed=True) if _shuts(run, gap) else None
        if whole is not None:
            outlines.append(DrawnOutline(layer=layer, outline=_outline(whole), source=source))
        else:
            runs.append(run)
            sources.append(source)
    if not runs:
        return Joined(outlines=tuple(outlines), chains=(), forks=(), networks=())
    spots = _spots([end for run in runs for end in (run.points[0], run.points[-1])])
    runs, sources, spots, twice = _once(runs, sources, spots)
    partner, forks = _partners(runs, spots, gap)
    walks = [_walk(runs, links, partner, forks) for links in _walks(len(runs), partner)]
    parts = parted(runs, [_going_on(walk, centrelines, gap) for walk in walks], gap)
    if parts:
        repeated = {id(part) for n in twice for part in parts.get(n, [runs[n]])}
        pairs = [(part, sources[n]) for n, run in enumerate(runs) for part in parts.get(n, [run])]
        runs, sources = [run for run, _ in pairs], [source for _, source in pairs]
        spots = _spots([end for run in runs for end in (run.points[0], run.points[-1])])
        runs, sources, spots, twice = _once(runs, sources, spots)
        twice |= {n for n, run in enumerate(runs) if id(run) in repeated}
        partner, forks = _partners(runs, spots, gap)
    chains: dict[int, DrawnChain] = {}  # by the first run of each
    for links in _walks(len(runs), partner):
        source, *others = sorted((sources[index] for index, _ in links), key=_age)
        source = drawn_with(source, others)
        first, last = (links[0][0], links[0][1]), (links[-1][0], 1 - links[-1][1])
        closed = partner.get(first) == last
        whole = _linked([runs[index] if way == 0 else runs[index].reversed() for index, way in links], closed=closed)
        if whole is None:
            continue
        if whole.closed:
            doubled = [index for index, _ in links if index in twice]
            outlines.append(
                DrawnOutline(
                    layer=layer,
                    outline=_outline(whole),
                    source=source,
                    twice=len(doubled) == len(links),
                    doubled_at=_middle(runs[doubled[0]]) if 0 < len(doubled) < len(links) else None,
                )
            )
        else:
            forked = first in forks or last in forks
            chains[first[0]] = DrawnChain(
                layer=layer, points=whole.points, bulges=whole.bulges, source=source, forked=forked
            )
    return Joined(
        outlines=tuple(outlines),
        chains=tuple(chains.values()),
        forks=tuple(_fork(layer, runs, sources, heap) for heap in sorted(set(forks.values()))),
        networks=tuple(
            DrawnNetwork(
                layer=layer,
                edges=tuple(edge for index in group for edge in _edges(runs[index], sources[index], index in twice)),
                chains=tuple(chains[index] for index in group if index in chains),
                forks=tuple(_fork(layer, runs, sources, heap) for heap in sorted(heaps)),
            )
            for group, heaps in _groups(len(runs), partner, forks)
        ),
    )


def _outline(run: Run) -> Outline:
    return Outline.of(run.points, run.bulges)


def _shuts(run: Run, gap: float) -> bool:
    """Whether an open run of three corners or more ends where it began."""
    return len(run.points) > 2 and math.dist(run.points[0], run.points[-1]) <= gap and _extent(run) > 2 * gap


def _extent(run: Run) -> float:
    us, vs = [p[0] for p in run.points], [p[1] for p in run.points]
    return max(max(us) - min(us), max(vs) - min(vs))


def _spots(points: Sequence[Point]) -> list[int]:
    """A number for each point, the same for points within `COINCIDENT` of each other."""
    number: dict[Point, int] = {}
    cells: dict[tuple[int, int], list[tuple[Point, int]]] = defaultdict(list)
    size = 4 * COINCIDENT
    for point in sorted(set(points)):
        column, row = round(point[0] / size), round(point[1] / size)
        near = (
            spot
            for dx in (0, -1, 1)
            for dy in (0, -1, 1)
            for other, spot in cells.get((column + dx, row + dy), ())
            if math.dist(other, point) <= COINCIDENT
        )
        spot = next(near, len(number))
        number[point] = spot
        if len(cells[column, row]) < _CROWD:
            cells[column, row].append((point, spot))
    return [number[point] for point in points]


def _once(
    runs: list[Run], sources: list[Source], spots: list[int]
) -> tuple[list[Run], list[Source], list[int], set[int]]:
    """The runs without those that repeat another, and which of them were repeated."""
    kept: dict[tuple[object, ...], int] = {}
    chosen: list[int] = []
    twice: set[int] = set()
    for index in sorted(range(len(runs)), key=lambda i: _age(sources[i])):
        a, b = spots[2 * index], spots[2 * index + 1]
        u, v = _middle(runs[index])
        key = (min(a, b), max(a, b), len(runs[index].points), round(u / _SAME_MIDDLE), round(v / _SAME_MIDDLE))
        if key in kept:
            twice.add(kept[key])
        else:
            kept[key] = len(chosen)
            chosen.append(index)
    ends = [spot for index in chosen for spot in spots[2 * index : 2 * index + 2]]
    return [runs[i] for i in chosen], [sources[i] for i in chosen], ends, twice


def _middle(run: Run) -> Point:
    """The middle of the run's middle segment, or its middle corner: the same whichever way it was drawn."""
    half = len(run.points) // 2
    if len(run.points) % 2:
        return run.points[half]
    (u, v), (u2, v2) = run.points[half - 1], run.points[half]
    rise = run.bulges[half - 1] / 2
    return (u + u2) / 2 + (v2 - v) * rise, (v + v2) / 2 - (u2 - u) * rise


def _partners(runs: list[Run], spots: list[int], gap: float) -> tuple[dict[End, End], dict[End, tuple[End, ...]]]:
    """Which end goes on at which, both ways; and for each end on a fork, all the ends that meet there."""
    meeting: dict[int, list[End]] = defaultdict(list)
    for index in range(len(runs)):
        meeting[spots[2 * index]].append((index, 0))
        meeting[spots[2 * index + 1]].append((index, 1))
    partner: dict[End, End] = {}
    forks: dict[End, tuple[End, ...]] = {}
    for ends in meeting.values():
        if len(ends) == 2:
            partner[ends[0]], partner[ends[1]] = ends[1], ends[0]
        elif len(ends) > 2:
            forks.update(dict.fromkeys(ends, tuple(ends)))
    near = _neighbours(runs, meeting, max(gap, COINCIDENT))
    for end in sorted(near, key=lambda one: (_at(runs, one), _extent(runs[one[0]]))):
        others = near[end]
        if len(others) == 1 and near.get(others[0]) == [end]:
            partner[end] = others[0]
        elif len(others) > 1:
            heap = tuple(sorted({end, *others}))
            for one in heap:
                partner.pop(partner.pop(one, one), None)
                forks.setdefault(one, heap)
    return partner, forks


def _neighbours(runs: list[Run], meeting: Mapping[int, list[End]], gap: float) -> dict[End, list[End]]:
    """For each end that meets no other, the ends of all runs within `gap` of it."""
    cells: dict[tuple[int, int], list[list[End]]] = defaultdict(list)
    for ends in meeting.values():
        u, v = _at(runs, ends[0])
        cells[round(u / gap), round(v / gap)].append(ends)
    near: dict[End, list[End]] = {}
    for end in (ends[0] for ends in meeting.values() if len(ends) == 1):
        u, v = _at(runs, end)
        column, row = round(u / gap), round(v / gap)
        # a short line is no gap between its own ends
        near[end] = [
            other
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for ends in cells.get((column + dx, row + dy), ())[: _CROWD + 1]
            for other in ends
            if other != end
            and math.dist(_at(runs, other), (u, v)) <= gap
            and (other[0] != end[0] or _extent(runs[end[0]]) > 2 * gap)
        ]
    return near


def _at(runs: Sequence[Run], end: End) -> Point:
    return runs[end[0]].points[0 if end[1] == 0 else -1]


def _walks(count: int, partner: dict[End, End]) -> Iterable[list[End]]:
    """Every chain as the ends at which its runs are entered, in order; open chains begin at a dead end."""
    used: set[int] = set()
    dead_ends = [(index, way) for index in range(count) for way in (0, 1) if (index, way) not in partner]
    for start in [*dead_ends, *((index, 0) for index in range(count))]:
        if start[0] in used:
            continue
        walk: list[End] = []
        entered: End | None = start
        while entered is not None and entered[0] not in used:
            used.add(entered[0])
            walk.append(entered)
            entered = partner.get((entered[0], 1 - entered[1]))
        yield walk


def _walk(
    runs: Sequence[Run], links: Sequence[End], partner: Mapping[End, End], forks: Mapping[End, tuple[End, ...]]
) -> Walk:
    ends = [links[0], (links[-1][0], 1 - links[-1][1])]
    shut = partner.get(ends[0]) == ends[1]
    dead = () if shut else tuple(_at(runs, end) for end in ends if end not in forks)
    return Walk(runs=tuple(index for index, _ in links), dead=dead, shut=shut)


def _going_on(walk: Walk, centrelines: Collection[float], gap: float) -> Walk:
    """The walk, its dead ends without those on a centreline."""
    dead = tuple(end for end in walk.dead if not any(abs(end[0] - u) <= gap for u in centrelines))
    return replace(walk, dead=dead)


def _linked(runs: Sequence[Run], *, closed: bool) -> Run | None:
    """One run of these, each beginning where the one before ends, give or take a gap that is closed."""
    points: list[Point] = list(runs[0].points)
    bulges: list[float] = list(runs[0].bulges)
    for run in runs[1:]:
        points[-1] = _meeting(points[-1], bulges[-1], run.points[0], run.bulges[0])
        points.extend(run.points[1:])
        bulges.extend(run.bulges)
    if not closed:
        return run_of(points, [*bulges, 0.0], closed=False)
    points[0] = _meeting(points.pop(), bulges[-1], points[0], bulges[0])
    return run_of(points, bulges, closed=True)


def _meeting(end: Point, bulge_before: float, start: Point, bulge_after: float) -> Point:
    """Where two segments meet: the end of an arc stays, so that it keeps its circle, that of a line gives way."""
    if (bulge_before == 0.0) == (bulge_after == 0.0):
        return min(end, start)
    return end if bulge_after == 0.0 else start


def _groups(
    count: int, partner: Mapping[End, End], forks: Mapping[End, tuple[End, ...]]
) -> Iterable[tuple[list[int], set[tuple[End, ...]]]]:
    """The runs that hang together by forks, a list for each lot of them, and the forks among them."""
    seen: set[int] = set()
    for start in range(count):
        group: list[int] = []
        heaps: set[tuple[End, ...]] = set()
        ahead = [start]
        while ahead:
            index = ahead.pop()
            if index in seen:
                continue
            seen.add(index)
            group.append(index)
            for end in ((index, 0), (index, 1)):
                heap = forks.get(end, ())
                heaps.update({heap} if heap else ())
                ahead.extend(other for other, _ in (*heap, partner.get(end, end)))
        if heaps:
            yield sorted(group), heaps


def _edges(run: Run, source: Source, twice: bool) -> Iterable[DrawnEdge]:
    for start, end, bulge in zip(run.points, run.points[1:], run.bulges, strict=False):
        yield DrawnEdge(start=start, end=end, bulge=bulge, source=source, twice=twice)


def _fork(layer: str, runs: list[Run], sources: list[Source], heap: tuple[End, ...]) -> DrawnFork:
    return DrawnFork(
        layer=layer,
        at=min(_at(runs, end) for end in heap),
        ends=len(heap),
        source=_first(sources[index] for index, _ in heap),
    )


def _age(source: Source) -> tuple[int, str]:
    """Sorts handles as the numbers they are."""
    return len(source.handle), source.handle


def _first(sources: Iterable[Source]) -> Source:
    return min(sources, key=_age)

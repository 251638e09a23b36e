"""Fouls of battens with one another and with the rails of the strongback."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Subject
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...boat.evidence import rail, subject
from ...boat.solid import Solid, batten_solid, box
from ...boat.solid_overlap import SolidOverlap, deepest_solid
from .foul import Foul, Triple, solid_way_out, space_evidence
from .passing import RAILS

Floats = NDArray[np.float64]

STRETCH = 25.0
"""mm; a batten is tried in stretches of this length, so that its bend does not count as depth of an overlap."""

MOST_STRETCHES = 400
"""stretches from end to end of the battens; on a boat longer than 10 m they are longer. A batten sprung as hard as its
stock takes bends less the longer it is: over stretches twice as long on a boat twice as long by twice as little."""

MOST_TRIED = 50
"""times that two battens, or a batten and a rail, are tried on one another before places are tried several at once."""

_REGION = 5
"""stretches; of an overlap that runs on, so much to either side of where it is deepest is shown."""

_PLAY = 1.0
"""mm; how much nearer two battens may come between two samples than the samples and their change tell."""


def long_fouls(assembly: Assembly) -> Iterator[Foul]:
    """Battens that run into one another or into a rail, deeper than the limit: one foul for every place."""
    limit = assembly.limits["foul"]
    battens = [batten for batten in assembly.battens if len(batten.sections) > 1]
    stretch = _stretch(battens)
    lines = [_SampledBatten.of(batten, stretch) for batten in battens]
    for one, other in combinations(lines, 2):
        yield from _two_battens(one, other, limit)
    if assembly.strongback is not None:
        for side in RAILS:
            corners = assembly.strongback.rail(side)
            for line in lines:
                yield from _batten_on_rail(line, rail(side), corners, limit)


def _stretch(battens: Sequence[Batten]) -> float:
    """mm; how long the stretches are in which these battens are tried, so that there are never too many."""
    longest = max((float(np.ptp(batten.centres[[0, -1], 0])) for batten in battens), default=0.0)
    return max(STRETCH, longest / MOST_STRETCHES)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _SampledBatten:
    """A batten sampled at x = `stretch` x k for k from `first` on, at `last` for the last time.

    `centres` (m, 3) and `reach` (m,), the radius that holds its outline in the plane of x, are of the
    samples; `least` and `greatest` (m - 1, 3), corners of boxes, of the stretches between them. It
    begins at x = `begins` and ends at `ends`, at its first and last section. Hull axes, mm.
    """

    batten: Batten
    stretch: float
    first: int
    begins: float
    ends: float
    centres: Floats
    reach: Floats
    least: Floats
    greatest: Floats

    @classmethod
    def of(cls, batten: Batten, stretch: float) -> _SampledBatten:
        begins, ends = float(batten.centres[0, 0]), float(batten.centres[-1, 0])
        first, last = int(np.floor(begins / stretch)), int(np.ceil(ends / stretch))
        x = stretch * np.arange(first, last + 1, dtype=np.float64)
        centres, (tangent, long, short) = batten.centre(x), batten.axes(x)
        around = batten.long / 2 * np.abs(long) + batten.short / 2 * np.abs(short)
        # how far the batten bends off the straight between two samples
        bend = np.linalg.norm(batten.curve.second(x), axis=1).max() * stretch**2 / 8
        low, high = centres - around, centres + around
        return cls(
            batten=batten, stretch=stretch, first=first, begins=begins, ends=ends, centres=centres,
            reach=float(np.hypot(batten.long, batten.short)) / 2 / tangent[:, 0],
            least=np.minimum(low[:-1], low[1:]) - bend, greatest=np.maximum(high[:-1], high[1:]) + bend,
        )  # fmt: skip

    @property
    def last(self) -> int:
        return self.first + len(self.centres) - 1

    def solid(self, k: int, count: int = 1) -> Solid | None:
        """`count` stretches from sample k on, a little longer where square ends lean; None past the batten's ends."""
        half = float(np.hypot(self.batten.long, self.batten.short)) / 2
        lean = float(np.sqrt(max(self.reach[k - self.first] ** 2 - half**2, 0.0)))
        start = max(self.begins, self.stretch * k - lean)
        end = min(self.ends, self.stretch * (k + count) + lean)
        return batten_solid(self.batten, start, end, step=self.stretch) if end - start > 0.0 else None


def _two_battens(one: _SampledBatten, other: _SampledBatten, limit: float) -> Iterator[Foul]:
    first, last = max(one.first, other.first), min(one.last, other.last)
    if last <= first:
        return
    a, b = slice(first - one.first, last - one.first + 1), slice(first - other.first, last - other.first + 1)
    apart = one.centres[a] - other.centres[b]
    gaps = np.linalg.norm(apart, axis=1) - one.reach[a] - other.reach[b]
    near = np.minimum(gaps[:-1], gaps[1:]) < np.linalg.norm(np.diff(apart, axis=0), axis=1) + _PLAY
    c, d = slice(a.start, a.stop - 1), slice(b.start, b.stop - 1)
    near &= _deep(one.least[c], one.greatest[c], other.least[d], other.greatest[d], limit)

    def overlap(k: int, count: int) -> _StretchOverlap | None:
        return _overlap(k, count, one.solid(k, count), other.solid(k, count))

    yield from _places(one, subject(other.batten), (first + np.flatnonzero(near)).tolist(), overlap, limit)


def _batten_on_rail(line: _SampledBatten, on: Subject, corners: tuple[Triple, Triple], limit: float) -> Iterator[Foul]:
    near = _deep(line.least, line.greatest, np.array(corners[0]), np.array(corners[1]), limit)
    block = box(*corners) if near.any() else None

    def overlap(k: int, count: int) -> _StretchOverlap | None:
        return _overlap(k, count, line.solid(k, count), block)

    yield from _places(line, on, (line.first + np.flatnonzero(near)).tolist(), overlap, limit)


class _StretchOverlap(NamedTuple):
    """What of so many `stretches` from k on overlaps deepest, and the two solids."""

    k: int
    stretches: int
    deepest: SolidOverlap
    solids: tuple[Solid, Solid]


def _overlap(k: int, count: int, a: Solid | None, b: Solid | None) -> _StretchOverlap | None:
    """None where the solids do not overlap, or one of them is not there."""
    deepest = None if a is None or b is None else deepest_solid(a, b)
    return None if deepest is None else _StretchOverlap(k, count, deepest, (a, b))


def _deep(least: Floats, greatest: Floats, low: Floats, high: Floats, limit: float) -> NDArray[np.bool_]:
    """Which boxes overlap deeper than the limit along all three axes."""
    return np.asarray(np.all(np.minimum(greatest, high) - np.maximum(least, low) > limit, axis=1))


def _places(
    line: _SampledBatten,
    other: Subject,
    near: Sequence[int],
    overlap: Callable[[int, int], _StretchOverlap | None],
    limit: float,
) -> Iterator[Foul]:
    """The deepest foul of every run of neighbouring stretches that overlap past the limit.

    Of many that are `near` several are tried at once, which shows none less deep than it is, and one by one only
    those that come out the deepest.
    """
    size = -(-len(near) // MOST_TRIED)
    for run in _runs(near, size, overlap, limit):
        for found in sorted(run, key=lambda each: (-each.deepest.depth, each.k)):
            ones = [found] if size == 1 else [overlap(found.k + n, 1) for n in range(found.stretches)]
            deep = [each for each in ones if each is not None and exceeds(each.deepest.depth, limit)]
            if deep:
                worst = max(deep, key=lambda each: (each.deepest.depth, -each.k))
                beside = [each.deepest.piece for each in run if _REGION > abs(each.k - worst.k) > 0]
                yield _foul(line, other, worst, beside, limit)
                break


def _runs(
    near: Sequence[int], size: int, overlap: Callable[[int, int], _StretchOverlap | None], limit: float
) -> Iterator[list[_StretchOverlap]]:
    """Runs of neighbouring stretches that overlap past the limit, tried up to `size` at once."""
    run: list[_StretchOverlap] = []
    for k, count in _bundles(near, size):
        found = overlap(k, count)
        past = found is not None and exceeds(found.deepest.depth, limit)
        if run and (not past or run[-1].k + run[-1].stretches != k):
            yield run
            run = []
        if found is not None and past:
            run.append(found)
    if run:
        yield run


def _bundles(near: Sequence[int], size: int) -> Iterator[tuple[int, int]]:
    """Neighbouring numbers, up to `size` together: the first, and how many."""
    start = count = 0
    for k in near:
        if count and (count == size or k != start + count):
            yield start, count
            count = 0
        start, count = (start, count + 1) if count else (k, 1)
    if count:
        yield start, count


def _foul(line: _SampledBatten, other: Subject, worst: _StretchOverlap, beside: Sequence[Solid], limit: float) -> Foul:
    overlap = worst.deepest
    nearest = int(np.argmin(np.abs(line.batten.centres[:, 0] - overlap.at[0])))
    return Foul.between(
        subject(line.batten),
        other,
        depth=overlap.depth,
        limit=limit,
        at=overlap.at,
        way=solid_way_out(overlap, *worst.solids),
        room=overlap.depth,
        frame="",
        source=line.batten.sections[nearest].source,
        evidence=lambda: space_evidence(overlap, beside),
    )

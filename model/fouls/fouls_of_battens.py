"""Fouls of battens with one another and with the rails of the strongback."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from ..assembly import Assembly
from ..batten import Batten
from ..solid import Solid, batten_solid, box
from ..solid_overlap import SolidOverlap, deepest_solid
from .foul import Foul, Triple, solid_way_out
from .passing import RAILS

Floats = NDArray[np.float64]

STRETCH = 25.0
"""mm; a batten is tried in stretches no longer, so that its bend does not count as depth of an overlap."""

_PLAY = 1.0
"""mm; how much nearer two battens may come between two samples than the samples and their change tell."""


def long_fouls(assembly: Assembly) -> Iterator[Foul]:
    """Battens that run into one another or into a rail, deeper than the limit: one foul for every place."""
    limit = assembly.limits["foul"]
    lines = [_Line.of(batten) for batten in assembly.battens if len(batten.sections) > 1]
    for one, other in combinations(lines, 2):
        yield from _two_battens(one, other, limit)
    if assembly.strongback is not None:
        for side in RAILS:
            corners = assembly.strongback.rail(side)
            for line in lines:
                yield from _batten_on_rail(line, f"{side} rail", corners, limit)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    """A batten sampled at x = STRETCH x k for k from `first` on, at `last` for the last time.

    `centres` (m, 3) and `reach` (m,), the radius that holds its outline in the plane of x, are of the
    samples; `least` and `greatest` (m - 1, 3), corners of boxes, of the stretches between them. It
    begins at x = `begins` and ends at `ends`, at its first and last section. Hull axes, mm.
    """

    batten: Batten
    first: int
    begins: float
    ends: float
    centres: Floats
    reach: Floats
    least: Floats
    greatest: Floats

    @classmethod
    def of(cls, batten: Batten) -> _Line:
        begins, ends = float(batten.centres[0, 0]), float(batten.centres[-1, 0])
        first, last = int(np.floor(begins / STRETCH)), int(np.ceil(ends / STRETCH))
        x = STRETCH * np.arange(first, last + 1, dtype=np.float64)
        centres, (tangent, long, short) = batten.centre(x), batten.axes(x)
        around = batten.long / 2 * np.abs(long) + batten.short / 2 * np.abs(short)
        # how far the batten bends off the straight between two samples
        bend = np.linalg.norm(batten.curve.second(x), axis=1).max() * STRETCH**2 / 8
        low, high = centres - around, centres + around
        return cls(
            batten=batten, first=first, begins=begins, ends=ends, centres=centres,
            reach=float(np.hypot(batten.long, batten.short)) / 2 / tangent[:, 0],
            least=np.minimum(low[:-1], low[1:]) - bend, greatest=np.maximum(high[:-1], high[1:]) + bend,
        )  # fmt: skip

    @property
    def last(self) -> int:
        return self.first + len(self.centres) - 1

    def solid(self, k: int) -> Solid | None:
        """The stretch from sample k to the next, a little longer where its square ends lean; None past its ends."""
        half = float(np.hypot(self.batten.long, self.batten.short)) / 2
        lean = float(np.sqrt(max(self.reach[k - self.first] ** 2 - half**2, 0.0)))
        start, end = max(self.begins, STRETCH * k - lean), min(self.ends, STRETCH * (k + 1) + lean)
        return batten_solid(self.batten, start, end) if end - start > 0.0 else None


def _two_battens(one: _Line, other: _Line, limit: float) -> Iterator[Foul]:
    first, last = max(one.first, other.first), min(one.last, other.last)
    if last <= first:
        return
    a, b = slice(first - one.first, last - one.first + 1), slice(first - other.first, last - other.first + 1)
    apart = one.centres[a] - other.centres[b]
    gaps = np.linalg.norm(apart, axis=1) - one.reach[a] - other.reach[b]
    near = np.minimum(gaps[:-1], gaps[1:]) < np.linalg.norm(np.diff(apart, axis=0), axis=1) + _PLAY
    c, d = slice(a.start, a.stop - 1), slice(b.start, b.stop - 1)
    near &= _deep(one.least[c], one.greatest[c], other.least[d], other.greatest[d], limit)
    found = []
    for k in (first + np.flatnonzero(near)).tolist():
        here, there = one.solid(k), other.solid(k)
        if here is not None and there is not None:
            found.append((k, deepest_solid(here, there), here, there))
    yield from _places(one, other.batten.name, found, limit)


def _batten_on_rail(line: _Line, rail: str, corners: tuple[Triple, Triple], limit: float) -> Iterator[Foul]:
    near = _deep(line.least, line.greatest, np.array(corners[0]), np.array(corners[1]), limit)
    block = box(*corners) if near.any() else None
    found = []
    for k in (line.first + np.flatnonzero(near)).tolist():
        solid = line.solid(k)
        if solid is not None:
            found.append((k, deepest_solid(solid, block), solid, block))
    yield from _places(line, rail, found, limit)


def _deep(least: Floats, greatest: Floats, low: Floats, high: Floats, limit: float) -> NDArray[np.bool_]:
    """Which boxes overlap deeper than the limit along all three axes."""
    return np.asarray(np.all(np.minimum(greatest, high) - np.maximum(least, low) > limit, axis=1))


def _places(
    line: _Line, other: str, found: list[tuple[int, SolidOverlap | None, Solid, Solid]], limit: float
) -> Iterator[Foul]:
    """The deepest foul of every run of neighbouring stretches that overlap past the limit."""
    worst: tuple[SolidOverlap, Solid, Solid] | None = None
    past = None
    for k, overlap, a, b in found:
        if overlap is None or overlap.depth <= limit:
            continue
        if worst is not None and past != k - 1:
            yield _foul(line, other, *worst, limit)
            worst = None
        if worst is None or overlap.depth > worst[0].depth:
            worst = (overlap, a, b)
        past = k
    if worst is not None:
        yield _foul(line, other, *worst, limit)


def _foul(line: _Line, other: str, overlap: SolidOverlap, a: Solid, b: Solid, limit: float) -> Foul:
    nearest = int(np.argmin(np.abs(line.batten.centres[:, 0] - overlap.at[0])))
    return Foul.between(
        line.batten.name,
        other,
        depth=overlap.depth,
        limit=limit,
        at=overlap.at,
        way=solid_way_out(overlap, a, b),
        room=overlap.depth,
        frame="",
        source=line.batten.sections[nearest].source,
    )

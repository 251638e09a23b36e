"""The hull's lines: natural splines through the table of offsets, checked for slips of the pen first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.errors import Mistake, PlanError

from ..geometry.placement import Placement
from ..geometry.spline import NaturalSpline
from ..plan.toml_places import TomlPlaces
from .lines import Edge, LinesFile, Offsets

UNFAIR = 0.25
"""share of the table's greatest depth by which an entry may be off the curve through its neighbours.

Common practice, no source. The sharpest honest turn seen, the stem of a published 12 m hard-chine hull,
is off by 0.18; an entry taken from the row beside it by 0.28.
"""

NOTICED = 0.02
"""share of the greatest depth from which on an entry is remarked upon. Common practice, no source."""

GREATEST = 50_000.0
"""mm; no entry of the table is further from its zero, nor its zero from the datum plane: a slip of the units."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hull:
    """The outer lines of the frames, hull axes, mm. `edges` go up from the keel to the sheer, port side.

    Each edge is a spline of (y, z) over x. `deck_radius` is that of every deck beam, None for flat decks.
    """

    names: tuple[str, ...]
    edges: tuple[NaturalSpline, ...]
    start: float
    end: float
    widest: float
    deck_radius: float | None

    def meets(self, edge: int, placement: Placement) -> tuple[float, float, float] | None:
        """Where an edge passes the plane w = 0 of a frame: x in hull axes, then y and v of the frame.

        None where that is off the ends of the table.
        """
        spline = self.edges[edge]
        c, s = np.cos(placement.rake), np.sin(placement.rake)
        x = placement.station
        for _ in range(100):
            (_, z), slope = spline([x])[0], spline.slope([x])[0]
            step = ((x - placement.station) * c + z * s) / (c + s * slope[1])
            x -= step
            if abs(step) < 1e-9:
                break
        if not self.start - 1e-6 <= x <= self.end + 1e-6:
            return None
        y, z = spline([x])[0]
        _, v, _ = placement.to_frame([[x, y, z]])[0]
        return float(x), float(y), float(v)


def hull_of(lines: LinesFile, places: TomlPlaces, path: str) -> tuple[Hull, tuple[str, ...]]:
    """The hull of a table of offsets, and remarks on entries that stand out mildly.

    Raises PlanError for heights out of order and for entries far off the curve through their neighbours.
    """
    table = lines.offsets
    wrong = [*_too_great(table, places, path), *_out_of_order(table, places, path)]
    if wrong:
        raise PlanError(wrong)
    wrong, remarks = _unfair(table, places, path)
    if wrong:
        raise PlanError(wrong)
    return lines_of(table), tuple(remarks)


def lines_of(table: Offsets) -> Hull:
    """The hull of a table of offsets, whatever its entries are like."""
    x = np.array(table.stations)
    edges = [np.column_stack([np.zeros(len(x)), table.keel])]
    edges += [np.column_stack([edge.half_breadth, edge.height]) for _, edge in _edges(table)]
    splines = tuple(NaturalSpline.through(x, np.add(edge, (0.0, table.base))) for edge in edges)
    along = np.linspace(x[0], x[-1], 2001)
    breadths = splines[-1](along)[:, 0]
    half = float(breadths.max())
    camber = table.camber
    return Hull(
        names=("keel", *(name.replace("_", " ") for name, _ in _edges(table))),
        edges=splines,
        start=float(x[0]),
        end=float(x[-1]),
        widest=float(along[int(np.argmax(breadths))]),
        deck_radius=(half**2 + camber**2) / (2 * camber) if camber > 0 else None,
    )


def _edges(table: Offsets) -> list[tuple[str, Edge]]:
    named = [("chine", table.chine), ("upper_chine", table.upper_chine), ("sheer", table.sheer)]
    return [(name, edge) for name, edge in named if edge is not None]


def _columns(table: Offsets) -> Iterator[tuple[tuple[str, ...], Floats]]:
    """Every column of the table with its key path."""
    yield ("keel",), np.array(table.keel)
    for name, edge in _edges(table):
        yield (name, "half_breadth"), np.array(edge.half_breadth)
        yield (name, "height"), np.array(edge.height)


def _too_great(table: Offsets, places: TomlPlaces, path: str) -> Iterator[Mistake]:
    columns = [(("base",), np.array([table.base])), (("stations",), np.array(table.stations)), *_columns(table)]
    for keys, column in columns:
        for i in np.flatnonzero(np.abs(column) > GREATEST):
            yield Mistake(
                path=path,
                line=places.line_of("offsets", *keys, int(i)),
                what=f"offsets.{'.'.join(keys)}: at most {GREATEST / 1000:g} m is wanted (got {column[i] / 1000:g} m)",
            )


def _out_of_order(table: Offsets, places: TomlPlaces, path: str) -> Iterator[Mistake]:
    heights = [(keys, column) for keys, column in _columns(table) if keys[-1] != "half_breadth"]
    for (lower_keys, lower), (keys, upper) in pairwise(heights):
        for i in np.flatnonzero(upper < lower):
            yield Mistake(
                path=path,
                line=places.line_of("offsets", *keys, int(i)),
                what=f"offsets.{'.'.join(keys)} at station {table.stations[i]:g}: a height of at least that of the "
                f"{lower_keys[0].replace('_', ' ')}, {lower[i]:g} mm, is wanted (got {upper[i]:g} mm)",
            )


def _unfair(table: Offsets, places: TomlPlaces, path: str) -> tuple[list[Mistake], list[str]]:
    x = np.array(table.stations)
    depth = max(float(np.max(np.subtract(table.sheer.height, table.keel))), 1.0)
    mistakes, noticed = [], []
    for keys, column in _columns(table):
        values = column.copy()
        for i, should in _standing_out(x, values, UNFAIR * depth):
            what = (
                f"offsets.{'.'.join(keys)} at station {x[i]:g}: {values[i]:.4g} mm is {abs(values[i] - should):.0f} mm "
                f"off the curve through its neighbours ({should:.0f} mm would lie on it)"
            )
            line = places.line_of("offsets", *keys, i)
            if table.unfair == "refuse":
                what += '; mend it, or set unfair = "accept"'
                mistakes.append(Mistake(path=path, line=line, what=what))
            else:
                noticed.append((np.inf, f"{path}:{line}: {what}: accepted"))
            values[i] = should
        off = values - np.array([_expected(x, values, i) for i in range(len(x))])
        worst = int(np.argmax(np.abs(off)))
        if abs(off[worst]) > NOTICED * depth:
            line = places.line_of("offsets", *keys, worst)
            noticed.append(
                (
                    abs(off[worst]),
                    f"{path}:{line}: offsets.{'.'.join(keys)} turns sharply at station {x[worst]:g}: "
                    f"{abs(off[worst]):.0f} mm off the curve through its neighbours",
                )
            )
    return mistakes, [text for _, text in sorted(noticed, key=lambda n: (-n[0], n[1]))]


def _standing_out(x: Floats, values: Floats, limit: float) -> Iterator[tuple[int, float]]:
    """Entries further off than `limit`, one by one, each with what would lie on the curve.

    One wrong entry throws its neighbours' curves off too: the one to blame is that without which the
    rest is fairest.
    """
    values = values.copy()
    for _ in range(len(x)):
        should = np.array([_expected(x, values, i) for i in range(len(x))])
        far = [int(i) for i in np.flatnonzero(np.abs(values - should) > limit)]
        if not far:
            return

        def rest(i: int, should: Floats = should) -> float:
            mended = values.copy()
            mended[i] = should[i]
            return max(abs(float(mended[k] - _expected(x, mended, k))) for k in range(len(x)))

        blamed = min(far, key=lambda i: (rest(i), i))
        yield blamed, float(should[blamed])
        values[blamed] = should[blamed]


def _expected(x: Floats, values: Floats, i: int) -> float:
    """The value at station `i` by all the others: on their natural spline; for an end, through the nearest three."""
    if i in (0, len(x) - 1):
        near = [1, 2, 3] if i == 0 else [-2, -3, -4]
        total = 0.0
        for a in near:
            share = 1.0
            for b in near:
                if a != b:
                    share *= (x[i] - x[b]) / (x[a] - x[b])
            total += share * float(values[a])
        return total
    others = np.arange(len(x)) != i
    return float(NaturalSpline.through(x[others], values[others])(x[i]))

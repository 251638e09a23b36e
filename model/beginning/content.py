"""What a drawing holds, sorted by what can be told from its form alone: outlines, marks, straight lines, texts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.errors import DrawingError
from scrieve.shared.limits import LIMITS

from ..drawing import Drawing
from ..drawing.extents import Extent
from ..drawing.marks import SYMBOL
from ..drawing.network import traced
from ..geometry.outline import Outline
from ..sheets.stack import Stack

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

TOUCHING = 1.0
"""mm each way; parts of one frame lie no further apart, and those of a cut sheet do."""

MOST_OUTLINES = 25_000
"""closed outlines of one drawing, as of a cut sheet."""

_ROUND = 0.98
"""4 pi A / L2, which is 1 for a circle and 0.95 for an octagon; a round outline has more."""

_SAGITTA = 0.05  # mm; outlines are only told apart here, nothing is measured on them
_LEAST = 1.0  # mm2; less is a dot
_OPEN = 0.1  # share of its length by which an outline may gape and still be taken for one


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundMark:
    """A small circle, a point or a small symbol of lines, drawing axes, mm; `diameter` is 0 unless it is round."""

    layer: str
    at: tuple[float, float]
    diameter: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Content:
    """A drawing's outlines that are no marks, by index, and all else that it holds, in its own axes, mm."""

    drawing: Drawing
    layers: tuple[str, ...]
    outlines: tuple[Outline, ...]
    marks: tuple[FoundMark, ...]

    @cached_property
    def stack(self) -> Stack:
        """The outlines, measured."""
        return Stack(self.outlines)

    @cached_property
    def regions(self) -> NDArray[np.object_]:
        """(n,) the outlines as polygons, those that cross themselves mended as far as it goes."""
        regions = self.stack.regions(_SAGITTA)
        mended = np.where(shapely.is_valid(regions), regions, shapely.buffer(regions, 0.0))
        return np.asarray(np.where(shapely.is_empty(mended), shapely.convex_hull(regions), mended))

    @cached_property
    def bounds(self) -> Floats:
        """(n, 4) u0, v0, u1, v1 of each."""
        return np.asarray(shapely.bounds(self.regions)).reshape(-1, 4)

    def box(self, group: Whole) -> Extent:
        """The box round these of them."""
        low, high = self.bounds[group, :2].min(axis=0), self.bounds[group, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def radii(self, place: int, *, inward: bool) -> Floats:
        """(n,) the radii of an outline's arcs, mm: of those that round its inside corners, or else the outer ones."""
        outline = self.outlines[place]
        turns = outline.bulges * np.sign(self.stack.areas[place])
        return np.asarray(outline.radii()[turns < 0 if inward else turns > 0])

    @cached_property
    def lines(self) -> tuple[Floats, tuple[str, ...]]:
        """(n, 4) the straight lines of no outline, longer than a symbol, with their layers."""
        found = [(*line.start, *line.end, line.layer) for line in self.drawing.lines]
        rows = np.array([row[:4] for row in found]).reshape(-1, 4)
        long = np.flatnonzero(np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1]) > SYMBOL)
        return rows[long], tuple(found[n][4] for n in long.tolist())


def content_of(drawing: Drawing) -> Content:
    """What a drawing holds. Raises DrawingError where there are more outlines than any sheet has."""
    drawn = [(each.layer, each.outline) for each in drawing.outlines]
    drawn += [(net.layer, face.outline) for net in drawing.networks if (there := traced(net, _gap())) is not None
              for face in there.faces]  # fmt: skip
    drawn += [(c.layer, Outline.of(c.points, [*c.bulges, 0.0])) for c in drawing.chains if _nearly_closed(c.points)]
    drawn += [(c.layer, Outline.circle(c.centre, c.radius)) for c in drawing.circles if 2 * c.radius > SYMBOL]
    if len(drawn) > MOST_OUTLINES:
        what = f"a drawing may hold at most {MOST_OUTLINES} closed outlines (got {len(drawn)})"
        raise DrawingError.at(what, path=drawing.shown)
    stack = Stack([outline for _, outline in drawn])
    areas, lengths = np.abs(stack.areas), stack.lengths
    rounded = (4 * math.pi * areas > _ROUND * lengths**2) & (lengths < math.pi * SYMBOL)
    marks = [
        FoundMark(layer=drawn[n][0], at=_middle(drawn[n][1].points), diameter=float(lengths[n] / math.pi))
        for n in np.flatnonzero(rounded).tolist()
    ]
    marks += [
        FoundMark(layer=c.layer, at=c.centre, diameter=2 * c.radius) for c in drawing.circles if 2 * c.radius <= SYMBOL
    ]
    marks += [FoundMark(layer=point.layer, at=point.at, diameter=0.0) for point in drawing.points]
    chains = ((chain.layer, np.array(chain.points)) for chain in drawing.chains)
    marks += [FoundMark(layer=name, at=_middle(p), diameter=0.0) for name, p in chains if np.ptp(p, 0).max() <= SYMBOL]
    kept = np.flatnonzero(~rounded & (areas > _LEAST)).tolist()
    return Content(
        drawing=drawing,
        layers=tuple(drawn[n][0] for n in kept),
        outlines=tuple(drawn[n][1] for n in kept),
        marks=tuple(_one_a_place(marks)),
    )


def _one_a_place(marks: list[FoundMark]) -> list[FoundMark]:
    """Of those of one layer and place, as the lines of a cross or shank and head, the narrowest that is round."""
    found: dict[tuple[str, int, int], FoundMark] = {}
    for mark in sorted(marks, key=lambda m: (m.diameter == 0.0, m.diameter)):
        found.setdefault((mark.layer, round(mark.at[0]), round(mark.at[1])), mark)
    return sorted(found.values(), key=lambda mark: (mark.layer, mark.at))


def _middle(points: Floats) -> tuple[float, float]:
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2


def _nearly_closed(points: tuple[tuple[float, float], ...]) -> bool:
    if len(points) < 4:
        return False
    return math.dist(points[0], points[-1]) <= _OPEN * sum(map(math.dist, points, points[1:]))


def _gap() -> float:
    return LIMITS["outline"].default

"""Many outlines as one array, so that they are measured all at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import SAGITTA

from ..geometry.outline import Outline

_ON_EDGE = 1e-3  # mm; a corner no further off the line between its neighbours is none

_ROUND = 6.0
"""radians; an arc that turns further is nearly a whole circle, and stays in pieces."""

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Whole = NDArray[np.intp]


class Stack:
    """The corners of many outlines, one after another, as complex numbers u + iv, mm.

    `corners`, `bulges` (n,); of outline k they begin at `starts[k]` and are `counts[k]`. `chords` (n,)
    run from each corner to the next. `areas` (k,), mm2, arcs at their true shape, are negative of
    outlines that run clockwise; `lengths` (k,), mm, are those of the whole way round.
    """

    def __init__(self, outlines: Sequence[Outline]) -> None:
        self.counts: Whole = np.array([len(outline.points) for outline in outlines], dtype=np.intp)
        self.starts: Whole = np.cumsum(self.counts) - self.counts
        points = np.concatenate([outline.points for outline in outlines]) if outlines else np.zeros((0, 2))
        self.corners: Complexes = points[:, 0] + 1j * points[:, 1]
        self.bulges: Floats = np.concatenate([outline.bulges for outline in outlines]) if outlines else np.zeros(0)
        following = np.arange(1, len(points) + 1)
        following[self.starts + self.counts - 1] = self.starts
        self.chords: Complexes = self.corners[following] - self.corners
        self.areas, self.lengths = self._measured() if outlines else (np.zeros(0), np.zeros(0))

    def _measured(self) -> tuple[Floats, Floats]:
        curved = np.flatnonzero(self.bulges)
        angles = 4 * np.arctan(self.bulges[curved])
        radii = self._radii(curved)
        seen = self.corners - np.repeat(self.corners[self.starts], self.counts)
        areas = (seen.conj() * self.chords).imag / 2
        areas[curved] += radii**2 * (angles - np.sin(angles)) / 2
        lengths = np.abs(self.chords)
        lengths[curved] = radii * np.abs(angles)
        return np.add.reduceat(areas, self.starts), np.add.reduceat(lengths, self.starts)

    def _radii(self, curved: Whole) -> Floats:
        bulges = np.abs(self.bulges[curved])
        return np.asarray(np.abs(self.chords[curved]) * (1 + bulges**2) / (4 * bulges))

    @property
    def middles(self) -> Complexes:
        """(n,) the middle of each segment: of an arc the point half way along it."""
        return np.asarray(self.corners + self.chords / 2 * (1 - 1j * self.bulges))

    @property
    def spreads(self) -> Floats:
        """(k,) how far out corners and middles of segments lie from their mean, mm, in quadratic mean."""
        if not len(self.counts):
            return np.zeros(0)
        middles, many = self.middles, 2 * self.counts
        means = np.add.reduceat(self.corners + middles, self.starts) / many
        out = [np.abs(points - np.repeat(means, self.counts)) ** 2 for points in (self.corners, middles)]
        return np.asarray(np.sqrt(np.add.reduceat(out[0] + out[1], self.starts) / many))

    def regions(self, sagitta: float = SAGITTA) -> NDArray[np.object_]:
        """(k,) polygons of the outlines, arcs flattened to chords whose ends lie on the circle."""
        if not len(self.counts):
            return np.zeros(0, dtype=object)
        points, pieces = self._flattened(sagitta)
        ring = np.repeat(np.repeat(np.arange(len(self.counts)), self.counts), pieces)
        flat = np.column_stack([points.real, points.imag])
        return np.asarray(shapely.polygons(shapely.linearrings(flat, indices=ring)))

    def _flattened(self, sagitta: float) -> tuple[Complexes, Whole]:
        """The points of all outlines, arcs flattened, and how many begin each segment."""
        pieces = np.ones(len(self.corners), dtype=np.intp)
        curved = np.flatnonzero(self.bulges)
        if not len(curved):
            return self.corners, pieces
        bulges, chords = self.bulges[curved], self.chords[curved]
        angles = 4 * np.arctan(bulges)
        widest = 4 * np.arcsin(np.sqrt(np.minimum(sagitta / (2 * self._radii(curved)), 0.5)))
        pieces[curved] = np.maximum(1, np.ceil(np.abs(angles) / widest)).astype(np.intp)
        points = np.repeat(self.corners, pieces)
        of_arc = np.repeat(self.bulges != 0, pieces)
        many = pieces[curved]
        nth = np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many)
        centres = self.corners[curved] + chords / 2 * (1 + 1j * (1 - bulges**2) / (2 * bulges))
        arms = np.repeat(self.corners[curved] - centres, many)
        turned = np.repeat(centres, many) + arms * np.exp(1j * np.repeat(angles / many, many) * nth)
        points[of_arc] = np.where(nth == 0, points[of_arc], turned)
        return points, pieces


def counter_clockwise(outlines: Sequence[Outline]) -> list[Outline]:
    """The outlines, those that run clockwise turned round, without corners within an edge or arc."""
    outlines = [without_needless_corners(outline) for outline in outlines]
    areas = Stack(outlines).areas
    return [_turned_round(o) if area < 0 else o for o, area in zip(outlines, areas, strict=True)]


def without_needless_corners(outline: Outline) -> Outline:
    """The outline without corners at which two straight segments go on as one, or two arcs of one circle."""
    before, after = (
        outline.points - np.roll(outline.points, 1, axis=0),
        np.roll(outline.points, -1, axis=0) - outline.points,
    )
    long = np.hypot(*(before + after).T)
    off = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    onward = np.sum(before * after, axis=1) > 0.0
    straight = onward & (off <= _ON_EDGE * long) & (outline.bulges == 0.0) & (np.roll(outline.bulges, 1) == 0.0)
    if straight.any() and np.count_nonzero(~straight) > 2:
        outline = Outline.of(outline.points[~straight], outline.bulges[~straight])
    return _without_corners_in_arcs(outline)


def _without_corners_in_arcs(outline: Outline) -> Outline:
    bulges = outline.bulges
    turning = bulges * np.roll(bulges, 1) > 0.0
    if not turning.any():
        return outline
    stack = Stack([outline])
    with np.errstate(divide="ignore", invalid="ignore"):
        centres = stack.corners + stack.chords / 2 * (1 + 1j * (1 - bulges**2) / (2 * bulges))
    own, radii = np.roll(centres, 1), np.roll(np.abs(stack.corners - centres), 1)  # of the arc that ends at a corner
    ends, middles = (np.abs(np.abs(points - own) - radii) for points in (np.roll(stack.corners, -1), stack.middles))
    needless = turning & (ends <= _ON_EDGE) & (middles <= _ON_EDGE)
    if not needless.any() or needless.all():
        return outline
    first = int(np.argmin(needless))
    kept = np.flatnonzero(~np.roll(needless, -first))
    angles = np.add.reduceat(4 * np.arctan(np.roll(bulges, -first)), kept)
    if np.abs(angles).max() > _ROUND:
        return outline
    return Outline.of(np.roll(outline.points, -first, axis=0)[kept], np.tan(angles / 4))


def _turned_round(outline: Outline) -> Outline:
    return Outline(points=outline.points[::-1], bulges=-np.roll(outline.bulges[::-1], -1))

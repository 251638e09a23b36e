"""The frames that a drawing shows: what hangs together, about a centreline drawn or seen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from ..drawing.extents import Extent, rounded
from .content import Content, Floats

Whole = NDArray[np.intp]

_TOUCHING = 1.0  # mm each way; parts of one frame lie no further apart, and those of a cut sheet do
_ALONG = 0.05  # mm; a line that runs so little askew is upright or level, and one so close passes through a place
_ROOM = 50.0  # mm that are left round a frame, as far as its neighbours let them
_MANY = 20  # outlines, the largest, about which a line of symmetry is looked for, and lines that may be one
_CROSSES = 200  # upright and level lines, the longest, that may cross as a centreline and a datum line do
_AT_ONCE = 20_000_000  # groups by crosses
_SURROUNDED = 3  # outlines at least within a rectangle that merely surrounds them
_MOSTLY = 0.5  # share of the outlines that are mirrored about a centreline; the rest may be drawn wrong


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundFrame:
    """A frame as shown in a drawing: its outlines, by index, and the `box` round them, drawing axes, mm.

    `origin` is where its centreline meets its datum line, `upright` and `level` the layers on which those are drawn,
    None where they are not. Of a `half` all lies to that side. `others` (n, 4) are the boxes of what else is shown.
    """

    content: Content
    pieces: Whole
    box: Extent
    origin: tuple[float, float]
    upright: str | None
    level: str | None
    half: Literal["", "left", "right"] = ""
    others: Floats = field(default_factory=lambda: np.zeros((0, 4)))

    @cached_property
    def regions(self) -> NDArray[np.object_]:
        """(n,) its outlines as polygons, counted from its origin."""
        return np.asarray(shapely.transform(self.content.regions[self.pieces], lambda p: p - np.array(self.origin)))

    @cached_property
    def layers(self) -> NDArray[np.str_]:
        """(n,) the layers of its outlines."""
        return np.array([self.content.layers[n] for n in self.pieces.tolist()])

    def extent(self, unit: str) -> Extent | None:
        """Its window, counted from its origin, rounded outwards in `unit`, mm; None where nothing else is shown."""
        if not len(self.others):
            return None
        low, high = np.array(self.box[:2]), np.array(self.box[2:])
        apart = np.maximum(self.others[:, :2] - high, low - self.others[:, 2:]).max(axis=1).min()
        room = min(_ROOM, max(float(apart) / 2, 0.0))
        u0, v0, u1, v1 = np.concatenate([low - room, high + room]) - np.tile(self.origin, 2)
        return rounded((float(u0), float(v0), float(u1), float(v1)), replace(self.content.drawing, plan_unit=unit))  # type: ignore[return-value]


def frames_in(content: Content, *, bare: bool = False) -> list[FoundFrame]:
    """The frames in a drawing, from left to right and from below; none where it is a cut sheet, or something else.

    With `bare` also what shows neither a centreline nor parts to either side of one.
    """
    inside = _without_borders(content)
    groups = _about_one_cross(content, [inside[group] for group in _groups(content.bounds[inside])])
    boxes = np.array([_box(content.bounds[group]) for group in groups]).reshape(-1, 4)
    found = []
    for n, group in enumerate(groups):
        if (frame := _frame(content, group, bare=bare)) is not None:
            found.append(replace(frame, others=np.delete(boxes, n, axis=0)))
    return sorted(found, key=lambda frame: (round(frame.origin[1]), round(frame.origin[0])))


def _frame(content: Content, group: Whole, *, bare: bool) -> FoundFrame | None:
    box = _box(content.bounds[group])
    best: tuple[float, float, str | None, tuple[float, float]] = (-1.0, 0.0, None, (0.0, 0.0))
    for u, layer, span in _uprights(content, box):
        share = _mirrored(content, group, u)
        if _half(box, u) or (share < _MOSTLY and _crossed(content, u, span, layer, box)):
            share = max(share, _MOSTLY)
        best = max(best, (share, u, layer, span), key=lambda each: each[0])
    share, u, upright, span = best
    if upright is None or share < _MOSTLY:
        share, u = max(((_mirrored(content, group, u), u) for u in _axes(content, group)), default=(0.0, 0.0))
        if share < _MOSTLY or not (bare or _paired(content, group, u)):
            return None
        upright, span = None, (box[1], box[3])
    v, level = _level(content, u, span, upright, box)
    half = _half(box, u) if share <= _MOSTLY else ""
    return FoundFrame(
        content=content,
        pieces=group,
        box=box,
        origin=(u, v),
        upright=upright,
        level=level,
        half=half,
    )


def _without_borders(content: Content) -> Whole:
    """The outlines without the rectangles, as of a sheet's edge or a title's frame, that merely surround others."""
    bounds = content.bounds
    kept = np.ones(len(bounds), dtype=bool)
    areas = (bounds[:, 2] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 1])
    four = np.flatnonzero((content.stack.counts == 4) & (np.abs(content.stack.areas) > 0.999 * areas))
    for n in four[np.argsort(-areas[four])][:_MANY].tolist():
        within = np.all(bounds[:, :2] > bounds[n, :2], axis=1) & np.all(bounds[:, 2:] < bounds[n, 2:], axis=1)
        meets = np.all(bounds[:, :2] <= bounds[n, 2:], axis=1) & np.all(bounds[:, 2:] >= bounds[n, :2], axis=1)
        meets[n] = False
        kept[n] = not (np.count_nonzero(within & kept) >= _SURROUNDED and not np.any(meets & ~within & kept))
    return np.flatnonzero(kept)


def _groups(bounds: Floats) -> list[Whole]:
    """Which boxes hang together, their indices."""
    if not len(bounds):
        return []
    grown = bounds + np.array([-_TOUCHING, -_TOUCHING, _TOUCHING, _TOUCHING])
    islands = shapely.get_parts(shapely.union_all(shapely.box(*grown.T)))
    inside, island = shapely.STRtree(islands).query(shapely.points(bounds[:, :2]), predicate="within")
    return [inside[island == n] for n in range(len(islands))]


def _about_one_cross(content: Content, groups: Sequence[Whole]) -> list[Whole]:
    """The groups, those within reach of one centreline and datum line as one: parts need not touch one another."""
    rows, layers = content.lines
    low, high = np.minimum(rows[:, :2], rows[:, 2:]), np.maximum(rows[:, :2], rows[:, 2:])
    reach = high - low
    up, flat = (np.flatnonzero(reach[:, n] <= _ALONG) for n in (0, 1))
    up, flat = (lines[np.argsort(-reach[lines].max(axis=1), kind="stable")][:_CROSSES] for lines in (up, flat))
    crosses = [
        (low[n, 0], low[m, 1], low[m, 0], low[n, 1], high[m, 0], high[n, 1])
        for n in up.tolist()
        for m in flat.tolist()
        if layers[n] == layers[m] and low[m, 0] <= low[n, 0] <= high[m, 0] and low[n, 1] <= low[m, 1] <= high[n, 1]
    ]
    if not crosses or len(groups) * len(crosses) > _AT_ONCE:
        return list(groups)
    table = np.array(crosses)
    joined: dict[int, list[Whole]] = defaultdict(list)
    for n, group in enumerate(groups):
        box = _box(content.bounds[group])
        u, v = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        held = (table[:, 2] <= u) & (u <= table[:, 4]) & (table[:, 3] <= v) & (v <= table[:, 5])
        away = np.where(held, np.hypot(table[:, 0] - u, table[:, 1] - v), np.inf)
        joined[int(np.argmin(away)) if held.any() else -1 - n].append(group)
    return [np.sort(np.concatenate(these)) for these in joined.values()]


def _box(bounds: Floats) -> Extent:
    low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _uprights(content: Content, box: Extent) -> list[tuple[float, str, tuple[float, float]]]:
    """Where upright lines run along half the box or more, with their layers and ends; the longest of them."""
    rows, layers = content.lines
    low, high = np.minimum(rows[:, 1], rows[:, 3]), np.maximum(rows[:, 1], rows[:, 3])
    along = np.minimum(high, box[3]) - np.maximum(low, box[1]) >= _MOSTLY * (box[3] - box[1])
    near = (rows[:, 0] >= box[0] - _TOUCHING) & (rows[:, 0] <= box[2] + _TOUCHING)
    fit = np.flatnonzero((np.abs(rows[:, 2] - rows[:, 0]) <= _ALONG) & along & near)
    fit = fit[np.argsort(low[fit] - high[fit], kind="stable")][:_MANY]
    return [(float(rows[n, [0, 2]].mean()), layers[n], (float(low[n]), float(high[n]))) for n in fit.tolist()]


def _levels(content: Content, u: float, span: tuple[float, float], box: Extent) -> Iterator[tuple[float, str, float]]:
    """Heights, layers and lengths of level lines that meet the centreline at `u`; `span` is how far that runs."""
    rows, layers = content.lines
    left, right = np.minimum(rows[:, 0], rows[:, 2]), np.maximum(rows[:, 0], rows[:, 2])
    v = (rows[:, 1] + rows[:, 3]) / 2
    meets = (left <= u + _TOUCHING) & (right >= u - _TOUCHING) & (right - left > _MOSTLY / 4 * (box[2] - box[0]))
    meets &= (v >= span[0] - _TOUCHING) & (v <= span[1] + _TOUCHING) & (np.abs(rows[:, 3] - rows[:, 1]) <= _ALONG)
    for n in np.flatnonzero(meets).tolist():
        yield float(v[n]), layers[n], float(right[n] - left[n])


def _level(
    content: Content, u: float, span: tuple[float, float], upright: str | None, box: Extent
) -> tuple[float, str | None]:
    """The height of the datum line and its layer: on the centreline's, at the drawing's own 0, the longest."""
    found = min(
        _levels(content, u, span, box),
        key=lambda line: (line[1] != upright, abs(line[0]) > _ALONG, -line[2], line),
        default=None,
    )
    return (0.0, None) if found is None else (found[0] if abs(found[0]) > _ALONG else 0.0, found[1])


def _crossed(content: Content, u: float, span: tuple[float, float], layer: str, box: Extent) -> bool:
    """Whether a long level line of the same layer crosses an upright one amid the box."""
    amid = abs(u - (box[0] + box[2]) / 2) < (box[2] - box[0]) / 4
    return amid and any(
        on == layer and long > _MOSTLY * (box[2] - box[0]) for _, on, long in _levels(content, u, span, box)
    )


def _half(box: Extent, u: float) -> Literal["", "left", "right"]:
    """The side of an upright line that all lies to."""
    if box[2] <= u + _TOUCHING:
        return "left"
    return "right" if box[0] >= u - _TOUCHING else ""


def _mirrored(content: Content, group: Whole, u: float) -> float:
    """The share of the outlines whose boxes have an image about an upright line, maybe themselves."""
    return len(np.unique(_images(content, group, u)[:, 0])) / len(group)


def _paired(content: Content, group: Whole, u: float) -> bool:
    """Whether an outline and another one are images about an upright line, and lie in no third."""
    bounds = content.bounds[group]
    pairs = _images(content, group, u)
    for n in np.unique(pairs[pairs[:, 0] != pairs[:, 1]]).tolist():
        around = np.all(bounds[:, :2] <= bounds[n, :2], axis=1) & np.all(bounds[:, 2:] >= bounds[n, 2:], axis=1)
        if np.count_nonzero(around) == 1:
            return True
    return False


def _images(content: Content, group: Whole, u: float) -> Whole:
    """(n, 2) the pairs of outlines of one layer whose boxes are images about an upright line, by their places."""
    bounds = content.bounds[group]
    layer = np.unique([content.layers[n] for n in group.tolist()], return_inverse=True)[1]
    images = np.column_stack([2 * u - bounds[:, 2], bounds[:, 1], 2 * u - bounds[:, 0], bounds[:, 3]])
    tree = shapely.STRtree(shapely.points(bounds[:, :2]))
    one, other = tree.query(shapely.points(images[:, :2]), predicate="dwithin", distance=_TOUCHING)
    near = np.all(np.abs(images[one] - bounds[other]) <= _TOUCHING, axis=1) & (layer[one] == layer[other])
    return np.column_stack([one[near], other[near]])


def _axes(content: Content, group: Whole) -> list[float]:
    """Where a line of symmetry may lie: amid the whole, amid one of the largest outlines or of two alike."""
    bounds = content.bounds[group]
    sizes = bounds[:, 2:] - bounds[:, :2]
    large = np.argsort(-sizes.max(axis=1), kind="stable")[:_MANY]
    middles = (bounds[large, 0] + bounds[large, 2]) / 2
    alike = np.abs(sizes[large][:, None] - sizes[large]).max(axis=2) <= _TOUCHING
    one, other = np.nonzero(alike)
    left, _, right, _ = _box(bounds)
    return sorted({round(float(u), 3) for u in ((left + right) / 2, *middles, *(middles[one] + middles[other]) / 2)})

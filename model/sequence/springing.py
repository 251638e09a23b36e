"""How a batten leaves its notches: sprung out sideways frame by frame, or drawn out endwise.

At a frame the batten is what it takes up between the faces of each ply, less IN_THE_WAY all round, and
moves in the frame's plane; away from its frames it bends as it likes. What it bites of a notch's walls
in its place is left to `notch-foul`. Endwise it follows its own curve, so its own notches never bar it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT, IN_THE_WAY, SLIVER

from ..boat.batten import Batten
from ..boat.frame import Frame
from ..boat.strongback import Strongback
from ..relations.fouls.passing import RAILS, rail_passage
from ..relations.notches.notch import Crossing
from .blocking import blocked_arcs, free_arcs, is_free
from .leaving import swept

Floats = NDArray[np.float64]

_CLEAR = 2.0
"""times its own size along the way; so far out of its notch a batten has left it, and may turn another way."""

_ROUND = 5
"""corners for each eased arris: they lie on its round, the edges between them within 0.02 of its radius."""

_INSIDE = 0.02
"""rad; a way is taken so far inside the free ones."""


class Bar(NamedTuple):
    """Something at a frame that may bar a batten: `shape` (y, v) from `low` to `high` along w, mm; its name."""

    name: str
    shape: shapely.Polygon
    low: float
    high: float


class Opening(NamedTuple):
    """How a batten leaves a frame: the unit way (y, v), and how far until it is clear, mm."""

    way: tuple[float, float]
    reach: float


class Lip(NamedTuple):
    """What bars a batten on one way: the name of the wood, how wide it is across the way, mm, and where (y, v).

    `whole` if it bars the batten's whole width.
    """

    name: str
    width: float
    at: tuple[float, float]
    whole: bool


def outward(crossing: Crossing) -> list[Floats]:
    """The four ways square to a batten's sides, unit vectors (y, v), the one that leads out of the boat first."""
    out = np.array([0.0, -1.0])
    if crossing.batten.side != "centre":
        out = crossing.rings[crossing.frame.core_low].mean(axis=0) - (0.0, _half_height(crossing.frame))
    (a, b), (c, d) = crossing.short.tolist(), crossing.long.tolist()
    ways = np.array([(a, b), (-a, -b), (c, d), (-c, -d)])
    ways /= np.hypot(*ways.T)[:, None]
    return list(ways[np.argsort(-np.round(ways @ out, 6), kind="stable")])


@kept
def _half_height(frame: Frame) -> float:
    bounds = shapely.bounds(np.array([part.shape for part in frame.core or frame.parts], dtype=object))
    return float(bounds[:, 1].min() + bounds[:, 3].max()) / 2


def bars_of(frame: Frame, crossing: Crossing, strongback: Strongback | None) -> list[Bar]:
    """The wood of the frame and the rails below it; not what lacks a notch altogether (`notch-missing`)."""
    bars = [
        Bar(p.name, p.shape, p.low, p.high)
        for part in frame.parts
        if not crossing.missing_in(part)
        for p in part.prisms
    ]
    return [*bars, *rails_at(frame, strongback)]


def bounds_of(bars: Sequence[Bar]) -> Floats:
    """(n, 4): left, bottom, right and top of each, mm."""
    return np.asarray(shapely.bounds(np.array([bar.shape for bar in bars], dtype=object))).reshape(-1, 4)


def rails_at(frame: Frame, strongback: Strongback | None) -> list[Bar]:
    """The rails of the strongback where they pass a frame."""
    if strongback is None:
        return []
    low, high = frame.core_low, frame.core_high
    passages = [(side, rail_passage(strongback, side, frame.placement, low, high)) for side in RAILS]
    return [Bar(f"{side} rail", passage, low, high) for side, passage in passages if passage is not None]


def bar_of(crossing: Crossing) -> Bar:
    """Another batten that lies in its place at this frame."""
    low, high = crossing.frame.core_low, crossing.frame.core_high
    return Bar(crossing.batten.name, crossing.passage(low, high), low, high)


def slim_ring(crossing: Crossing, face: float) -> Floats:
    """(k, 2): the batten's outline in the plane of a face, less IN_THE_WAY on each of its sides."""
    keep = _coarse(len(crossing.batten.profile))
    signs = np.sign(crossing.batten.profile[keep])
    return crossing.rings[face][keep] - IN_THE_WAY * (signs[:, :1] * crossing.long + signs[:, 1:] * crossing.short)


@lru_cache(maxsize=64)
def _coarse(count: int) -> NDArray[np.intp]:
    """Which of so many corners of an eased rectangle stand for all: _ROUND of each arris."""
    each = count // 4
    some = sorted({round(n * (each - 1) / (_ROUND - 1)) for n in range(_ROUND)})  # np.unique loads numpy.ma: 7 ms
    return np.array([each * corner + n for corner in range(4) for n in some], dtype=np.intp)


def slimmed(crossing: Crossing, low: float, high: float) -> shapely.Polygon:
    """What the batten takes up between two faces, less IN_THE_WAY on each of its sides."""
    return shapely.convex_hull(
        shapely.linestrings(np.concatenate([slim_ring(crossing, low), slim_ring(crossing, high)]))
    )


def opening(crossing: Crossing, bars: Sequence[Bar]) -> Opening | None:
    """How the batten leaves this frame past these bars; None where it cannot.

    For good if it can; else past a lip on one side, by the room it has in its notch on the other; else out
    of its notch and then off another way.
    """
    pairs = [(_moving(crossing, bar), bar.shape) for bar in bars]
    pairs = [(moving, shape) for moving, shape in pairs if not shapely.is_empty(moving)]
    if any(_lies_in_a_hole(moving, shape) for moving, shape in pairs):
        return None
    bounds = bounds_of(bars)
    ways = outward(crossing)
    way = _free_way(pairs, ways)
    if way is not None:
        return Opening((float(way[0]), float(way[1])), clear_of(crossing, way, bounds))
    for way in ways:
        reach = clear_of(crossing, way, bounds)
        if _past_lip(pairs, way * reach):
            return Opening((float(way[0]), float(way[1])), reach)
    for way in ways:
        reach = _CLEAR * float(np.ptp(shapely.get_coordinates([m for m, _ in pairs]) @ way))
        if any(_meet(swept(moving, way * reach), shape) for moving, shape in pairs):
            continue
        gone = [(shapely.transform(moving, lambda p, by=way * reach: p + by), shape) for moving, shape in pairs]
        if _free_way(gone, ways) is not None:
            return Opening((float(way[0]), float(way[1])), reach)
    return None


def _lies_in_a_hole(moving: shapely.Geometry, shape: shapely.Polygon) -> bool:
    """Whether wood goes all round it, so that no way out need be looked for."""
    return any(shapely.Polygon(hole).contains(moving) for hole in shape.interiors)


def _past_lip(pairs: Sequence[tuple[shapely.Geometry, shapely.Geometry]], by: Floats) -> bool:
    """Whether it can be shifted sideways in its notch, and then leave by this move: all that bars it is on one side."""
    across = np.array([-by[1], by[0]]) / max(float(np.hypot(*by)), COINCIDENT)
    left = right = 0.0
    for moving, shape in pairs:
        mine = shapely.get_coordinates(moving) @ across
        common = shapely.intersection(swept(moving, by), shape)
        for piece in shapely.get_parts(common):
            if piece.geom_type == "Polygon" and piece.area > SLIVER * SLIVER:
                its = shapely.get_coordinates(piece) @ across
                if its.mean() > mine.mean():
                    left = max(left, float(mine.max() - its.min()))
                else:
                    right = max(right, float(its.max() - mine.min()))
    if left > 0.0 and right > 0.0:
        return False
    shift = across * (right - left + SLIVER * np.sign(right - left))
    shifted = [(shapely.transform(moving, lambda p: p + shift), shape) for moving, shape in pairs]
    return not any(_meet(swept(moving, shift), shape) for moving, shape in pairs) and not any(
        _meet(swept(moving, by), shape) for moving, shape in shifted
    )


def leaves_by(crossing: Crossing, bars: Sequence[Bar], out: Opening) -> bool:
    """Whether the batten leaves this frame past these bars by just this way."""
    if not bars:
        return True
    by = np.array(out.way) * out.reach
    box = np.array(crossing.bounds(min(crossing.rings), max(crossing.rings))).reshape(2, 2)
    least, greatest = np.minimum(box[0], box[0] + by), np.maximum(box[1], box[1] + by)
    bounds = bounds_of(bars)
    near = np.all((bounds[:, :2] < greatest) & (bounds[:, 2:] > least), axis=1)
    return not any(_meet(swept(_moving(crossing, bars[n]), by), bars[n].shape) for n in np.flatnonzero(near).tolist())


def lips(crossing: Crossing, bars: Sequence[Bar]) -> tuple[Floats, list[Lip]]:
    """The best way out of the four square to the batten's sides, and the wood that bars it, widest first.

    Best is one where the notch is open at first, and of those the one that least wood bars.
    """
    bounds = bounds_of(bars)
    found: list[tuple[tuple[bool, float], Floats, list[Lip]]] = []
    for way in outward(crossing):
        reach = clear_of(crossing, way, bounds)
        across = np.array([-way[1], way[0]])
        barred, closed = 0.0, False
        held = []
        for bar in bars:
            moving = _moving(crossing, bar)
            if shapely.is_empty(moving):
                continue
            spread = shapely.get_coordinates(moving) @ np.column_stack([across, way])
            width, length = np.ptp(spread, axis=0).tolist()
            near = shapely.intersection(swept(moving, way * min(_CLEAR * length, reach)), bar.shape)
            closed |= bool(near.area > moving.area / 2)
            for piece in shapely.get_parts(shapely.intersection(swept(moving, way * reach), bar.shape)):
                if piece.geom_type == "Polygon" and piece.area > SLIVER * SLIVER:
                    wide = float(np.ptp(shapely.get_coordinates(piece) @ across))
                    whole = wide >= width - SLIVER
                    y, v = piece.representative_point().coords[0]
                    held.append(Lip(bar.name, wide + (2 if whole else 1) * IN_THE_WAY, (float(y), float(v)), whole))
                    barred += float(piece.area)
        held.sort(key=lambda lip: (-round(lip.width, 3), lip.name, round(abs(lip.at[0]), 3)))
        found.append(((closed, round(barred, 3)), way, held))
    _, way, held = min(found, key=lambda each: each[0])
    return way, held


def clear_of(crossing: Crossing, way: Floats, bounds: Floats) -> float:
    """How far along a unit way the box around the batten lies beyond all these boxes (n, 4), mm."""
    left, bottom, right, top = crossing.bounds(min(crossing.rings), max(crossing.rings))
    mine = (left if way[0] > 0 else right) * way[0] + (bottom if way[1] > 0 else top) * way[1]
    most = np.sum(np.where(way > 0.0, bounds[:, 2:], bounds[:, :2]) * way, axis=1)
    return max(float(most.max(initial=-np.inf) - mine), 0.0)


@kept
def shut_by(batten: Batten, frames: tuple[Frame, ...], end: int) -> tuple[Frame, ...]:
    """The frames beyond an end of a batten, forward (1) or aft (-1), in whose wood most of it would come to lie.

    It is drawn out in line with that end, and bends to pass what it meets by less. The nearest comes first.
    """
    own = {section.frame for section in batten.sections}
    others = [frame for frame in frames if frame.number not in own and frame.parts]
    if not others:
        return ()
    middles = [(frame.core_low + frame.core_high) / 2 for frame in others]
    cuts = batten.cuts([frame.placement for frame in others], middles)
    beyond = (cuts.x - batten.centres[-1 if end > 0 else 0, 0]) * end
    rings = cuts.rings(batten.profile)
    found = [n for n in np.argsort(beyond, kind="stable").tolist() if beyond[n] > 0.0]
    return tuple(others[n] for n in found if _buried(shapely.Polygon(rings[n]), others[n]))


def _buried(section: shapely.Polygon, frame: Frame) -> bool:
    """Whether more than half of a section lies in wood of a frame."""
    near = [part.shape for part in frame.parts if shapely.box(*part.shape.bounds).intersects(section)]
    wood = shapely.union_all([shapely.intersection(section, shape) for shape in near])
    return bool(wood.area > section.area / 2)


def _moving(crossing: Crossing, bar: Bar) -> shapely.Geometry:
    """The slimmed batten at a bar's level, without what it bites of the bar in its place."""
    rings = crossing.rings
    low, high = (w if w in rings else near for w, near in ((bar.low, min(rings)), (bar.high, max(rings))))
    moving = slimmed(crossing, low, high)
    if shapely.intersects(moving, bar.shape):
        bare = shapely.difference(moving, shapely.buffer(bar.shape, SLIVER, join_style="mitre"))
        return shapely.union_all([p for p in shapely.get_parts(bare) if p.geom_type == "Polygon"])
    return moving


def _meet(a: shapely.Geometry, b: shapely.Geometry) -> bool:
    return bool(shapely.area(shapely.intersection(a, b)) > SLIVER * SLIVER)


def _free_way(pairs: Sequence[tuple[shapely.Geometry, shapely.Geometry]], ways: Sequence[Floats]) -> Floats | None:
    """A way free for good: the first of `ways` that is, else the free one nearest to the first of them."""
    free = free_arcs([blocked_arcs(moving, shape) for moving, shape in pairs])
    for way in ways:
        if is_free(float(np.arctan2(way[1], way[0])), free):
            return way
    if not len(free):
        return None
    wanted = float(np.arctan2(ways[0][1], ways[0][0]))
    inside = np.minimum(_INSIDE, (free[:, 1] - free[:, 0]) / 2)
    ends = np.concatenate([free[:, 0] + inside, free[:, 1] - inside])
    angle = ends[int(np.argmin(np.abs((ends - wanted + np.pi) % (2 * np.pi) - np.pi)))]
    return np.array([np.cos(angle), np.sin(angle)])

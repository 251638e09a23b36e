"""Joints too far open or askew to be known by their edges alone: those that a gusset tells of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import BRIDGED_TURN, COINCIDENT, GUSSET_LAP, JOINT_REACH, SLIVER

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import Edges
from ..fouls.passing import battens_passing
from .joint import Joint, Point, Run, Stretch, facing, joint_of, joints, runs
from .lap import lapped

Pair = tuple[Part, Part]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Apart:
    """Two core parts, `first` before `second` by name, that nothing holds together under the gussets over both.

    `distance` is the least between them under those gussets, mm; `across` (y, v) where it is.
    """

    first: Part
    second: Part
    gussets: tuple[Part, ...]
    distance: float
    across: tuple[Point, Point]

    @property
    def at(self) -> Point:
        """(y, v) half-way across the distance."""
        (y, v), (end_y, end_v) = self.across
        return (y + end_y) / 2, (v + end_v) / 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bridge:
    """Two parts, by name, lapped by gussets that hold no joint between them; with the outline of those gussets.

    `joint` is the longest open joint under them, None where no edges face one another.
    """

    pair: Pair
    gussets: tuple[Part, ...]
    outline: shapely.Polygon
    joint: Joint | None = None


def bridged_joints(frame: Frame, assembly: Assembly) -> tuple[Joint, ...]:
    """The joints of core parts that one gusset laps though no joint of `joints` holds them together.

    A gusset over two parts is drawn to hold a joint. Under its outline their edges are taken to have been
    meant to butt however far they stand apart, turned up to BRIDGED_TURN from parallel, where there is
    neither wood of the core nor a batten in between. At most one joint, the longest, for two parts under
    gussets that lap one another. Sorted by name and place.
    """
    found = [bridge.joint for bridge in _bridges(frame, assembly) if bridge.joint is not None]
    return tuple(sorted(found, key=lambda joint: (joint.first.name, joint.second.name, joint.at)))


def parts_apart(frame: Frame, assembly: Assembly) -> tuple[Apart, ...]:
    """The core parts that one gusset laps, held together by no joint under it, that do not even face one another.

    Neither a joint of `joints` nor one of `bridged_joints` ties them, straight anywhere or through other
    parts under the gusset, nor does one lie in a pocket of the other, and on the shortest way from one to
    the other there is no other wood of the core and no batten. Of parts that hang together in groups, only
    the two nearest of two groups. Sorted by name and place.
    """
    bridges = _bridges(frame, assembly)
    ties = [*joints(frame), *(bridge.joint for bridge in bridges if bridge.joint is not None)]
    nearest = [_nearest(bridge) for bridge in bridges if bridge.joint is None]
    nearest.sort(key=lambda found: (found[0].distance, found[0].first.name, found[0].second.name, found[0].at))
    tied = [*((joint.first, joint.second, joint.line) for joint in ties), *_laps_of(frame)]
    out = []
    for apart, line, outline in nearest:
        pair = apart.first, apart.second
        if any({first, second} == {*pair} for first, second, _ in tied):  # a gusset as a brace, away from the joint
            continue
        if len(_groups(pair, outline, tied, frame.core)) < 2 or _is_blocked(line, pair, frame, assembly):
            continue
        out.append(apart)
        tied.append((*pair, line))
    return tuple(sorted(out, key=lambda apart: (apart.first.name, apart.second.name, apart.at)))


def _nearest(bridge: _Bridge) -> tuple[Apart, shapely.LineString, shapely.Polygon]:
    """The two parts of a bridge, the shortest line between them under its gussets, and the gussets' outline."""
    first, second = bridge.pair
    line = shapely.shortest_line(*(shapely.intersection(part.shape, bridge.outline) for part in bridge.pair))
    (y, v), (end_y, end_v) = shapely.get_coordinates(line).tolist()
    across = ((y, v), (end_y, end_v))
    apart = Apart(first=first, second=second, gussets=bridge.gussets, distance=float(line.length), across=across)
    return apart, line, bridge.outline


def _is_blocked(line: shapely.LineString, pair: Pair, frame: Frame, assembly: Assembly) -> bool:
    """Whether other wood of the core or a batten lies on the line."""
    others = [part.shape for part in frame.core if part not in pair]
    others += [c.passage(frame.core_low, frame.core_high) for c in battens_passing(frame, assembly)]
    return bool(np.any(shapely.dwithin(others, line, COINCIDENT)))


@kept
def _bridges(frame: Frame, assembly: Assembly) -> tuple[_Bridge, ...]:
    """All bridges of a frame, with what open joint there is under each."""
    found = []
    for bridge in _bridged(frame):
        (first, second), outline = bridge.pair, bridge.outline
        in_the_way = shapely.union_all(
            [part.shape for part in frame.core]
            + [c.passage(frame.core_low, frame.core_high) for c in battens_passing(frame, assembly)]
        )
        reach = float(np.hypot(*np.subtract(outline.bounds[2:], outline.bounds[:2])))
        edges, other_edges = (Edges.meeting(part.shape).within(outline.bounds, 0.0) for part in (first, second))
        stretches = [
            piece
            for stretch in facing(edges, other_edges, reach, BRIDGED_TURN)
            for gap in _apart(stretch)
            for piece in _clear(gap, outline, in_the_way)
        ]
        open_runs = runs(stretches)
        joint = joint_of(first, second, max(open_runs, key=_length)) if open_runs else None
        found.append(replace(bridge, joint=joint))
    return tuple(found)


def _bridged(frame: Frame) -> Iterator[_Bridge]:
    """The bridges of a frame, their joints not looked for yet."""
    if len(frame.core) < 2:
        return
    bounds = np.array([part.shape.bounds for part in frame.core])
    gussets: dict[Pair, list[Part]] = {}
    for gusset in frame.parts:
        if gusset.role != "gusset" or gusset.face == "core":
            continue
        left, bottom, right, top = gusset.shape.bounds
        wide = np.minimum(bounds[:, 2], right) - np.maximum(bounds[:, 0], left)
        high = np.minimum(bounds[:, 3], top) - np.maximum(bounds[:, 1], bottom)
        near = [frame.core[n] for n in np.flatnonzero(np.minimum(wide, high) >= GUSSET_LAP)]
        if len(_held_together(near, gusset, frame)) < 2:
            continue
        lapped = [part for part in near if _laps(gusset, part)]
        for some, others in combinations(_held_together(lapped, gusset, frame), 2):
            for a in some:
                for b in others:
                    pair = (a, b) if a.name < b.name else (b, a)
                    gussets.setdefault(pair, []).append(gusset)
    for pair, over in gussets.items():
        for outline in shapely.get_parts(shapely.union_all([gusset.shape for gusset in over])):
            if outline.geom_type == "Polygon":
                there = tuple(gusset for gusset in over if gusset.shape.intersects(outline))
                yield _Bridge(pair=pair, gussets=there, outline=outline)


def _laps(gusset: Part, part: Part) -> bool:
    common = shapely.intersection(gusset.shape, part.shape)
    return not shapely.buffer(common, -GUSSET_LAP / 2).is_empty


def _held_together(parts: list[Part], gusset: Part, frame: Frame) -> list[list[Part]]:
    """The parts in groups: those that joints under the gusset hold together, straight or through one another."""
    if len(parts) < 2:
        return [[part] for part in parts]
    ties = [(joint.first, joint.second, joint.line) for joint in joints(frame)]
    return _groups(parts, gusset.shape, [*ties, *_laps_of(frame)])


def _laps_of(frame: Frame) -> Iterator[tuple[Part, Part, shapely.Geometry]]:
    """The parts that hold together as one lies in a pocket of the other, and where."""
    return ((one, other, shapely.intersection(one.shape, other.shape)) for one, other in lapped(frame))


def _groups(
    parts: Iterable[Part],
    outline: shapely.Polygon,
    ties: Iterable[tuple[Part, Part, shapely.Geometry]],
    through: Iterable[Part] = (),
) -> list[list[Part]]:
    """The parts in groups: those tied by a line within reach of the outline, also through others if named."""
    wanted = list(parts)
    groups = [[part] for part in dict.fromkeys([*wanted, *through])]
    for first, second, line in ties:
        met = [group for group in groups if first in group or second in group]
        if len(met) == 2 and shapely.dwithin(line, outline, JOINT_REACH):
            groups = [group for group in groups if group not in met] + [met[0] + met[1]]
    kept = [[part for part in group if part in wanted] for group in groups]
    return [group for group in kept if group]


def _apart(stretch: Stretch) -> Iterator[Stretch]:
    """What of a stretch is open; nothing if the edges run into one another all along."""
    start, end = stretch.apart
    if max(start, end) <= 0.0:
        return
    zero = start / (start - end) if min(start, end) < 0.0 else 0.0
    yield _cut(stretch, zero if start < 0.0 else 0.0, zero if end < 0.0 else 1.0)


def _clear(stretch: Stretch, outline: shapely.Polygon, in_the_way: shapely.Geometry) -> Iterator[Stretch]:
    """The lengths of a stretch over which there is nothing between the edges, and the outline over all of it."""
    between = shapely.convex_hull(shapely.multipoints([*stretch.first, *stretch.second]))
    if between.geom_type != "Polygon":
        return
    blocked = shapely.union(shapely.difference(between, outline), shapely.intersection(between, in_the_way))
    start, end = np.array(stretch.middle)
    along = (end - start) / np.sum((end - start) ** 2)
    reached = 0.0
    for low, high in sorted([*_shares(blocked, start, along), (1.0, 1.0)]):
        if (low - reached) * stretch.length > COINCIDENT:
            yield _cut(stretch, reached, low)
        reached = max(reached, high)


def _shares(
    blocked: shapely.Geometry, start: NDArray[np.float64], along: NDArray[np.float64]
) -> list[tuple[float, float]]:
    """From where to where along a stretch each piece that is more than a sliver lies, 0 to 1."""
    # hairs of rounding along the edges themselves would join one piece to the next
    real = shapely.buffer(blocked, -SLIVER / 2, join_style="mitre")
    real = shapely.buffer(real, SLIVER / 2, join_style="mitre")
    pieces = [piece for piece in shapely.get_parts(real) if not piece.is_empty]
    shares = [(shapely.get_coordinates(piece) - start) @ along for piece in pieces]
    return [(float(share.min()), float(share.max())) for share in shares]


def _cut(stretch: Stretch, low: float, high: float) -> Stretch:
    """The stretch from one share of its length to another."""
    start, end = stretch.apart
    return replace(
        stretch,
        first=(_at(stretch.first, low), _at(stretch.first, high)),
        second=(_at(stretch.second, low), _at(stretch.second, high)),
        apart=(start + low * (end - start), start + high * (end - start)),
    )


def _at(ends: tuple[Point, Point], share: float) -> Point:
    (y, v), (end_y, end_v) = ends
    return y + share * (end_y - y), v + share * (end_v - v)


def _length(run: Run) -> float:
    return sum(stretch.length for stretch in run)

"""Laps: parts that lie in one another's pockets, and where faces or flanks that should meet there stand apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise, product
from math import inf
from typing import NamedTuple

import shapely

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import JOINT_REACH, SLIVER, exceeds

from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.pocket import Pocket
from ...geometry.edge import Edges
from ...geometry.overlap import Overlap, deepest
from ...geometry.plane import common_area
from .joint import LONGEST_TENON, Stretch, facing, gap_of


class OpenLap(NamedTuple):
    """Two parts whose faces stand apart from `low` to `high` over `overlap`, on the floor of a `pocket` of `cut`."""

    first: Part
    second: Part
    overlap: Overlap
    low: float
    high: float
    cut: Part
    pocket: Pocket


class LooseLap(NamedTuple):
    """A stretch along which `part` stands off the wall of a `pocket` of `cut` that it lies in, from `low` to `high`."""

    cut: Part
    part: Part
    stretch: Stretch
    pocket: Pocket
    low: float
    high: float

    @property
    def apart(self) -> float:
        """mm, at most."""
        return max(self.stretch.apart)


@kept
def lapped(frame: Frame) -> tuple[tuple[Part, Part], ...]:
    """Parts in the plane of the core that lie over one another, one of them at least in a pocket; by name."""
    core = sorted((part for part in frame.parts if part.face == "core"), key=lambda part: part.name)
    if not any(part.pockets for part in core):
        return ()
    pairs = [pair for pair in combinations(core, 2) if (pair[0].pockets or pair[1].pockets) and _over(*pair)]
    return tuple(pairs)


def _over(one: Part, other: Part) -> bool:
    lap = deepest(one.shape, other.shape) if shapely.intersects(one.shape, other.shape) else None
    return lap is not None and lap.depth > JOINT_REACH


def seat_of(plate: Part, frame: Frame) -> tuple[Part, Pocket] | None:
    """The part of the core and its pocket in which most of a plate lies that is let in; None for one that is not."""
    return max(_seats(plate, frame), key=lambda seat: _common(plate, seat), default=None)


def _seats(plate: Part, frame: Frame) -> list[tuple[Part, Pocket]]:
    if plate.face == "core":
        return []
    return [
        (part, pocket)
        for part in frame.parts
        if part.pockets and part.face == "core" and min(plate.high, part.high) - max(plate.low, part.low) > SLIVER
        for pocket in part.pockets
        if pocket.face == plate.face and _common(plate, (part, pocket)) > SLIVER
    ]


def _common(plate: Part, seat: tuple[Part, Pocket]) -> float:
    return float(common_area(plate.shape, seat[1].shape).area)


def open_laps(frame: Frame, limit: float) -> Iterator[OpenLap]:
    """The widest gap, past the limit, between the faces of every two parts of a frame that lie in one another."""
    for pair in _pairs(frame):
        first, second = sorted(pair, key=lambda part: part.name)
        found = list(_open(first, second, limit))
        if found:
            yield max(found, key=lambda lap: (lap.high - lap.low, lap.pocket.depth, lap.overlap.depth, lap.cut.name))


def tightest_faces(frame: Frame) -> Iterator[OpenLap]:
    """Where the faces of every two parts of a frame that lie in one another have the least room, or are in one another.

    Wood that a cutter leaves in the corners of a pocket is left out.
    """
    for pair in _pairs(frame):
        first, second = sorted(pair, key=lambda part: part.name)
        found = [lap for lap in _open(first, second, -inf) if lap.overlap.depth > JOINT_REACH]
        if found:
            yield min(found, key=lambda lap: (lap.high - lap.low, lap.pocket.depth, lap.cut.name))


def tightest_flanks(frame: Frame) -> Iterator[LooseLap]:
    """Where a part of a frame has the least room beside the wall of a pocket that it lies in, or is in that wall."""
    for pair in _pairs(frame):
        for cut, part in (pair, pair[::-1]):
            found = [lap for pocket in cut.pockets for lap in _beside(cut, part, pocket)]
            if found:
                yield min(found, key=lambda lap: (min(lap.stretch.apart), lap.stretch.middle))


def _pairs(frame: Frame) -> list[tuple[Part, Part]]:
    """Parts of a frame that lie in one another: lapped ones, and plates with what they are let into."""
    pairs = [*lapped(frame)]
    for plate in frame.parts:
        pairs += dict.fromkeys((plate, part) for part, _ in _seats(plate, frame))
    return pairs


def _beside(cut: Part, part: Part, pocket: Pocket) -> Iterator[LooseLap]:
    """Where flanks of a part run along walls of a pocket, however near, or in them."""
    ends = sorted((cut.floor(pocket), cut.high if pocket.face == "forward" else cut.low))
    low, high = max(ends[0], part.low), min(ends[1], part.high)
    if high - low <= SLIVER:
        return
    rim = shapely.boundary(pocket.shape)
    for stretch in facing(Edges.meeting(cut.between(low, high)), Edges.meeting(part.between(low, high)), JOINT_REACH):
        if stretch.length > JOINT_REACH and shapely.dwithin(shapely.linestrings(stretch.first), rim, SLIVER):
            yield LooseLap(cut, part, stretch, pocket, low, high)


def _open(first: Part, second: Part, limit: float) -> Iterator[OpenLap]:
    common = common_area(first.shape, second.shape)
    for (a, low_a, high_a), (b, low_b, high_b) in product(_columns(first, common), _columns(second, common)):
        low, high = min(high_a, high_b), max(low_a, low_b)
        overlap = deepest(a, b) if exceeds(high - low, limit) else None
        if overlap is None:
            continue
        for part in (first, second):
            for pocket in part.pockets:
                on_floor = min(abs(part.floor(pocket) - w) for w in (low, high)) <= SLIVER
                if on_floor and shapely.intersects_xy(pocket.shape, *overlap.at):
                    yield OpenLap(first, second, overlap, low, high, part, pocket)


def _columns(part: Part, region: shapely.Geometry) -> list[tuple[shapely.Geometry, float, float]]:
    """The wood of a part over a region: pieces of it, and from where to where it goes in each."""
    found = [(region, part.low, part.high)]
    for pocket in part.pockets:
        floor = part.floor(pocket)
        cut = [
            (common_area(piece, pocket.shape), max(low, floor) if pocket.face == "aft" else low,
             min(high, floor) if pocket.face == "forward" else high)
            for piece, low, high in found
        ]  # fmt: skip
        found = [*((shapely.difference(piece, pocket.shape), low, high) for piece, low, high in found), *cut]
    return [column for column in found if column[0].area > SLIVER * SLIVER]


def loose_laps(frame: Frame, limit: float) -> Iterator[LooseLap]:
    """The widest gap, past the limit, between each part and the wall of a pocket that it laps another in."""
    for pair in lapped(frame):
        for cut, part in (pair, pair[::-1]):
            found = [lap for pocket in cut.pockets for lap in _loose(cut, part, pocket) if exceeds(lap.apart, limit)]
            if found:
                yield max(found, key=lambda lap: (lap.apart, lap.stretch.length, lap.stretch.middle))


def _loose(cut: Part, part: Part, pocket: Pocket) -> Iterator[LooseLap]:
    """Where flanks of a part face the walls of a pocket, with nothing but the pocket between, between two depths."""
    ends = {cut.low, cut.high, part.low, part.high}
    depths = sorted(ends | {each.floor(p) for each in (cut, part) for p in each.pockets})
    for low, high in pairwise(depths):
        if pocket not in cut.pockets_between(low, high):
            continue
        wood, other = cut.between(low, high), part.between(low, high)
        if shapely.is_empty(other):
            continue
        for stretch in facing(Edges.meeting(wood), Edges.meeting(other), LONGEST_TENON):
            gap = gap_of(stretch)
            if min(stretch.apart) > 0.0 and gap.area > SLIVER * stretch.length:
                hollow = shapely.difference(pocket.shape, other)
                if shapely.difference(gap, hollow).area < SLIVER * stretch.length:
                    yield LooseLap(cut, part, stretch, pocket, low, high)

"""Fouls of the parts of a frame with one another, exactly, on prisms in its plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import JOINT_REACH, SLIVER, exceeds
from scrieve.shared.wording import at_least, place

from ...boat.evidence import Marker, subject
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import reliefs
from ...geometry.overlap import Overlap, deepest, overlaps
from ..joints.joint import Joint, gap_of, joints, leg_joints
from .foul import Foul, as_drawn, plane_evidence, way_out

Pair = tuple[Frame, Part, Part]


def part_fouls(frames: Sequence[Frame], limit: float) -> Iterator[Foul]:
    """Parts of one frame that overlap deeper than `limit` (mm) in the plane and along its normal.

    What lies within JOINT_REACH of a joint of two core parts is left to the check of joints, wood left in
    corners to that of corners.
    """
    pairs = [pair for frame in frames for pair in _near(frame, limit)]
    if not pairs:
        return
    common = shapely.intersection([a.shape for _, a, _ in pairs], [b.shape for _, _, b in pairs])
    areas = shapely.area(common)
    # what is deeper than the limit holds a circle of that diameter
    for n in np.flatnonzero(areas > np.pi / 4 * limit * limit):
        frame, a, b = pairs[n]
        first, second = sorted((a, b), key=lambda part: part.name)
        yield from _part_foul(frame, first, second, limit)


def _near(frame: Frame, limit: float) -> list[Pair]:
    """Pairs of parts whose layers and bounds overlap deeper than the limit."""
    parts = frame.parts
    if len(parts) < 2:
        return []
    low, high = np.array([p.low for p in parts]), np.array([p.high for p in parts])
    bounds = shapely.bounds(np.array([p.shape for p in parts], dtype=object))
    least = np.column_stack([bounds[:, :2], low])
    greatest = np.column_stack([bounds[:, 2:], high])
    i, j = np.triu_indices(len(parts), 1)
    deep = np.minimum(greatest[i], greatest[j]) - np.maximum(least[i], least[j])
    return [(frame, parts[i[n]], parts[j[n]]) for n in np.flatnonzero(np.all(deep > limit, axis=1))]


class _Shared(NamedTuple):
    """What two parts share: the deepest `overlap` of a prism of each, as drawn `a` and `b`, from `low` to `high`."""

    overlap: Overlap
    a: shapely.Geometry
    b: shapely.Geometry
    low: float
    high: float

    @property
    def depth(self) -> float:
        return min(self.overlap.depth, self.high - self.low)


def _part_foul(frame: Frame, first: Part, second: Part, limit: float) -> Iterator[Foul]:
    found = list(_shared(frame, first, second, limit))
    if not found:
        return
    overlap, a, b, low, high = worst = max(found, key=lambda each: (each.depth, each.overlap.at))
    (y, v), room = way_out(overlap, a, b)
    way = (y, v, 0.0)
    # parts of one face lie on the same wood and can only give way along it
    if first.face != second.face and high - low < overlap.depth:
        room = high - low
        way = (0.0, 0.0, 1.0 if first.low + first.high > second.low + second.high else -1.0)
    yield Foul.between(
        subject(first),
        subject(second),
        depth=worst.depth,
        limit=limit,
        at=frame.placement.point(*overlap.at, (low + high) / 2),
        way=frame.placement.vector_to_hull([way])[0],
        room=room,
        frame=frame.number,
        source=first.source,
        cure=_of_pockets(first, second, worst),
        evidence=lambda: plane_evidence(Marker(frame=frame), overlap, shapely.intersection(a, b), low, high),
    )


def _shared(frame: Frame, first: Part, second: Part, limit: float) -> Iterator[_Shared]:
    """What two parts share deeper than the limit, prism by prism."""
    for one, other in product(first.prisms, second.prisms):
        low, high = max(one.low, other.low), min(one.high, other.high)
        if high - low > limit:
            a, b = as_drawn(one), as_drawn(other)
            overlap = _beside_joints(frame, first, second, a, b)
            if overlap is not None and exceeds(min(overlap.depth, high - low), limit):
                yield _Shared(overlap, a, b, low, high)


def _of_pockets(first: Part, second: Part, shared: _Shared) -> str:
    """The cure where the two meet at the floor of a pocket, or at its wall; "" where they do not."""
    by, at = at_least(shared.depth), shared.overlap.at
    under = [
        (pocket.depth, part.name, pocket.face)
        for part in (first, second)
        for pocket in part.pockets
        if shared.high - shared.low <= shared.overlap.depth
        and min(abs(part.floor(pocket) - w) for w in (shared.low, shared.high)) <= SLIVER
        and shapely.intersects_xy(pocket.shape, *at)
    ]
    if under:
        _, name, face = min(under)
        return Sentence.of("cut the pocket in the {face} face of {part} {by} deeper", face=face, part=Name(name), by=by)
    for part in (first, second):
        for pocket in part.pockets_between(shared.low, shared.high):
            if shapely.dwithin(pocket.shape, shared.overlap.region, SLIVER):
                where = place(*at)
                return Sentence.of(
                    "widen the pocket in the {face} face of {part} by {by}, about {where}",
                    face=pocket.face, part=part, by=by, where=where,
                )  # fmt: skip
    return ""


def _beside_joints(frame: Frame, first: Part, second: Part, a: shapely.Geometry, b: shapely.Geometry) -> Overlap | None:
    """The deepest overlap of two parts of shapes `a` and `b`, without what lies about their joints."""
    found = [j for j in (*joints(frame), *leg_joints(frame)) if {first, second} == {j.first, j.second}]
    if not found:
        return deepest(a, b)
    about = _about(found)
    left = []
    for whole in overlaps(a, b):
        rest = deepest(shapely.difference(whole.region, about), whole.region)
        if rest is not None:  # it comes free with all of the region it belongs to
            left.append(replace(rest, region=whole.region, way=whole.way))
    return max(left, key=lambda overlap: (overlap.depth, overlap.at), default=None)


def _about(found: Sequence[Joint]) -> shapely.Geometry:
    """What lies within JOINT_REACH of these joints of two parts, the corners relieved along them included."""
    line = shapely.union_all([joint.line for joint in found])
    corners = [each for part in (found[0].first, found[0].second) for each in reliefs(part.shape)]
    near = [each for each in corners if shapely.dwithin(each, line, JOINT_REACH)]
    return shapely.buffer(shapely.union_all([line, *near]), JOINT_REACH)


def bites(frame: Frame, limit: float) -> Iterator[tuple[Joint, Overlap]]:
    """What two parts share about their joint, deeper than the limit, where no edges of it face one another so deep.

    The deepest of each joint's two parts. What `part_fouls` tells is left out.
    """
    by_pair: dict[frozenset[Part], list[Joint]] = {}
    for joint in (*joints(frame), *leg_joints(frame)):
        by_pair.setdefault(frozenset((joint.first, joint.second)), []).append(joint)
    for found in by_pair.values():
        first, second = found[0].first, found[0].second
        if shapely.intersection(first.shape, second.shape).area <= np.pi / 4 * limit * limit:
            continue
        common = overlaps(as_drawn(first), as_drawn(second))
        told = [gap_of(s) for joint in found for s in joint.stretches if exceeds(-min(s.apart), limit)]
        deep = [
            piece
            for piece in common
            if exceeds(piece.depth, limit)
            and not any(shapely.dwithin(piece.region, gap, SLIVER) for gap in told)
            and deepest(shapely.difference(piece.region, _about(found)), piece.region) is None
        ]
        if deep:
            worst = max(deep, key=lambda piece: (piece.depth, piece.at))
            yield min(found, key=lambda joint: shapely.distance(joint.line, worst.region)), worst

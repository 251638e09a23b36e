"""Fouls of the screws of a frame, in its plane: with the battens that pass it, and with its parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely

from scrieve.shared.limits import Limits
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import exceeds
from scrieve.shared.wording import at_least, mm, ways

from ...boat.evidence import Marker, shared, subject
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw
from ...boat.solid import batten_solid, screw_solid
from ...geometry.overlap import nearest_edge
from ...geometry.plane import disc
from ..notches.notch import Crossing
from .foul import Foul, part_solid

_BEYOND = 5.0
"""mm; more than a batten wanders sideways between a frame's outer face and the tip of a screw come through it."""


def batten_fouls(
    frame: Frame, screws: Sequence[Screw], crossings: Iterable[Crossing], limits: Limits
) -> Iterator[Foul]:
    """Screws whose shanks bite deeper than the limit into a batten that passes their frame."""
    if not screws:
        return
    at = np.array([screw.at for screw in screws])
    radius = np.array([screw.size.diameter / 2 for screw in screws])
    for crossing in crossings:
        rings = np.concatenate(list(crossing.rings.values()))
        outside = np.maximum(rings.min(axis=0) - at, at - rings.max(axis=0)).max(axis=1)
        for n in np.flatnonzero(outside < radius + _BEYOND).tolist():
            yield from _batten_foul(frame, crossing, screws[n], limits["foul"])


def _batten_foul(frame: Frame, crossing: Crossing, screw: Screw, limit: float) -> Iterator[Foul]:
    batten = crossing.batten
    passage = batten.passage(frame.placement, screw.low, screw.high)
    foot, out = nearest_edge(passage, screw.at)
    rim = screw.at - out * screw.size.diameter / 2
    depth = float((foot - rim) @ out)
    if not exceeds(depth, limit):
        return
    mark = Marker(frame=frame, w=(screw.low + screw.high) / 2)

    def evidence() -> tuple[Mark, ...]:
        x = [frame.placement.point(*screw.at, w)[0] for w in (screw.low, screw.high)]
        wood = batten_solid(batten, min(x) - _BEYOND, max(x) + _BEYOND)
        both = shared(screw_solid(screw, frame.placement), wood, frame.number)
        return (mark.span(foot, rim), mark.screw(screw), *both)

    yield Foul.between(
        subject(screw),
        subject(batten),
        depth=depth,
        limit=limit,
        at=mark.at(screw.at),
        way=frame.placement.vector_to_hull([(*out, 0.0)])[0],
        room=depth,
        frame=frame.number,
        source=screw.source,
        evidence=evidence,
    )


def part_fouls_of(frame: Frame, screws: Sequence[Screw], limits: Limits) -> Iterator[Foul]:
    """Screws that overlap a part of their frame that is none of their plies, deeper than the limit.

    That is a part whose edge lies under the head on its way in, or one that the screw runs into once it
    has come out of its own wood. At the depths of its plies a screw meets other parts only past an edge
    of a ply, which is the matter of `screw-edge`; one that meets no wood is that of `screw-bite`.
    """
    some = [screw for screw in screws if screw.plies]
    if not some or not frame.parts:
        return
    tree = shapely.STRtree([part.shape for part in frame.parts])
    reach = [screw.size.head_diameter / 2 for screw in some]
    near = tree.query(shapely.points([screw.at for screw in some]), predicate="dwithin", distance=reach)
    for n, m in sorted(zip(*near.tolist(), strict=True)):
        screw, part = some[n], frame.parts[m]
        passes = any(ply.part is part for ply in screw.plies)
        if passes and not part.pockets:
            continue
        # beside a pocket that it is driven in, the rim of its own wood may stand over the head
        heads = [foul for each in part.prisms for foul in _head_foul(frame, screw, each, limits)]
        hollow = part.pockets and part.is_under(shapely.Point(screw.at), *screw.at)  # told by `screw-bite`
        tips = (
            []
            if passes or hollow
            else [f for each in part.prisms for f in _tip_foul(frame, screw, each, limits["foul"])]
        )
        for fouls in filter(None, (heads, tips)):
            yield max(fouls, key=lambda foul: foul.depth)


def _head_foul(frame: Frame, screw: Screw, part: Part, limits: Limits) -> Iterator[Foul]:
    """A part above the head that the axis misses and the head, coming in from that face, does not."""
    above = part.high - screw.head if screw.driven_from == "forward" else screw.head - part.low
    gap = float(shapely.distance(part.shape, shapely.Point(screw.at)))
    depth = min(screw.size.head_diameter / 2 - gap, above)
    if not exceeds(depth, limits["foul"]):
        return
    foot, away = nearest_edge(part.shape, screw.at)
    way = frame.placement.vector_to_hull([(*away, 0.0)])[0]
    radius = screw.size.head_diameter / 2
    aside = radius - gap
    well_in = gap + limits["screw_edge_warning"] * screw.size.diameter
    rim = screw.at - radius * away
    mark = Marker(frame=frame, w=min(max(screw.head, part.low), part.high))

    def evidence() -> tuple[Mark, ...]:
        top = screw.head + (above if screw.driven_from == "forward" else -above)
        span = mark.span(foot, rim) if aside <= above else mark.span((*foot, screw.head), (*foot, top))
        low, high = sorted((screw.head, top))
        way_in = shapely.intersection(disc(screw.at, screw.size.head_diameter), part.shape)
        return (span, mark.screw(screw), *mark.regions(way_in, max(low, part.low), high))

    yield Foul.between(
        subject(screw),
        subject(part),
        depth=depth,
        limit=limits["foul"],
        at=mark.at(screw.at),
        way=way,
        room=aside,
        frame=frame.number,
        source=screw.source,
        evidence=evidence,
        message=Sentence.of(
            "{screw} is driven into the edge of {part}: its axis lies {gap} beside it, its head reaches {aside} over "
            "it, want {most} at most",
            screw=screw,
            part=part,
            gap=mm(gap),
            aside=mm(aside, limits["foul"]),
            most=mm(limits["foul"], aside),
        ),
        cure=Sentence.of(
            "move {screw} at least {aside} {away}, clear of {part}, or {well_in} {into}, well into it",
            screw=screw,
            aside=at_least(aside),
            away=ways(way),
            part=part,
            well_in=at_least(well_in),
            into=ways(np.negative(way)),
        ),
    )


def _tip_foul(frame: Frame, screw: Screw, part: Part, limit: float) -> Iterator[Foul]:
    """A part that the screw meets beyond the last of its plies."""
    if screw.left_beyond >= 0.0:
        return
    forward = screw.driven_from == "forward"
    low, high = (max(screw.tip, part.low), min(screw.far, part.high)) if forward else (
        max(screw.far, part.low), min(screw.tip, part.high)
    )  # fmt: skip
    if not exceeds(high - low, limit):
        return
    top = high if forward else low
    gap = float(shapely.distance(part.shape, shapely.Point(screw.at)))
    depth, room, way = high - low, abs(screw.tip - top), np.array([0.0, 0.0, 1.0 if forward else -1.0])
    start, end = (*screw.at, low), (*screw.at, high)
    if gap > 0.0:
        foot, away = nearest_edge(part.shape, screw.at)
        aside = screw.radius(top) - gap
        if aside < depth:
            depth = aside
            start, end = (*foot, top), (*(screw.at - screw.radius(top) * away), top)
        if aside < room:
            room, way = aside, np.array([*away, 0.0])
    if not exceeds(depth, limit):
        return
    mark = Marker(frame=frame)

    def evidence() -> tuple[Mark, ...]:
        both = shared(screw_solid(screw, frame.placement), part_solid(part, frame.placement), frame.number)
        return (mark.span(start, end), mark.screw(screw), *both)

    yield Foul.between(
        subject(screw),
        subject(part),
        depth=depth,
        limit=limit,
        at=mark.at((*screw.at, (low + high) / 2)),
        way=frame.placement.vector_to_hull([way])[0],
        room=room,
        frame=frame.number,
        source=screw.source,
        evidence=evidence,
    )

"""Screws set out a little off their marks: which of them stand well only where they are drawn."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.limits import Limits
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import ROUNDING, falls_short
from scrieve.shared.wording import mm

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.screw import Screw
from ..relations.scope import in_scope
from ..relations.screws.screw_edges import near_edges
from ..relations.screws.shafts import Shafts

SET_OUT = 1.0
"""mm; by how much a screw that is marked out by hand stands off its place. Common practice, no source."""


def set_out_notes(boat: Assembly, checks: Collection[str]) -> Iterator[Finding]:
    """A note for each screw, and each two of one frame, that would be an error of these checks if set out off.

    Two are each off towards the other. Those that are an error as they are drawn are told by their check.
    """
    for frame in in_scope(boat).frames:
        if frame.screws and "screw-edge" in checks:
            yield from _near_an_edge(frame, boat.limits)
        if frame.screws and "screw-foul" in checks:
            yield from _near_another(frame, boat.limits)


def _near_an_edge(frame: Frame, limits: Limits) -> Iterator[Finding]:
    factor = limits["screw_edge"] + SET_OUT / min(screw.size.diameter for screw in frame.screws)
    wider = Limits({**limits, "screw_edge": factor, "screw_edge_warning": factor})
    for near in near_edges(frame, wider):
        wanted = limits["screw_edge"] * near.screw.size.diameter
        if falls_short(near.distance, wanted) or not falls_short(near.distance - SET_OUT, wanted):
            continue
        ply = next(ply for ply in near.screw.plies if ply.part is near.part)
        mark = Marker(frame=frame, w=(ply.enters + ply.leaves) / 2)
        yield Finding(
            check="screw-edge",
            level=Level.NOTE,
            message=Sentence.of(
                "{screw} stands {distance} from an edge of {part}: set out {off} off it may be nearer than {wanted}",
                screw=near.screw,
                distance=mm(near.distance, wanted),
                part=near.part,
                off=mm(SET_OUT),
                wanted=mm(wanted, near.distance),
            ),
            frame=frame.number,
            at=mark.at(near.screw.at),
            cure="set it out from the edge, with a jig or through the part's own holes",
            source=near.screw.source,
            subjects=subjects(near.screw, near.part),
            measure=Measure(value=near.distance, limit=wanted + SET_OUT, sense="least"),
            evidence=(*mark.spans(near.screw.at, near.foot), mark.screw(near.screw)),
        )


def _near_another(frame: Frame, limits: Limits) -> Iterator[Finding]:
    shafts = Shafts.of(frame.screws)
    heads = 2 * float(shafts.head_radius.max())
    i, j = shafts.close(Limits({**limits, "screw_foul": limits["screw_foul"] + heads + 2 * SET_OUT}))
    axes = np.hypot(*(shafts.at[i] - shafts.at[j]).T)
    error, _ = shafts.apart(i, j, limits)
    some = (error > 0.0) & (axes >= error - ROUNDING) & (axes - 2 * SET_OUT < error - ROUNDING)
    for n in np.flatnonzero(some).tolist():
        pair = sorted((frame.screws[i[n]], frame.screws[j[n]]), key=lambda screw: screw.name)
        yield _two(frame, pair[0], pair[1], float(axes[n]), float(error[n]))


def _two(frame: Frame, first: Screw, second: Screw, axes: float, wanted: float) -> Finding:
    mark = Marker(frame=frame, w=(max(first.low, second.low) + min(first.high, second.high)) / 2)
    return Finding(
        check="screw-foul",
        level=Level.NOTE,
        message=Sentence.of(
            "the axes of {first} and {second} are {axes} apart: both set out {off} off they may be nearer than "
            "{wanted}",
            first=first,
            second=second,
            axes=mm(axes, wanted),
            off=mm(SET_OUT),
            wanted=mm(wanted, axes),
        ),
        frame=frame.number,
        at=mark.at(np.add(first.at, second.at) / 2),
        cure="set both out from one edge, or drill them through one jig",
        source=first.source,
        subjects=subjects(first, second),
        measure=Measure(value=axes, limit=wanted + 2 * SET_OUT, sense="least"),
        evidence=(mark.span(first.at, second.at), mark.screw(first), mark.screw(second)),
    )

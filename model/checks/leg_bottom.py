"""Check `leg-bottom`: a leg's bearing edge is off the datum plane."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import SLIVER, exceeds
from scrieve.shared.wording import at_least, mm

from ..boat.assembly import Assembly
from ..boat.editing import reshaped
from ..boat.evidence import Marker, rail, subjects
from ..boat.frame import Frame, Leg
from ..boat.part import Part
from ..boat.proportion import can_be_recut
from ..boat.strongback import Strongback
from ..relations.legs.feet import legs_or_feet
from ..relations.legs.leg import Bearing, footings
from ..relations.legs.leg_marks import in_rail, on_rail
from .check import Check, Page

_ALIKE = 0.05  # mm; lengths that are told alike


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """At most one finding for each leg, on its worst ply, and one for each ply with no edge to stand on."""
    strongback, limit = assembly.strongback, assembly.limits["leg_bottom"]
    if strongback is None:
        return
    for leg in legs_or_feet(assembly)[frame.number]:
        found = footings(leg, frame, strongback, assembly.cutter_diameter)
        for footing in found:
            if footing.bearing is None:
                yield _without(frame, leg, footing.ply, strongback)
        bearings = [(f.bearing, f.ply) for f in found if f.bearing is not None]
        off = [(bearing, ply) for bearing, ply in bearings if exceeds(abs(bearing.worst), limit)]
        if off:
            yield _finding(frame, assembly, leg, off, strongback, limit)


def _finding(
    frame: Frame,
    assembly: Assembly,
    leg: Leg,
    off: list[tuple[Bearing, Part]],
    strongback: Strongback,
    limit: float,
) -> Finding:
    bearing, ply = max(off, key=lambda pair: abs(pair[0].worst))
    height = bearing.worst
    tilted = _is_tilted(bearing, limit)
    inner = abs(bearing.heights[0]) >= abs(bearing.heights[1])
    side = "above" if strongback.down < 0 else "below"
    stands = (
        Sentence.of("stands {off} {side} the rail", off=mm(height, limit), side=side)
        if height > 0
        else Sentence.of("reaches {off} into the rail", off=mm(-height, limit))
    )
    y, v = bearing.inner if inner else bearing.outer
    if not tilted:
        y = (bearing.inner[0] + bearing.outer[0]) / 2
    at = (y, v, (ply.low + ply.high) / 2)
    foot = (y, v, bearing.depth) if frame.placement.rake else at
    down = frame.placement.vector_to_frame([(0.0, 0.0, strongback.down * height)])[0]
    marker = Marker(frame=frame)
    near = can_be_recut(ply, (0.0, 1.0), height)
    return Finding(
        check="leg-bottom",
        level=Level.ERROR,
        message=Sentence.of(
            "{ply} {stands}{where}, up to {limit} is allowed",
            ply=ply,
            stands=stands,
            where=f" at its {'inner' if inner else 'outer'} end" if tilted else "",
            limit=mm(limit, abs(height)),
        ),
        frame=frame.number,
        at=frame.placement.point(*at),
        cure=_cure(frame, bearing, tilted, [other.worst for other, _ in off])
        if near
        else Sentence.of(
            "look first whether build, rails and datum in the plan are right, and whether {ply} is of this frame",
            ply=ply,
        ),
        edits=tuple(edit for each, own in off for edit in _recut(frame, own, each, strongback.down, limit))
        if near
        else (),
        source=ply.source,
        subjects=subjects(ply, *(part for _, part in off), rail(leg.side)),
        measure=Measure(value=abs(height), limit=limit),
        evidence=(
            marker.span(foot, foot + down),
            marker.arrow([foot, foot + down]),
            *in_rail(marker, ply, leg.side, strongback),
        ),
    )


def _cure(frame: Frame, bearing: Bearing, tilted: bool, heights: list[float]) -> Sentence:
    """Lengths are in the plane of the frame, where the ply is cut; `heights` are those of all plies that are off."""
    inner, outer = _in_plane(frame, bearing)
    if tilted:
        return Sentence.of(
            "recut its bearing edge level: {inner} at its inner end, {outer} at its outer end",
            inner=_change(inner),
            outer=_change(outer),
        )
    alike = max(heights) - min(heights) < _ALIKE
    on_all = "" if len(heights) == 1 else " on every ply" if alike else "; the other plies by their own amounts"
    return Sentence.of("{change}{all}", change=_change(max(inner, outer, key=abs)), all=on_all)


def _recut(frame: Frame, ply: Part, bearing: Bearing, down: float, limit: float) -> tuple[Edit, ...]:
    """The bearing edge of a ply brought to the rail, with all that reaches below it; where it is tilted, each end."""
    heights = _in_plane(frame, bearing)
    changes = [float(np.copysign(_by(height).value, height)) * down if _matters(height) else 0.0 for height in heights]
    ends = [bearing.inner, bearing.outer]
    if not _is_tilted(bearing, limit):
        level = np.mean(ends, axis=0)[1]
        ends = [(y, v) for y, v in ply.drawn.points.tolist() if (v - level) * down > -SLIVER]
        changes = [max(changes, key=abs)] * len(ends)
    return reshaped(frame, ply, [((y, v), (y, v + by)) for (y, v), by in zip(ends, changes, strict=True)], sure=True)


def _is_tilted(bearing: Bearing, limit: float) -> bool:
    return exceeds(abs(bearing.heights[0] - bearing.heights[1]), limit)


def _in_plane(frame: Frame, bearing: Bearing) -> tuple[float, float]:
    """How far the ends stand off the rail in the plane of the frame, where the ply is cut."""
    inner, outer = (height / float(np.cos(frame.placement.rake)) for height in bearing.heights)
    return inner, outer


def _change(height: float) -> str:
    if not _matters(height):
        return "leave it"
    return Sentence.of("lengthen by {by}" if height > 0 else "cut {by} off", by=_by(height))


def _matters(height: float) -> bool:
    return abs(height) >= _ALIKE


def _by(height: float) -> Quantity:
    return at_least(abs(height))


def _without(frame: Frame, leg: Leg, ply: Part, strongback: Strongback) -> Finding:
    left, bottom, right, top = ply.shape.bounds
    v = bottom if strongback.down < 0 else top
    w = (ply.low + ply.high) / 2
    near, far = strongback.inside_width / 2, strongback.inside_width / 2 + strongback.width
    return Finding(
        check="leg-bottom",
        level=Level.ERROR,
        message=Sentence.of("{ply} has no level edge over the rail to stand on", ply=ply),
        frame=frame.number,
        at=frame.placement.point((left + right) / 2, v, w),
        cure=Sentence.of(
            "give it a straight level edge at z 0, between y {near} and {far} on its side",
            near=Quantity.of(near, f"{near:.1f}"),
            far=Quantity.of(far, f"{far:.1f}"),
        ),
        source=ply.source,
        subjects=subjects(ply, rail(leg.side)),
        evidence=(on_rail(frame, leg.side, strongback, w),),
    )


CHECK = Check(
    slug="leg-bottom",
    title="A leg does not stand true on the strongback",
    level=Level.ERROR,
    limits=("leg_bottom",),
    page=Page(
        looks_at=(
            "Every ply of every leg. The bearing edge is the straight level edge that faces the rail and lies over it, "
            "the nearest to it if there are several. Both its ends have to lie on the datum plane, which is the top "
            "of the rails (their under side, if the boat is built upside down). A raked frame touches with one corner "
            "of its legs' thickness first, and that corner counts; or each ply with its own, if all are cut so. "
            "A frame without legs whose core parts run on to the rails is judged by their edges there. "
            "Without a strongback in the plan nothing is judged."
        ),
        matters=(
            "The legs are all that sets the height of a frame. One that is 2 mm long lifts its frame 2 mm, tips it, or "
            "both, and the fair curve of every batten goes with it. On the strongback that shows late and is cured "
            "with shims that somebody has to remember."
        ),
        limit=(
            "leg_bottom, 0.5 mm, at the worse end of the edge. Common practice, no source: about what the rails "
            "themselves can be levelled to."
        ),
        cure=(
            "Cut off or add what is named, measured in the plane of the frame. If all legs of a boat are out by the "
            "same amount, look at the drawings' origin first: the datum line may not be where the plan says."
        ),
    ),
    on_frame=check,
)

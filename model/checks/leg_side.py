"""Check `leg-side`: a leg's locating edge is off the rail's inner face."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import exceeds
from scrieve.shared.wording import at_least, mm

from ..boat.assembly import Assembly
from ..boat.editing import reshape
from ..boat.evidence import Marker, rail, subjects
from ..boat.frame import Frame, Leg
from ..boat.part import Part
from ..boat.proportion import can_be_recut
from ..boat.strongback import Strongback
from ..relations.legs.feet import FOOT_REACH, legs_or_feet
from ..relations.legs.leg import Locating, footings
from ..relations.legs.leg_marks import in_rail
from .check import Check, Page

_ALIKE = 0.05  # mm; lengths that are told alike


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """At most one finding for each leg, on its worst ply."""
    strongback, limit = assembly.strongback, assembly.limits["leg_side"]
    if strongback is None:
        return
    for leg in legs_or_feet(assembly)[frame.number]:
        found = footings(leg, frame, strongback, assembly.cutter_diameter)
        located = [(f.locating, f.ply) for f in found if f.locating is not None]
        if not frame.legs:  # a board that spans the rails has no edge by them
            located = [(locating, ply) for locating, ply in located if abs(locating.worst) <= FOOT_REACH]
        off = [(locating, ply) for locating, ply in located if exceeds(abs(locating.worst), limit)]
        if off:
            yield _finding(frame, leg.side, off, strongback, limit)
        elif frame.legs and not located and any(f.bearing is not None for f in found):
            yield _without(frame, leg, strongback)


def _finding(
    frame: Frame,
    side: Literal["port", "starboard"],
    off: list[tuple[Locating, Part]],
    strongback: Strongback,
    limit: float,
) -> Finding:
    locating, ply = max(off, key=lambda pair: abs(pair[0].worst))
    offset = locating.worst
    outboard, inboard = ("to port", "to starboard") if side == "port" else ("to starboard", "to port")
    edge = "the outer edge of its tongue" if locating.hangs else "its inner edge"
    alike = max(other.worst for other, _ in off) - min(other.worst for other, _ in off) < _ALIKE
    y, v = locating.ends[locating.offsets.index(offset)]
    face = y - offset if side == "port" else y + offset
    marker = Marker(frame=frame, w=(ply.low + ply.high) / 2)
    return Finding(
        check="leg-side",
        level=Level.ERROR,
        message=Sentence.of(
            "{ply}: {edge} lies {off} {lies} the rail's inner face, up to {limit} is allowed",
            ply=ply,
            edge=edge,
            off=mm(abs(offset), limit),
            lies="outboard of" if offset > 0 else "inboard of",
            limit=mm(limit, abs(offset)),
        ),
        frame=frame.number,
        at=frame.placement.point(y, v, marker.w),
        cure="look first whether build and inside_width in the plan are right"
        if not can_be_recut(ply, (1.0, 0.0), offset)
        else Sentence.of(
            "move {edge} {by} {way}{all}",
            edge=edge,
            by=at_least(abs(offset)),
            way=Name(inboard if offset > 0 else outboard),
            all="" if len(off) == 1 else " on every ply" if alike else "; the other plies by their own amounts",
        ),
        edits=tuple(edit for each, own in off for edit in _moved(frame, own, each, side)),
        source=ply.source,
        subjects=subjects(ply, *(part for _, part in off), rail(side)),
        measure=Measure(value=abs(offset), limit=limit),
        evidence=(
            marker.span((y, v), (face, v)),
            marker.arrow([(y, v), (face, v)]),
            *in_rail(marker, ply, side, strongback),
        ),
    )


def _moved(frame: Frame, ply: Part, locating: Locating, side: str) -> tuple[Edit, ...]:
    """The locating edge of a ply brought to the rail's inner face."""
    way = 1.0 if (side == "port") == (locating.worst < 0.0) else -1.0
    by = at_least(abs(locating.worst)).value
    if not can_be_recut(ply, (way, 0.0), by):
        return ()
    return reshape(frame, ply, [(locating.ends, (way, 0.0), by)], sure=True)


def _without(frame: Frame, leg: Leg, strongback: Strongback) -> Finding:
    ply = leg.plies[0]
    centre = ply.shape.centroid
    w = (ply.low + ply.high) / 2
    face = strongback.inside_width / 2 if leg.side == "port" else -strongback.inside_width / 2
    _, bottom, _, top = ply.shape.bounds
    return Finding(
        check="leg-side",
        level=Level.ERROR,
        message=Sentence.of("{leg} has no upright edge beside its bearing edge to meet the rail's inner face", leg=leg),
        frame=frame.number,
        at=frame.placement.point(centre.x, centre.y, w),
        cure="draw an upright edge at the rail's inner face: the leg's inner edge, or the outer edge of a tongue",
        source=ply.source,
        subjects=subjects(*leg.plies, rail(leg.side)),
        evidence=(Marker(frame=frame, w=w).line([(face, bottom), (face, top)]),),
    )


CHECK = Check(
    slug="leg-side",
    title="A leg does not locate on the rail's inner face",
    level=Level.ERROR,
    limits=("leg_side",),
    page=Page(
        looks_at=(
            "Every leg that has a bearing edge. Its locating edge is the upright edge beside the inner end of the "
            "bearing edge: of a leg with a tongue that hangs inside the rail the tongue's outer edge, of a plain leg "
            "that stands on the rail its inner edge. It has to lie in the plane of the rail's inner face, half the "
            "strongback's inside width from the centreline. A relief in the corner, up to two cutter diameters wide "
            "(20 mm where the plan names no cutter), does not matter. If only one ply of a leg has a "
            "tongue, that ply counts."
        ),
        matters=(
            "The inner faces of the rails are what centres the frames, all of them alike. A tongue that stands too "
            "far out will not go down between the rails; one too far in leaves the frame free to stand off the "
            "centreline, and a boat with a hook in it."
        ),
        limit="leg_side, 0.5 mm. Common practice, no source: about what the rails can be set parallel to.",
        cure=(
            "Move the edge that is named, by the length and the way that are named. If port and starboard are both "
            "out, and alike, compare the strongback's inside width in the plan with the real one."
        ),
    ),
    on_frame=check,
)

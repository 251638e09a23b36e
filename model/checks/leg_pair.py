"""Check `leg-pair`: a frame's legs are missing, not mirror images, not flush, or do not carry its weight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure, Source
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT, exceeds
from scrieve.shared.wording import at_least, listed, mm, place

from ..boat.assembly import Assembly
from ..boat.editing import add_outline, reshape
from ..boat.evidence import Marker, seen_face, subjects
from ..boat.frame import Frame, Leg
from ..boat.part import Part
from ..boat.strongback import Strongback
from ..geometry.overlap import Overlap, deepest
from ..geometry.plane import mirrored
from ..relations.fouls.passing import RAILS
from ..relations.legs.feet import legs_or_feet
from ..relations.legs.leg import Footing, Point, footings
from ..relations.legs.leg_marks import on_rail
from ..relations.legs.leg_mirror import StandingPly, difference, paired
from ..relations.transom import outer_face
from ..relations.twins import swapped
from .check import Check, Page

_MOST = 2 / 3  # of the legs of a boat; as many alike are how its legs are built


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with the legs of a frame as a pair; nothing in a boat without any legs."""
    strongback, limit = assembly.strongback, assembly.limits["leg_pair"]
    for ply in frame.midship_plies:
        yield _on_neither_side(frame, ply)
    for leg in frame.legs:
        yield from _hovering(frame, leg, limit)
        yield from _lacking(frame, leg, assembly)
    on_rails = legs_or_feet(assembly)
    if strongback is not None and not frame.legs and len(feet := on_rails[frame.number]) == len(RAILS):
        found = [footing for leg in feet for footing in footings(leg, frame, strongback, assembly.cutter_diameter)]
        yield from _balance(frame, found, strongback)
        return
    if len(frame.legs) < len(RAILS):
        if strongback is not None and not frame.midship_plies and any(on_rails.values()):
            yield _missing(frame, strongback)
        return
    legs = [[Footing(ply=ply, bearing=None, locating=None) for ply in leg.plies] for leg in frame.legs]
    if strongback is not None:
        legs = [list(footings(leg, frame, strongback, assembly.cutter_diameter)) for leg in frame.legs]
        yield from _balance(frame, [*legs[0], *legs[1]], strongback)
    settled = []
    for leg, found in zip(frame.legs, legs, strict=True):
        standings = [_standing(leg, footing, frame, assembly) for footing in found]
        low = _step(
            [
                _PlyEdge(ply=s.ply, ends=(b.inner, b.outer), off=b.heights)
                for s in standings
                if (b := s.footing.bearing) is not None and not s.low
            ]
        )
        if low is not None and exceeds(low.size, limit):
            yield _not_flush(frame, leg, low, "bearing", limit)
            standings = [replace(standing, low=True) for standing in standings]
        wide = _step(
            [
                _PlyEdge(ply=s.ply, ends=e.ends, off=e.offsets)
                for s in standings
                if (e := s.footing.locating) is not None and not s.wide
            ]
        )
        if wide is not None and exceeds(wide.size, limit):
            yield _not_flush(frame, leg, wide, "locating", limit)
            standings = [replace(standing, wide=True) for standing in standings]
        settled.append(standings)
    yield from _mirror(frame, settled[0], settled[1], limit)


def _on_neither_side(frame: Frame, ply: Part) -> Finding:
    _, bottom, _, top = ply.shape.bounds
    return _finding(
        frame,
        Sentence.of("{ply} lies with its centre on the centreline: it belongs to neither leg", ply=ply),
        parts=(ply,),
        at=_middle([ply]),
        cure="draw a leg to port and one to starboard, or put it on a layer without the role of a leg",
        evidence=(Marker(frame=frame, w=seen_face(ply)).line([(0.0, bottom), (0.0, top)]),),
    )


def _lacking(frame: Frame, leg: Leg, assembly: Assembly) -> Iterator[Finding]:
    """A warning for each face on which a leg has no ply though most legs of the boat have one there.

    A transom wants none on its outer face.
    """
    legs = [other for each in assembly.frames for other in each.legs]
    outside = outer_face(frame, assembly)
    for face in (each for each in ("core", "forward", "aft") if each != outside):
        having = sum(any(ply.face == face for ply in other.plies) for other in legs)
        if having > _MOST * len(legs) and all(ply.face != face for ply in leg.plies):
            where = "in the plane of the core" if face == "core" else f"{face} of the core"
            yield replace(
                _finding(
                    frame,
                    Sentence.of("{leg} has no ply {where}, where most legs of the boat have one", leg=leg, where=where),
                    parts=leg.plies,
                    at=_middle(leg.plies),
                    cure=Sentence.of("draw the ply of {leg} that is missing", leg=leg),
                    evidence=[line for ply in leg.plies for line in Marker(frame=frame).outlines(ply)],
                ),
                level=Level.WARNING,
            )


def _hovering(frame: Frame, leg: Leg, limit: float) -> Iterator[Finding]:
    """A finding for every two plies of a leg that lap but stand off one another with nothing in between."""
    for a, b in combinations(sorted(leg.plies, key=lambda ply: (ply.low, ply.name)), 2):
        apart = b.low - a.high
        if not exceeds(apart, limit):
            continue
        lap = deepest(a.shape, b.shape)
        if lap is None or _filled(frame, a, b, lap):
            continue
        first, second = sorted((a, b), key=lambda ply: ply.name)
        marker = Marker(frame=frame)
        yield _finding(
            frame,
            Sentence.of(
                "{leg}: {first} and {second} stand {apart} apart where they lap, up to {limit} is allowed",
                leg=leg,
                first=first,
                second=second,
                apart=mm(apart, limit),
                limit=mm(limit, apart),
            ),
            parts=(first, second),
            at=lap.at,
            measured=apart,
            limit=limit,
            cure=Sentence.of(
                "cut one of them of stock {apart} thicker, or pack the space between them by as much", apart=mm(apart)
            ),
            evidence=(
                marker.span((*lap.at, a.high), (*lap.at, b.low)),
                marker.region(lap.region, a.high, b.low),
            ),
        )


def _filled(frame: Frame, below: Part, above: Part, lap: Overlap) -> bool:
    """Whether another part of the frame lies in the space between two plies where they lap."""
    between = [p for p in frame.parts if p.low < above.low - COINCIDENT and p.high > below.high + COINCIDENT]
    return any(deepest(part.shape, lap.region) is not None for part in between)


def _standing(leg: Leg, footing: Footing, frame: Frame, assembly: Assembly) -> StandingPly:
    """A ply, with which of its edges `leg-bottom` and `leg-side` report, and the move that would mend them."""
    bearing, locating, limits = footing.bearing, footing.locating, assembly.limits
    outboard = 1.0 if leg.side == "port" else -1.0
    down = assembly.strongback.down if assembly.strongback else -1.0
    return StandingPly(
        footing=footing,
        low=bearing is not None and exceeds(abs(bearing.worst), limits["leg_bottom"]),
        wide=locating is not None and exceeds(abs(locating.worst), limits["leg_side"]),
        fix=(
            0.0 if locating is None else -outboard * locating.worst,
            0.0 if bearing is None else down * bearing.worst / float(np.cos(frame.placement.rake)),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _PlyEdge:
    """An edge of a ply by its ends (y, v), and how far each is `off` its place, mm."""

    ply: Part
    ends: tuple[Point, Point]
    off: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _FlushStep:
    """The step between the same edge of two plies of a leg, mm, and the two ends that are so far from flush."""

    size: float
    plies: tuple[Part, Part]
    ends: tuple[Point, Point]


def _step(edges: list[_PlyEdge]) -> _FlushStep | None:
    """The greatest step between any two of these edges, by how far their ends are off; None for one."""
    steps = [
        _FlushStep(size=abs(a.off[n] - b.off[n]), plies=(a.ply, b.ply), ends=(a.ends[n], b.ends[n]))
        for a, b in combinations(edges, 2)
        for n in (0, 1)
    ]
    return max(steps, key=lambda step: step.size, default=None)


def _not_flush(frame: Frame, leg: Leg, step: _FlushStep, which: str, limit: float) -> Finding:
    first, second = sorted(step.plies, key=lambda ply: ply.name)
    one, other = (np.array([*end, (ply.low + ply.high) / 2]) for end, ply in zip(step.ends, step.plies, strict=True))
    if which == "bearing":
        by = other - one
        rise = float(frame.placement.vector_to_hull([(0.0, by[1], 0.0)])[0][2])
        across = frame.placement.vector_to_frame([(0.0, 0.0, rise)])[0]
    else:
        across = np.array([other[0] - one[0], 0.0, 0.0])
    marker = Marker(frame=frame)
    axis = 1 if which == "bearing" else 0
    way = (0.0, 1.0) if axis else (1.0, 0.0)
    return _finding(
        frame,
        Sentence.of(
            "{leg}: the {which} edges of {first} and {second} are {step} from flush, up to {limit} is allowed",
            leg=leg,
            which=which,
            first=first,
            second=second,
            step=mm(step.size, limit),
            limit=mm(limit, step.size),
        ),
        parts=(first, second),
        at=_middle([first, second]),
        measured=step.size,
        limit=limit,
        cure=Sentence.of(
            "draw both {which} edges in one line: move one of them by {step}", which=which, step=mm(step.size)
        ),
        edits=reshape(frame, step.plies[1], [(step.ends[1], way, step.ends[0][axis] - step.ends[1][axis])]),
        evidence=(marker.span(one, one + across),),
    )


def _mirror(frame: Frame, port: list[StandingPly], starboard: list[StandingPly], limit: float) -> Iterator[Finding]:
    """At most one finding, on the plies that differ most; and one where a leg has a ply more."""
    pairs, alone = paired(port, starboard)
    marker = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
    if alone:
        plies = tuple(sorted((s.ply for s in alone), key=lambda ply: ply.name))
        yield _finding(
            frame,
            Sentence.of(
                "the legs of {frame} have {port} plies to port and {starboard} to starboard, or they lie on different "
                "faces: {plies} {have} no counterpart",
                frame=frame,
                port=Quantity.of(len(port), str(len(port))),
                starboard=Quantity.of(len(starboard), str(len(starboard))),
                plies=listed(ply.name for ply in plies),
                have="has" if len(plies) == 1 else "have",
            ),
            parts=plies,
            at=_middle(plies),
            cure="draw the same plies, on the same faces, for both legs",
            evidence=[*marker.images(plies)],
        )
    worst = max((difference(a, b, limit) for a, b in pairs), key=lambda d: d.off, default=None)
    if worst is not None and exceeds(worst.off, limit):
        first, second = sorted((worst.ply, worst.other), key=lambda ply: ply.name)
        seen = Marker(frame=frame, w=seen_face(worst.ply))
        yield _finding(
            frame,
            Sentence.of(
                "{first} and {second} are not mirror images: they differ by {off}, up to {limit} is allowed",
                first=first,
                second=second,
                off=mm(worst.off, limit),
                limit=mm(limit, worst.off),
            ),
            parts=(first, second),
            worst=worst.ply,
            at=worst.at,
            measured=worst.off,
            limit=limit,
            cure=Sentence.of(
                "compare {ply} at {place} with the other side; mirror one from the other",
                ply=worst.ply,
                place=place(*worst.at),
            ),
            evidence=(marker.span(worst.at, worst.image), *seen.lines(mirrored(worst.other.shape))),
        )


def _missing(frame: Frame, strongback: Strongback) -> Finding:
    """The finding for a frame with one leg or none, where other frames have legs."""
    if not frame.legs:
        return _finding(
            frame,
            Sentence.of("{frame} has no legs to stand on the strongback with", frame=frame),
            at=_middle(frame.parts),
            cure="draw a leg to port and one to starboard, mirror images",
            source=frame.source,
            evidence=[on_rail(frame, side, strongback, (frame.core_low + frame.core_high) / 2) for side in RAILS],
        )
    leg = frame.legs[0]
    other = "starboard" if leg.side == "port" else "port"
    return _finding(
        frame,
        Sentence.of(
            "{frame} has a leg to {side} and none to {other}", frame=frame, side=Name(leg.side), other=Name(other)
        ),
        parts=leg.plies,
        at=_middle(leg.plies),
        cure=Sentence.of("mirror it to {other}", other=Name(other)),
        edits=[
            edit
            for ply in leg.plies
            for edit in add_outline(frame, ply.source, ply.drawn.mirrored(), swapped(ply.label))
        ],
        evidence=[*Marker(frame=frame).images(leg.plies)],
    )


def _balance(frame: Frame, standing: list[Footing], strongback: Strongback) -> Iterator[Finding]:
    """A finding if the centre of mass of all but the legs lies outboard of where they bear on the rails."""
    inner, outer = strongback.inside_width / 2, strongback.inside_width / 2 + strongback.width
    bearings = [f.bearing for f in standing if f.bearing is not None]
    ends = [y for b in bearings for y, _ in (b.inner, b.outer)]
    on_rail = [float(np.sign(y) * np.clip(abs(y), inner, outer)) for y in ends]
    parts = [part for part in frame.parts if part.role != "leg"]
    if not parts or not any(y > 0 for y in on_rail) or not any(y < 0 for y in on_rail):
        return
    weights = [part.mass for part in parts] if all(part.density > 0 for part in parts) else [p.volume for p in parts]
    y, v = np.average([part.centre for part in parts], axis=0, weights=weights)
    outermost = max(on_rail) if y > 0 else min(on_rail)
    outside = abs(y) - abs(outermost)
    if outside > COINCIDENT:
        side, other = ("port", "starboard") if y > 0 else ("starboard", "port")
        marker = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
        yield _finding(
            frame,
            Sentence.of(
                "the centre of mass of {frame} lies {off} outside {stands}, to {side}: it will not stand",
                frame=frame,
                off=mm(outside, 0.0),
                stands="its legs" if frame.legs else "what it stands on",
                side=Name(side),
            ),
            parts=tuple(ply for leg in frame.legs for ply in leg.plies),
            at=(float(y), float(v)),
            measured=float(outside),
            limit=0.0,
            cure=Sentence.of(
                "bring its weight {by} or more to {other}, or shore it up", by=at_least(outside), other=Name(other)
            ),
            source=frame.source,
            evidence=(marker.span((y, v), (outermost, v)), marker.line([(outermost, 0.0), (outermost, v)])),
        )


def _middle(parts: Sequence[Part]) -> tuple[float, float]:
    """The middle of the bounds of parts, (y, v); the origin if there are none."""
    if not parts:
        return 0.0, 0.0
    left, bottom, right, top = shapely.total_bounds([part.shape for part in parts])
    return float(left + right) / 2, float(bottom + top) / 2


def _finding(
    frame: Frame,
    message: str,
    *,
    parts: Sequence[Part] = (),
    worst: Part | None = None,
    at: tuple[float, float],
    measured: float | None = None,
    limit: float | None = None,
    cure: str,
    edits: Sequence[Edit] = (),
    source: Source | None = None,
    evidence: Sequence[Mark],
) -> Finding:
    named = sorted(parts, key=lambda part: (part is not worst, part.name))
    return Finding(
        check="leg-pair",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=frame.placement.point(*at, (frame.core_low + frame.core_high) / 2),
        cure=cure,
        edits=tuple(edits),
        source=source or min(part.source for part in parts),
        subjects=subjects(*named) if named else subjects(frame),
        measure=None if measured is None else Measure(value=measured, limit=limit),
        evidence=tuple(evidence),
    )


CHECK = Check(
    slug="leg-pair",
    title="A frame's legs are not a pair",
    level=Level.ERROR,
    limits=("leg_pair",),
    page=Page(
        looks_at=(
            "Each frame's two legs together, in a boat whose plan has a strongback and whose frames have legs: that "
            "there is one to port and one to starboard; that each ply of one is the mirror image of the ply on the "
            "same face of the other, corner by corner; that the plies of a leg are flush where they stand on the rail "
            "and where they meet its inner face, and lie against one another or against what is between them where "
            "they lap; that no ply of a leg has its centre on the centreline; and that the centre of mass of the "
            "frame, legs left out, lies between the outermost points the legs stand on. A leg of one ply is taken as "
            "meant, unless two thirds of the boat's legs have one on another face, and that is not the outer one of a "
            "transom. What leg-bottom or leg-side report already is not reported again."
        ),
        matters=(
            "A frame with one leg, or with its weight outside its legs, tips over as soon as it is let go. Legs that "
            "are not alike get swapped from side to side on the bench without anybody seeing it. Plies that are not "
            "flush stand on a corner that crushes."
        ),
        limit=(
            "leg_pair, 0.3 mm, for the mirror image, for flush plies and for plies that lap. Common practice, no "
            "source. The centre of mass has no limit: it lies between the legs or it does not. That says nothing of "
            "how safely a frame stands: shore up every frame until the battens are in."
        ),
        cure=(
            "Draw one leg, then mirror it to the other side, plies on the same faces. Where weight is the trouble "
            "set the legs further apart or brace the frame while it stands alone."
        ),
    ),
    on_frame=check,
)

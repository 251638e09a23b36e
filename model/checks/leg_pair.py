"""Check `leg-pair`: a frame's legs are missing, not mirror images, not flush, or do not carry its weight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level, Source
from scrieve.shared.tolerances import COINCIDENT, exceeds

from ..assembly import Assembly
from ..frame import Frame, Leg
from ..legs.leg import Footing, footings
from ..legs.leg_mirror import Standing, difference, paired
from ..overlap import Overlap, deepest
from ..part import Part
from ..strongback import Strongback
from ..wording import at_least, listed, mm, place
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with the legs of a frame as a pair; nothing in a boat without any legs."""
    strongback, limit = assembly.strongback, assembly.limits["leg_pair"]
    for ply in frame.midship_plies:
        yield _on_neither_side(frame, ply)
    for leg in frame.legs:
        yield from _hovering(frame, leg, limit)
    if len(frame.legs) < 2:
        if strongback is not None and not frame.midship_plies and any(other.legs for other in assembly.frames):
            yield _missing(frame)
        return
    legs = [[Footing(ply=ply, bearing=None, locating=None) for ply in leg.plies] for leg in frame.legs]
    if strongback is not None:
        legs = [list(footings(leg, frame, strongback, assembly.cutter_diameter)) for leg in frame.legs]
        yield from _balance(frame, [*legs[0], *legs[1]], strongback)
    settled = []
    for leg, found in zip(frame.legs, legs, strict=True):
        standings = [_standing(leg, footing, frame, assembly) for footing in found]
        low = _step([(s, b.heights) for s in standings if (b := s.footing.bearing) is not None and not s.low])
        if low is not None and exceeds(low.size, limit):
            yield _not_flush(frame, leg, low, "bearing", limit)
            standings = [replace(standing, low=True) for standing in standings]
        wide = _step([(s, e.offsets) for s in standings if (e := s.footing.locating) is not None and not s.wide])
        if wide is not None and exceeds(wide.size, limit):
            yield _not_flush(frame, leg, wide, "locating", limit)
            standings = [replace(standing, wide=True) for standing in standings]
        settled.append(standings)
    yield from _mirror(frame, settled[0], settled[1], limit)


def _on_neither_side(frame: Frame, ply: Part) -> Finding:
    return _finding(
        frame,
        f"{ply.name} lies with its centre on the centreline: it belongs to neither leg",
        parts=(ply,),
        at=_middle([ply]),
        cure="draw a leg to port and one to starboard, or put it on a layer without the role of a leg",
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
        yield _finding(
            frame,
            f"{leg.name}: {first.name} and {second.name} stand {mm(apart, limit)} apart where they lap, "
            f"up to {mm(limit, apart)} is allowed",
            parts=(first, second),
            at=lap.at,
            measured=apart,
            limit=limit,
            cure=f"cut one of them of stock {mm(apart)} thicker, or pack the space between them by as much",
        )


def _filled(frame: Frame, below: Part, above: Part, lap: Overlap) -> bool:
    """Whether another part of the frame lies in the space between two plies where they lap."""
    between = [p for p in frame.parts if p.low < above.low - COINCIDENT and p.high > below.high + COINCIDENT]
    return any(deepest(part.shape, lap.region) is not None for part in between)


def _standing(leg: Leg, footing: Footing, frame: Frame, assembly: Assembly) -> Standing:
    """A ply, with which of its edges `leg-bottom` and `leg-side` report, and the move that would mend them."""
    bearing, locating, limits = footing.bearing, footing.locating, assembly.limits
    outboard = 1.0 if leg.side == "port" else -1.0
    down = assembly.strongback.down if assembly.strongback else -1.0
    return Standing(
        footing=footing,
        low=bearing is not None and exceeds(abs(bearing.worst), limits["leg_bottom"]),
        wide=locating is not None and exceeds(abs(locating.worst), limits["leg_side"]),
        fix=(
            0.0 if locating is None else -outboard * locating.worst,
            0.0 if bearing is None else down * bearing.worst / float(np.cos(frame.placement.rake)),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Step:
    """The step between the same edge of two plies of a leg, mm."""

    size: float
    plies: tuple[Part, Part]


def _step(edges: list[tuple[Standing, tuple[float, float]]]) -> _Step | None:
    """The greatest step between any two of these plies, by how far the ends of their edges are off; None for one."""
    steps = [
        _Step(size=max(abs(i - j) for i, j in zip(off, other_off, strict=True)), plies=(a.ply, b.ply))
        for (a, off), (b, other_off) in combinations(edges, 2)
    ]
    return max(steps, key=lambda step: step.size, default=None)


def _not_flush(frame: Frame, leg: Leg, step: _Step, which: str, limit: float) -> Finding:
    first, second = sorted(step.plies, key=lambda ply: ply.name)
    return _finding(
        frame,
        f"{leg.name}: the {which} edges of {first.name} and {second.name} are {mm(step.size, limit)} from flush, "
        f"up to {mm(limit, step.size)} is allowed",
        parts=(first, second),
        at=_middle([first, second]),
        measured=step.size,
        limit=limit,
        cure=f"draw both {which} edges in one line: move one of them by {mm(step.size)}",
    )


def _mirror(frame: Frame, port: list[Standing], starboard: list[Standing], limit: float) -> Iterator[Finding]:
    """At most one finding, on the plies that differ most; and one where a leg has a ply more."""
    pairs, alone = paired(port, starboard)
    if alone:
        plies = tuple(sorted((s.ply for s in alone), key=lambda ply: ply.name))
        names = listed(ply.name for ply in plies)
        yield _finding(
            frame,
            f"the legs of {frame.name} have {len(port)} plies to port and {len(starboard)} to starboard, "
            f"or they lie on different faces: {names} {'has' if len(plies) == 1 else 'have'} no counterpart",
            parts=plies,
            at=_middle(plies),
            cure="draw the same plies, on the same faces, for both legs",
        )
    worst = max((difference(a, b, limit) for a, b in pairs), key=lambda d: d.off, default=None)
    if worst is not None and exceeds(worst.off, limit):
        first, second = sorted((worst.ply, worst.other), key=lambda ply: ply.name)
        yield _finding(
            frame,
            f"{first.name} and {second.name} are not mirror images: they differ by {mm(worst.off, limit)}, "
            f"up to {mm(limit, worst.off)} is allowed",
            parts=(first, second),
            at=worst.at,
            measured=worst.off,
            limit=limit,
            cure=f"compare {worst.ply.name} at {place(*worst.at)} with the other side; mirror one from the other",
        )


def _missing(frame: Frame) -> Finding:
    """The finding for a frame with one leg or none, where other frames have legs."""
    if not frame.legs:
        return _finding(
            frame,
            f"{frame.name} has no legs to stand on the strongback with",
            at=_middle(frame.parts),
            cure="draw a leg to port and one to starboard, mirror images",
            source=frame.source,
        )
    leg = frame.legs[0]
    other = "starboard" if leg.side == "port" else "port"
    return _finding(
        frame,
        f"{frame.name} has a leg to {leg.side} and none to {other}",
        parts=leg.plies,
        at=_middle(leg.plies),
        cure=f"mirror it to {other}",
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
    y, v = np.average([(p.shape.centroid.x, p.shape.centroid.y) for p in parts], axis=0, weights=weights)
    outside = max(y - max(on_rail), min(on_rail) - y)
    if exceeds(outside, 0.0):
        side, other = ("port", "starboard") if y > 0 else ("starboard", "port")
        yield _finding(
            frame,
            f"the centre of mass of {frame.name} lies {mm(outside, 0.0)} outside its legs, to {side}: "
            "it will not stand",
            parts=tuple(ply for leg in frame.legs for ply in leg.plies),
            at=(float(y), float(v)),
            measured=float(outside),
            limit=0.0,
            cure=f"bring its weight {at_least(outside)} or more to {other}, or shore it up",
            source=frame.source,
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
    at: tuple[float, float],
    measured: float | None = None,
    limit: float | None = None,
    cure: str,
    source: Source | None = None,
) -> Finding:
    return Finding(
        check="leg-pair",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        parts=tuple(sorted(part.name for part in parts)),
        at=frame.placement.point(*at, (frame.core_low + frame.core_high) / 2),
        measured=measured,
        limit=limit,
        unit="mm" if measured is not None else "",
        cure=cure,
        source=source or min(part.source for part in parts),
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
            "meant. What leg-bottom or leg-side report already is not reported again."
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

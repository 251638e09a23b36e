"""Check `screw-edge`: screws too close to an edge of a ply they pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, falls_short

from ..assembly import Assembly
from ..fouls.passing import battens_passing
from ..frame import Frame
from ..notches.notch import Crossing
from ..part import Part
from ..screw import Screw
from ..screws.moves import REACH, Moves, moves_in
from ..screws.screw_edges import closest_edges
from ..wording import at_least, mm
from .check import Check, Page

BUTT = 1.0
"""mm; an edge with another core part this close beyond it is the edge of a butt joint."""

NOTCH = 2.0
"""mm; an edge this close to a batten is the wall of its notch: the slack of a notch and a little."""


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every screw whose axis is too close to an edge, on the ply where it is closest."""
    limits = assembly.limits
    closest = closest_edges(frame, limits["screw_edge_warning"])
    if not closest:
        return
    battens = battens_passing(frame, assembly)
    for n, (distance, part) in sorted(closest.items()):
        screw = frame.screws[n]
        warning = limits["screw_edge_warning"] * screw.size.diameter
        error = limits["screw_edge"] * screw.size.diameter
        if falls_short(distance, warning):
            level, limit = (Level.ERROR, error) if falls_short(distance, error) else (Level.WARNING, warning)
            cure = _cure(moves_in(frame, assembly), screw, warning - distance)
            yield _finding(frame, battens, screw, part, distance, level, limit, cure)


def _finding(
    frame: Frame,
    battens: Sequence[Crossing],
    screw: Screw,
    part: Part,
    distance: float,
    level: Level,
    limit: float,
    cure: str,
) -> Finding:
    axis = shapely.Point(screw.at)
    foot = shapely.get_coordinates(shapely.shortest_line(part.shape.boundary, axis))[0]
    factor = limit / screw.size.diameter
    ply = next(ply for ply in screw.plies if ply.part is part)
    return Finding(
        check="screw-edge",
        level=level,
        message=(
            f"{screw.name} stands {mm(distance, limit)} from {_kind(frame, part, foot, battens)} of {part.name}, "
            f"want {factor:g} D = {mm(limit, distance)}"
        ),
        frame=frame.number,
        parts=tuple(sorted((screw.name, part.name))),
        at=frame.placement.point(*screw.at, (ply.enters + ply.leaves) / 2),
        measured=distance,
        limit=limit,
        unit="mm",
        cure=cure,
        source=screw.source,
    )


def _kind(frame: Frame, part: Part, foot: NDArray[np.float64], battens: Sequence[Crossing]) -> str:
    """What the edge at `foot` (y, v) is: a hole, a butt joint, the notch of a batten, or just an edge."""
    point = shapely.Point(foot)
    if any(ring.distance(point) <= COINCIDENT for ring in part.shape.interiors):
        return "a hole"
    if part in frame.core:
        for other in frame.core:
            if other is not part and other.shape.distance(point) <= BUTT:
                return f"the butt joint with {other.label}"
    for crossing in battens:
        if crossing.passage(part.low, part.high).distance(point) <= NOTCH:
            return f"the notch for the {crossing.batten.name}"
    return "an edge"


def _cure(moves: Moves, screw: Screw, least: float) -> str:
    """How far away at least, and the place that suits all screws (see `moves`), if one is in reach."""
    away = f"at least {at_least(least)} away from the edge"
    said = moves.said_of((screw,), f"{away}, e.g. ", name="it")
    if said:
        return said
    leave = ", leave it out" if moves.leaves_out(screw) else ""
    return (
        f"move it {away}; no place within {REACH:g} mm is clear of all "
        f"edges and screws, so make the part wider there{leave} or take a thinner screw"
    )


CHECK = Check(
    slug="screw-edge",
    title="Screws close to an edge",
    level=Level.ERROR,
    limits=("screw_edge", "screw_edge_warning"),
    on_frame=check,
    page=Page(
        looks_at=(
            "The axis of every screw, in every ply it passes, and the nearest edge of that ply as it is cut: its "
            "outside, the walls of its notches, its holes, and the end where it butts against the next core part. "
            "The ply with the least distance is the one reported."
        ),
        matters=(
            "A screw near an edge splits the veneers or bulges the edge out, and then the glue line beside it is "
            "open. Beside a notch it ends up in the way of the batten's fastening; beside a butt joint, hidden under "
            "the gusset, it breaks out into the joint and holds nothing. The gusset's own edge is easy to see; the "
            "edges underneath are not."
        ),
        limit=(
            "In diameters D of the screw. Error under `screw_edge`, 1 D, where the shank is about to break out "
            "(common practice, no source). Warning under `screw_edge_warning`, 2.5 D: the edge distance of wood "
            "screws in the ANSI/AWC NDS Commentary (1999/2004), Table C12.1.5.7, advice for solid timber. This is "
            "a check of workmanship, not of strength."
        ),
        cure=(
            "Move the screw away from that edge by the length given, or to the place named, which keeps its "
            "distance in all of its plies there, from all other screws and from the battens. Where no place is "
            "named there is none within 20 mm: a wider part, a larger gusset or a thinner screw. "
            "`check --cure FILE` writes all such moves as a drawing or a table."
        ),
    ),
)

"""Check `screw-edge`: screws too close to an edge of a ply they pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT

from ..assembly import Assembly
from ..frame import Frame
from ..notch import Crossing
from ..part import Part
from ..passing import battens_passing
from ..room import REACH, Room
from ..screw import Screw
from ..wording import at_least, mm, place
from .check import Check, Page

BUTT = 1.0
"""mm; an edge with another core part this close beyond it is the edge of a butt joint."""

NOTCH = 2.0
"""mm; an edge this close to a batten is the wall of its notch: the slack of a notch and a little."""


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every screw whose axis is too close to an edge, on the ply where it is closest."""
    limits = assembly.limits
    closest = _closest(frame, limits["screw_edge_warning"])
    if not closest:
        return
    room = Room.of(frame, assembly)
    battens = battens_passing(frame, assembly)
    for n, (distance, part) in sorted(closest.items()):
        screw = frame.screws[n]
        warning = limits["screw_edge_warning"] * screw.size.diameter
        error = limits["screw_edge"] * screw.size.diameter
        if distance < error - COINCIDENT:
            yield _finding(frame, room, battens, screw, part, distance, Level.ERROR, error)
        elif distance < warning - COINCIDENT:
            yield _finding(frame, room, battens, screw, part, distance, Level.WARNING, warning)


def _closest(frame: Frame, factor: float) -> dict[int, tuple[float, Part]]:
    """For each screw (by its index) nearer than `factor` D to an edge: the least distance, and in which part."""
    passing: dict[Part, list[int]] = {}
    for n, screw in enumerate(frame.screws):
        for ply in screw.plies:
            passing.setdefault(ply.part, []).append(n)
    points = shapely.points(np.array([screw.at for screw in frame.screws]).reshape(-1, 2))
    reach = factor * np.array([screw.size.diameter for screw in frame.screws])
    closest: dict[int, tuple[float, Part]] = {}
    for part in sorted(passing, key=lambda p: p.name):
        some = np.array(passing[part], dtype=np.intp)
        distances = _edge_distances(part, points[some], reach[some])
        for n, distance in zip(some.tolist(), distances.tolist(), strict=True):
            if distance < reach[n] and distance < closest.get(n, (np.inf, part))[0] - COINCIDENT:
                closest[n] = (distance, part)
    return closest


def _edge_distances(part: Part, points: NDArray[np.object_], reach: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distances (n,) of points in the part to the nearest of its edges, mm; infinite beyond `reach`."""
    boundary = part.shape.boundary
    shapely.prepare(boundary)
    out = np.full(len(points), np.inf)
    near = np.flatnonzero(shapely.dwithin(boundary, points, reach))
    out[near] = shapely.distance(boundary, points[near])
    return out


def _finding(
    frame: Frame,
    room: Room,
    battens: Sequence[Crossing],
    screw: Screw,
    part: Part,
    distance: float,
    level: Level,
    limit: float,
) -> Finding:
    axis = shapely.Point(screw.at)
    foot = shapely.get_coordinates(shapely.shortest_line(part.shape.boundary, axis))[0]
    factor = limit / screw.size.diameter
    ply = next(ply for ply in screw.plies if ply.part is part)
    return Finding(
        check="screw-edge",
        level=level,
        message=(
            f"{screw.name} stands {mm(distance)} from {_kind(frame, part, foot, battens)} of {part.name}, "
            f"want {factor:g} D = {mm(limit)}"
        ),
        frame=frame.number,
        parts=tuple(sorted((screw.name, part.name))),
        at=frame.placement.point(*screw.at, (ply.enters + ply.leaves) / 2),
        measured=distance,
        limit=limit,
        unit="mm",
        cure=_cure(room, screw, part, foot, distance),
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


def _cure(room: Room, screw: Screw, part: Part, foot: NDArray[np.float64], distance: float) -> str:
    """How far away at least, and a place with nothing left to warn of (see `Room.nearest`), if one is in reach."""
    least = room.limits["screw_edge_warning"] * screw.size.diameter - distance
    away = np.subtract(screw.at, foot)
    if np.hypot(*away) <= COINCIDENT:
        away = np.subtract(part.shape.representative_point().coords[0], foot)
    spot = room.nearest(screw, least=least, away=(float(away[0]), float(away[1])))
    if spot is None:
        return (
            f"move it at least {at_least(least)} away from the edge; no place within {REACH:g} mm is clear of all "
            "edges and screws, so make the part wider there or take a thinner screw"
        )
    return f"move it at least {at_least(least)} away from the edge, e.g. to {place(*spot.at)}"


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
            "named there is none within 20 mm: a wider part, a larger gusset or a thinner screw."
        ),
    ),
)

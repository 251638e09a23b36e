"""Check `screw-edge`: screws too close to an edge of a ply they pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import at_least, mm, plain

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.plane import disc
from ..proposals.screws.moves import Moves, crowding_notes
from ..proposals.screws.moving import REACH, moves_in
from ..relations.fouls.passing import battens_passing
from ..relations.notches.notch import Crossing
from ..relations.screws.screw_edges import NearEdge, near_edges
from .check import Check, Page

BUTT = 1.0
"""mm; an edge with another core part this close beyond it is the edge of a butt joint."""

NOTCH = 2.0
"""mm; an edge this close to a batten is the wall of its notch: the slack of a notch and a little."""


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every screw whose axis is too close to an edge, on the ply where it is closest."""
    near = list(near_edges(frame, assembly.limits))
    for edge in near:
        yield _finding(frame, battens_passing(frame, assembly), edge, moves_in(frame, assembly))
    if near:
        yield from crowding_notes("screw-edge", frame, moves_in(frame, assembly), (edge.screw for edge in near))


def _finding(frame: Frame, battens: Sequence[Crossing], edge: NearEdge, moves: Moves) -> Finding:
    screw, part, distance, limit = edge.screw, edge.part, edge.distance, edge.limit
    ply = next(ply for ply in screw.plies if ply.part is part)
    mark = Marker(frame=frame, w=(ply.enters + ply.leaves) / 2)
    wanted = disc(screw.at, 2 * limit, quad_segs=24)
    face = {"forward": part.high, "aft": part.low, "core": mark.w}[part.face]
    return Finding(
        check="screw-edge",
        level=Level.ERROR if edge.is_error else Level.WARNING,
        message=Sentence.of(
            "{screw} stands {distance} from {edge} of {part}, want {factor} D = {limit}",
            screw=screw,
            distance=mm(distance, limit),
            edge=_kind(frame, part, edge.foot, battens),
            part=part,
            factor=plain(limit / screw.size.diameter),
            limit=mm(limit, distance),
        ),
        frame=frame.number,
        at=mark.at(screw.at),
        cure=_cure(moves, edge),
        edits=moves.edits_of((screw,)),
        source=screw.source,
        subjects=subjects(screw, part),
        measure=Measure(value=distance, limit=limit, sense="least"),
        evidence=(
            *mark.spans(screw.at, edge.foot),
            mark.screw(screw),
            *Marker(frame=frame, w=face).lines(wanted),
        ),
    )


def _kind(frame: Frame, part: Part, foot: tuple[float, float], battens: Sequence[Crossing]) -> str:
    """What the edge at `foot` (y, v) is: a hole, a butt joint, the notch of a batten, or just an edge."""
    point = shapely.Point(foot)
    if any(ring.distance(point) <= COINCIDENT for ring in part.shape.interiors):
        return "a hole"
    if any(pocket.shape.boundary.distance(point) <= COINCIDENT for pocket in part.pockets):
        return "the wall of a pocket"
    if part in frame.core:
        for other in frame.core:
            if other is not part and other.shape.distance(point) <= BUTT:
                return Sentence.of("the butt joint with {other}", other=Name(other.label))
    for crossing in battens:
        if crossing.passage(part.low, part.high).distance(point) <= NOTCH:
            return Sentence.of("the notch for the {batten}", batten=crossing.batten)
    return "an edge"


def _cure(moves: Moves, edge: NearEdge) -> str:
    """How far away at least, and the place that suits all screws (see `moves`), if one is in reach."""
    away = Sentence.of("at least {by} away from the edge", by=at_least(edge.least))
    said = moves.said_of((edge.screw,), Sentence.of("{away}, e.g. ", away=away), name="it")
    if said:
        return said
    if edge.screw in moves.given_up:
        return Sentence.of("move it {away}", away=away)
    leave = ", leave it out" if moves.leaves_out(edge.screw) else ""
    return Sentence.of(
        "move it {away}; no place within {reach} mm is clear of all edges and screws, so make the part wider there"
        f"{leave} or take a thinner screw",
        away=away,
        reach=plain(REACH),
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
            "outside, the walls of its notches and pockets, its holes, and the end where it butts against the next "
            "core part. The ply with the least distance is the one reported."
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

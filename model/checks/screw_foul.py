"""Check `screw-foul`: screws of one frame whose paths or heads meet."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import at_least, mm, plain

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, shared, subjects
from ..boat.frame import Frame
from ..boat.screw import Screw
from ..boat.solid import screw_solid
from ..proposals.screws.moves import Moves, crowding_notes
from ..proposals.screws.moving import REACH, moves_in
from ..relations.screws.shafts import TooClose, too_close
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every pair of screws of the frame that stand too close over a depth they share."""
    close: set[Screw] = set()
    for pair in too_close(frame.screws, assembly.limits):
        yield _finding(frame, pair, moves_in(frame, assembly))
        close |= {pair.first, pair.second}
    if close:
        yield from crowding_notes("screw-foul", frame, moves_in(frame, assembly), close)


def _finding(frame: Frame, pair: TooClose, moves: Moves) -> Finding:
    first, second = pair.first, pair.second
    mark = Marker(frame=frame, w=(max(first.low, second.low) + min(first.high, second.high)) / 2)
    one, other = (screw_solid(screw, frame.placement) for screw in (first, second))
    return Finding(
        check="screw-foul",
        level=Level.ERROR if pair.is_error else Level.WARNING,
        message=_message(pair),
        frame=frame.number,
        at=mark.at(np.add(first.at, second.at) / 2),
        cure=_cure(moves, pair),
        edits=moves.edits_of((first, second)),
        source=first.source,
        subjects=subjects(first, second),
        measure=Measure(value=pair.axes, limit=pair.limit, sense="least"),
        evidence=(
            *mark.spans(first.at, second.at),
            mark.screw(first),
            mark.screw(second),
            *shared(one, other, frame.number),
        ),
    )


def _message(pair: TooClose) -> Sentence:
    first, second, axes, limit = pair.first, pair.second, pair.axes, pair.limit
    along = mm(pair.along)
    same = first.driven_from == second.driven_from
    faces = f"both driven from the {first.driven_from} face" if same else "driven from opposite faces"
    if axes <= COINCIDENT:
        where = (
            "stand in one and the same place"
            if same
            else Sentence.of("meet on one axis and overlap by {along}", along=along)
        )
        return Sentence.of(
            "{first} and {second}, {faces}, {where}; their axes must be {need} apart",
            first=first, second=second, faces=faces, where=where, need=mm(limit),
        )  # fmt: skip
    far, need = mm(axes, limit), mm(limit, axes)
    shanks = (first.size.diameter + second.size.diameter) / 2
    touch = pair.touch
    if pair.is_error and axes < touch - COINCIDENT and touch > shanks + COINCIDENT and abs(limit - touch) <= COINCIDENT:
        if same and abs(first.head - second.head) <= COINCIDENT:
            return Sentence.of(
                "the heads of {first} and {second} overlap: axes {far} apart, heads need {need}",
                first=first, second=second, far=far, need=need,
            )  # fmt: skip
        head, other = (first, second) if pair.first_head else (second, first)
        return Sentence.of(
            "the head of {head} meets {other}, {faces}: axes {far} apart, want {need}",
            head=head, other=other, faces=faces, far=far, need=need,
        )  # fmt: skip
    return Sentence.of(
        "{first} and {second}, {faces}, {foul}: they run side by side over {along} with axes {far} apart, want {need}",
        first=first, second=second, faces=faces, foul="foul" if pair.is_error else "stand close", along=along, far=far,
        need=need,
    )  # fmt: skip


def _cure(moves: Moves, pair: TooClose) -> str:
    """Which of the two to move, how far at least, and the place that suits all screws (see `moves`)."""
    first, second, by = pair.first, pair.second, at_least(pair.least)
    said = moves.said_of((first, second), Sentence.of("at least {by} away, e.g. ", by=by))
    if said:
        return said
    if not moves.given_up.isdisjoint((first, second)):
        return Sentence.of(
            "move {second} at least {by} away from {first}, or lay the screws out afresh",
            second=second, by=by, first=first,
        )  # fmt: skip
    out = next((screw for screw in (second, first) if moves.leaves_out(screw)), "one")
    return Sentence.of(
        "move {second} at least {by} away from {first}; no place within {reach} mm of either is clear of all screws "
        "and edges, so leave {out} out or lay the joint's screws out afresh",
        second=second, by=by, first=first, reach=plain(REACH), out=out,
    )  # fmt: skip


CHECK = Check(
    slug="screw-foul",
    title="Screws that meet",
    level=Level.ERROR,
    limits=("screw_foul", "screw_foul_warning"),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every two screws of one frame, whichever face they are driven from. Each screw is taken as a straight "
            "shaft of its full shank diameter from its flush head to its tip. Two screws matter to one another where "
            "their shafts lie at the same depth in the wood: then the distance between their axes is measured. "
            "Screws from opposite faces whose tips stop short of one another may share an axis. Countersunk heads, "
            "taken as cones, must not meet one another nor a shank beside them either."
        ),
        matters=(
            "A screw that meets another stops dead with glue already spread, or turns aside and comes out through the "
            "face or an edge. The pilot drill breaks on the first screw. With a frame turned over between the "
            "two sides, nobody sees the screws of the first side while the second is driven. Screws close "
            "together without touching split the veneers between them."
        ),
        limit=(
            "Error: axes closer than the mean shank diameter plus `screw_foul`, 1 mm of wood (common practice, no "
            "source), or than the sum of the radii where a head meets the other's head or shank (greatest head sizes "
            "of ASME B18.6.1, as restated in trade tables). Warning: closer than `screw_foul_warning`, 2.5 diameters "
            "of the thicker screw, the spacing between staggered rows in the ANSI/AWC NDS Commentary (1999/2004), "
            "Table C12.1.5.7, which is advice for solid timber. EN 1995-1-1, 8.3.1.1(7) lets fasteners from both "
            "faces overlap only in a middle member thicker than the point by 4 diameters; sheet frames never are. "
            "This is a check of fit, not of strength."
        ),
        cure=(
            "Move one of the two along the line between them by the length the finding gives, or to the place it "
            "names, which is clear of all other screws of the frame as they stand and as they are to be moved, of the "
            "edges of the plies it passes there and of the battens. `check --cure FILE` writes all such moves as a "
            "drawing or a table. For screws from opposite faces, stagger one face's row by half the spacing, or take "
            "screws short enough that the tips stay apart."
        ),
    ),
)

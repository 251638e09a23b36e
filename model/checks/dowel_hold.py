"""Check `dowel-hold`: the dowels and neighbours do not locate a core part, it can still slide or turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.shared.budget import TooCrowded
from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level
from scrieve.shared.marks import Line
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import listed, place, plain, ways

from ..boat.assembly import Assembly
from ..boat.editing import add_round
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.plane import disc
from ..proposals.dowels.dowel_places import DowelPlace
from ..proposals.dowels.dowels_proposed import proposed
from ..relations.dowels.holding import Motion
from ..relations.dowels.still_free import still_free
from .check import Check, Page

_CENTRE = 5.0  # mm; radius of the ring about which a part turns


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every core part that even its neighbours, were they held, would leave free to move.

    Where each would be held by the others but all can move together, one for all of them.
    """
    try:
        loose = still_free(frame, assembly)
        places = _places(frame, assembly) if loose else ()
        for motions in loose:
            yield _finding(frame, motions, places)
    except TooCrowded:
        yield Finding(
            check="dowel-hold",
            level=Level.NOTE,
            message=Sentence.of(
                "whether the dowels of {frame} hold those of its {count} parts that lean on one another was not found "
                "out: too crowded",
                frame=frame,
                count=plain(len(frame.core)),
            ),
            frame=frame.number,
            source=frame.source,
            subjects=subjects(frame),
        )


def _finding(frame: Frame, motions: dict[Part, Motion], places: Sequence[DowelPlace]) -> Finding:
    parts = list(motions)
    motion = motions[parts[0]]
    who: str = "it"
    what = "the dowels and neighbours do not locate"
    if len(parts) > 1:
        who = Sentence.of("they hold one another, but moving together {first}", first=parts[0])
        what = "the dowels do not locate"
    mark = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
    top = Marker(frame=frame, w=frame.core_high)
    named = sorted(parts, key=lambda part: part.name)
    cure, edits = _cure(frame, parts, places)
    return Finding(
        check="dowel-hold",
        level=Level.ERROR,
        message=Sentence.of(
            f"{what} {{parts}}: {{who}} {{motion}}",
            parts=listed(part.name for part in parts),
            who=who,
            motion=_said(frame, motion),
        ),
        frame=frame.number,
        at=mark.at(parts[0].shape.representative_point().coords[0]),
        cure=cure,
        edits=edits,
        source=parts[0].source,
        subjects=subjects(*named),
        evidence=(
            *(top.arrow(path) for part, motion in motions.items() for path in motion.paths(part)),
            *(line for motion in motions.values() for line in _about(top, motion)),
            *(mark.dowel(dowel.at, dowel.diameter) for dowel in frame.dowels),
        ),
    )


def _about(mark: Marker, motion: Motion) -> Iterator[Line]:
    """The point that a part turns about, and the arm from there to the corner that moves."""
    if motion.centre is not None and motion.corner is not None:
        yield mark.line([motion.centre, motion.corner])
        yield from mark.lines(disc(motion.centre, 2 * _CENTRE))


def _said(frame: Frame, motion: Motion) -> str:
    """The motion in words, in hull axes."""
    if not motion.slide.any():
        return "has nothing to lie against"
    way, back = (ways(frame.placement.vector_to_hull([(*slide, 0.0)])[0]) for slide in (motion.slide, -motion.slide))
    if motion.centre is None or motion.corner is None:
        if motion.either:
            return Sentence.of("can still slide {way} or {back}", way=way, back=back)
        return Sentence.of("can still slide {way}", way=way)
    return Sentence.of(
        "can still turn about {centre}, its corner at {corner} going {way}",
        centre=place(*motion.centre), corner=place(*motion.corner), way=way,
    )  # fmt: skip


def _places(frame: Frame, assembly: Assembly) -> Sequence[DowelPlace]:
    """Where dowels would hold the frame with those that it has; none where none would, or that is too much to find."""
    holes = [dowel for other in assembly.frames if other is not frame for dowel in other.dowels]
    diameter = max(dowel.diameter for dowel in frame.dowels)
    try:
        return proposed(frame, diameter, assembly.limits, holes) or ()
    except TooCrowded:
        return ()


def _cure(frame: Frame, parts: Sequence[Part], places: Sequence[DowelPlace]) -> tuple[Sentence | str, tuple[Edit, ...]]:
    """Those of the places that hold these parts; all where they are held by others only."""
    at = [spot.at for spot in places if any(part in spot.pushes for part in parts)] or [spot.at for spot in places]
    if not at:
        return "", ()
    said = "set a dowel at {at}" if len(at) == 1 else "set dowels at {at}"
    edits = add_round(frame, frame.dowels[0], at, max(dowel.diameter for dowel in frame.dowels), sure=True)
    return Sentence.of(said, at=Name("; ".join(place(*each) for each in at))), edits


CHECK = Check(
    slug="dowel-hold",
    title="The dowels and neighbours do not locate a part: it can still slide or turn",
    level=Level.ERROR,
    limits=("dowel_foul", "dowel_gap"),
    page=Page(
        looks_at=(
            "The core parts of a frame as they lie on the assembly board, in the plane: which way each can still move, "
            "every dowel and every joint with a neighbour pushing square to its wall and nothing rubbing. A dowel "
            "pushes on each wall that it can be brought against by a move of up to dowel_gap, a neighbour at both ends "
            "of the joint. A part is held if every slide and every turn runs into one of them (form closure of the "
            "first order). Parts that the dowels hold alone are taken first, then those held by dowels and "
            "parts already held, then those left all together. A part that leans on one that is loose is not named as "
            "well. A frame whose core is one board has nothing to be located to, and one without dowels is not judged; "
            "nor is a part at which a dowel itself is wrong: dowel tells that. A gap in a joint is left to joint-gap, "
            "a slack notch to notch-slack."
        ),
        matters=(
            "The board is there so that the parts come together as drawn without measuring. A part that can still "
            "slide or turn is glued where it happens to lie, and no one sees it until the battens do not fair."
        ),
        limit=(
            "No limit to set but dowel_gap. Four contacts at least are wanted in the plane (Reuleaux, 1876); a contact "
            "that a part moves into at less than 1 part in 50 of its motion, a wedge of about 1 degree, does not count "
            "as one that stops it. Common practice, no source. Gluing clamps and weights may hold such a part "
            "as well; then waive the finding."
        ),
        cure=(
            "Set the dowels that are named as well, with their centres at the places given; with them every part of "
            "the frame is held. The places leave room for the holes of the other frames on the board."
        ),
    ),
    on_frame=check,
)

"""Check `notch-foul`: a batten bites into a ply of a frame that it passes."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import SLIVER, exceeds
from scrieve.shared.wording import at_least, listed, mm, place

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import Marker, subjects
from ..boat.part import Part
from ..geometry.overlap import Overlap, deepest
from ..relations.notches.notch import Crossing, crossings, walls
from ..relations.notches.notch_edits import off_as_drawn, walls_moved
from .check import Check, Page


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every ply that the batten bites deeper than the limit."""
    limit = assembly.limits["notch_foul"]
    for crossing in crossings(batten, assembly.frames):
        for part in crossing.frame.parts:
            if crossing.reaches(part) and not crossing.missing_in(part):
                bites = [
                    (overlap, each) for each in part.prisms if (overlap := _bite(crossing, each, limit)) is not None
                ]
                overlap, prism = max(bites, key=lambda bite: bite[0].depth, default=(None, part))
                if overlap is not None and exceeds(overlap.depth, limit):
                    yield _finding(crossing, prism, overlap, limit)


def _bite(crossing: Crossing, part: Part, limit: float) -> Overlap | None:
    """The deepest overlap with a ply, without the wood a cutter leaves in corners: that is `corner`'s.

    None where no circle as wide as the limit lies in it.
    """
    common = shapely.intersection(crossing.passage(part.low, part.high), part.shape)
    return None if shapely.buffer(common, -limit / 2).is_empty else deepest(common, part.drawn_shape)


def _finding(crossing: Crossing, part: Part, overlap: Overlap, limit: float) -> Finding:
    batten, frame = crossing.batten, crossing.frame
    marker = Marker(frame=frame, w=(part.low + part.high) / 2)
    passage = crossing.passage(part.low, part.high)
    cure, edits = _cure(crossing, part, overlap, limit)
    return Finding(
        check="notch-foul",
        level=Level.ERROR,
        message=Sentence.of(
            "the {batten} bites {depth} into {part}, more than {limit} is allowed",
            batten=batten,
            depth=mm(overlap.depth, limit),
            part=part,
            limit=mm(limit, overlap.depth),
        ),
        frame=frame.number,
        at=frame.placement.point(*overlap.at, marker.w),
        cure=cure,
        edits=edits,
        source=part.source,
        subjects=subjects(part, batten),
        measure=Measure(value=overlap.depth, limit=limit),
        evidence=(marker.span(*overlap.across), *marker.common(passage, part.shape, part.low, part.high)),
    )


def _cure(crossing: Crossing, part: Part, overlap: Overlap, limit: float) -> tuple[Sentence, tuple[Edit, ...]]:
    """How much to take off which wall bitten past the limit, else the worst; where none faces the batten, off there."""
    batten = crossing.batten
    if crossing.share_in(part) > 0.5:
        cut = Sentence.of(
            "{part} has no notch for the {batten} ({long} x {short}): cut one about {place}",
            part=part,
            batten=batten,
            long=Quantity.of(batten.long, f"{batten.long:g}"),
            short=Quantity.of(batten.short, f"{batten.short:g} mm"),
            place=place(*overlap.at),
        )
        return cut, ()
    bitten = [wall for wall in walls(crossing, [part], part.low, part.high) if wall.gap < -SLIVER]
    if not bitten:
        off = Sentence.of(
            "take {depth} off {part} at {place}", depth=at_least(overlap.depth), part=part, place=place(*overlap.at)
        )
        return off, ()
    past = [wall for wall in bitten if exceeds(-wall.gap, limit)]
    opened = past or [min(bitten, key=lambda wall: (wall.gap, wall.name))]
    room = [(wall, at_least(-wall.gap)) for wall in opened]
    by = listed(Sentence.of("{by} on its {wall} wall", by=off, wall=wall) for wall, off in room)
    shifts = [(wall, off.value) for wall, off in room]
    edits = walls_moved(crossing.frame, shifts, sure=off_as_drawn(crossing, shifts, limit))
    return Sentence.of("open the notch in {part} {by}", part=part, by=by), edits


CHECK = Check(
    slug="notch-foul",
    title="A batten bites into a ply of a frame",
    level=Level.ERROR,
    limits=("notch_foul",),
    rests_on="batten",
    page=Page(
        looks_at=(
            "Every batten at every frame it passes, from its first frame to its last. The batten runs through the "
            "middles of its drawn sections in one easy curve and so goes through most frames at an angle. What it "
            "takes up between the two faces of a ply, arrises eased as the plan says, is laid over the outline of "
            "that ply: core, gussets, plates and legs, one by one. Wood that a round cutter leaves in a corner is "
            "the business of the check corner, and a core with no notch at all that of notch-missing."
        ),
        matters=(
            "A notch drawn square to the sheet is too narrow for a batten that comes through it slantwise, and the "
            "gusset over it is narrower still in the wrong place. On the strongback, with glue on, you then chisel "
            "at a finished frame, or force the batten and pull the frame out of line."
        ),
        limit=(
            "notch_foul, 0.2 mm: the thickness of the largest circle that fits into the bite. Common practice, no "
            "source: paint-thick, what a few strokes of a file or the squeeze of the wood take up."
        ),
        cure=(
            "Open the wall that is named by the length that is named (walls bitten within the limit are "
            "left out); the lengths are for a wall cut square to the "
            "sheet and clear the batten at its worst face. Or move the drawn section, if the section is what is wrong, "
            "or file the bevel by hand and raise the limit for it."
        ),
    ),
    on_batten=check,
)

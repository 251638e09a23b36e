"""Check `foul`: two solids that want the same space."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import at_least, mm, plain, ways

from ..boat.assembly import Assembly
from ..boat.editing import move
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.proportion import can_be_recut
from ..relations.fouls.foul import Foul
from ..relations.fouls.fouls_in_frame import part_fouls
from ..relations.fouls.fouls_in_space import frame_fouls, rail_fouls
from ..relations.fouls.fouls_of_battens import long_fouls
from ..relations.fouls.fouls_of_screws import batten_fouls, part_fouls_of
from ..relations.fouls.passing import battens_passing
from .check import Check, Page


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for every two things that overlap deeper than the limit, whatever their order."""
    limit = assembly.limits["foul"]
    for foul in (
        *part_fouls(assembly.frames, limit),
        *_screw_fouls(assembly),
        *frame_fouls(assembly.frames, limit),
        *rail_fouls(assembly),
        *long_fouls(assembly),
    ):
        yield _finding(foul, assembly)


def _screw_fouls(assembly: Assembly) -> Iterator[Foul]:
    for frame in assembly.frames:
        yield from batten_fouls(frame, frame.screws, battens_passing(frame, assembly), assembly.limits)
        yield from part_fouls_of(frame, frame.screws, assembly.limits)


def _finding(foul: Foul, assembly: Assembly) -> Finding:
    room = at_least(foul.room)
    frame = next((frame for frame in assembly.frames if frame.number == foul.frame), None)
    parts = {} if frame is None else {part.name: part for part in frame.parts}
    both = [parts[each.name] for each in (foul.first, foul.second) if each.name in parts]
    near = frame is None or not both or _is_near(foul, frame, both)
    message = foul.message or Sentence.of(
        "{first} and {second} overlap by {deep}, want {most} at most",
        first=foul.first, second=foul.second, deep=mm(foul.depth, foul.limit), most=mm(foul.limit, foul.depth),
    )  # fmt: skip
    if foul.also:
        message = Sentence.of("{said}, and {also} more of the same two frames", said=message, also=plain(foul.also))
    return Finding(
        check="foul",
        level=Level.ERROR,
        message=message,
        frame=foul.frame,
        at=foul.at,
        cure=foul.cure or (_cure(foul, room) if near else _astray(foul)),
        edits=() if frame is None or foul.cure or not near else _moved(foul, frame, both, room.value),
        source=foul.source,
        subjects=(foul.first, foul.second),
        measure=Measure(value=foul.depth, limit=foul.limit),
        evidence=foul.evidence(),
    )


def _is_near(foul: Foul, frame: Frame, parts: Sequence[Part]) -> bool:
    """Whether the parts, whichever is moved, may be meant to lie so much further off."""
    y, v, _ = frame.placement.vector_to_frame([foul.way])[0]
    return all(can_be_recut(part, (y, v), foul.room) for part in parts)


def _moved(foul: Foul, frame: Frame, both: Sequence[Part], room: float) -> tuple[Edit, ...]:
    """The one that fewer screws hold moved, where both are parts of one frame that foul in its plane."""
    if len(both) < 2:
        return ()
    y, v, w = room * frame.placement.vector_to_frame([foul.way])[0]
    held = [sum(ply.part is part for screw in frame.screws for ply in screw.plies) for part in both]
    part, sign = (both[0], 1.0) if held[0] <= held[1] else (both[1], -1.0)
    centre = part.shape.centroid
    return move(frame, part, (centre.x + sign * y, centre.y + sign * v)) if abs(w) <= COINCIDENT else ()


def _cure(foul: Foul, room: Quantity) -> Sentence:
    return Sentence.of(
        "move {first} at least {room} {out}, or {second} as far {back}",
        first=foul.first, room=room, out=ways(foul.way), second=foul.second,
        back=ways(np.negative(foul.way)),
    )  # fmt: skip


def _astray(foul: Foul) -> Sentence:
    return Sentence.of(
        "look whether {first} or {second} lies on a wrong layer, in a wrong place or in a wrong frame, or whether the "
        "plan is wrong: so deep in one another they are not to be moved",
        first=foul.first, second=foul.second,
    )  # fmt: skip


CHECK = Check(
    slug="foul",
    title="Two things in one place",
    level=Level.ERROR,
    limits=("foul",),
    rests_on="batten",
    on_boat=check,
    page=Page(
        looks_at=(
            "The parts of a frame in each layer, pockets taken out of them; screws against battens, against parts "
            "whose edge lies under the head on its way in, and, where the tip comes out of its own wood, against "
            "whatever it meets there, rails and other frames too; frames, screws included, against one another; parts "
            "and battens against the rails; battens against battens. Dowels are left out. What other checks look at "
            "is theirs: core parts that butt (joint-gap), battens in plies (notch-foul, notch-missing), screws with "
            "screws of their own frame (screw-foul), screws near an edge of their own wood (screw-edge), wood the "
            "cutter leaves (corner), and a leg less than 10 mm into its rail (leg-bottom, leg-side). Glued faces only "
            "touch, and a screw in its own wood is no foul."
        ),
        matters=(
            "Two parts drawn into one another come off the machine each true to its drawing, and will not go together. "
            "By then the sheet is cut. Planing one to fit moves the next part, the notch or the "
            "frame's outer line."
        ),
        limit=(
            "`foul`, 0.1 mm, which is less than a saw mark and more than any rounding of a drawing (common practice, "
            "no source). What counts is depth, not volume. Within a frame it is the widest circle that fits in "
            "the overlap, or the shared thickness if that is less. Elsewhere it is the least width of the overlap's "
            "convex hull over the normals of its faces, which is exact for boxes; battens are taken in stretches "
            "of 25 mm, screws with their countersunk heads and tapered tips."
        ),
        cure=(
            "Move one of the two apart by the length and the way given, or cut that much off its edge. Parts on one "
            "face are told to move along it. Between two frames only the worst place is listed, with the number of "
            "the others: there it is nearly always a station or a rake."
        ),
    ),
)

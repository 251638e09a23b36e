"""Check `proud`: a gusset or part stands past the frame's outer line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import exceeds
from scrieve.shared.wording import at_least, mm, place, plates

from ..boat.assembly import Assembly
from ..boat.editing import reshape
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.proportion import can_be_recut, look_first
from ..geometry.plane import common_area, disc
from ..relations.joints.lap import seat_of
from ..relations.joints.outer_line import Proud, closed, standing_past
from ..relations.joints.outer_step import OuterStep, steps
from .check import Check, Page

_ABOUT = 150.0  # mm of the outer line beside the place


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every plate past the outer line, one for both faces if alike, and for every step in it."""
    limit = assembly.limits["proud"]
    if not frame.core:
        return
    for part in frame.parts:
        yield from _not_flush(frame, assembly, part, limit)
    alike: dict[tuple[object, ...], list[Part]] = {}
    for part in frame.parts:
        if part.face != "core" and part.role != "leg":
            alike.setdefault((part.source, part.shape), []).append(part)
    for parts in alike.values():
        proud = standing_past(frame, assembly, parts[0], limit)
        if proud is not None:
            yield _standing_past(frame, assembly, parts, proud, limit)
    for step in steps(frame, assembly, limit):
        yield _stepped(frame, assembly, step, limit)


def _not_flush(frame: Frame, assembly: Assembly, plate: Part, limit: float) -> Iterator[Finding]:
    """A warning if a plate that is let into the core does not end in its face."""
    seat = seat_of(plate, frame)
    if seat is None:
        return
    part, pocket = seat
    face, top = (part.high, plate.high) if plate.face == "forward" else (part.low, plate.low)
    by = abs(top - face)
    if not exceeds(by, limit):
        return
    over = (top > face) == (plate.face == "forward")
    common = common_area(plate.shape, pocket.shape)
    y, v = shapely.get_coordinates(common.representative_point())[0].tolist()
    mark = Marker(frame=frame)
    yield Finding(
        check="proud",
        level=Level.WARNING,
        message=Sentence.of(
            "{plate} is let into {part} and {lies} its {face} face by {by}, up to {limit} is allowed: the pocket is "
            "{depth} deep, the plate {thickness} thick",
            plate=plate,
            part=part,
            lies="stands past" if over else "lies below",
            face=plate.face,
            by=mm(by, limit),
            limit=mm(limit, by),
            depth=mm(pocket.depth, plate.thickness),
            thickness=mm(plate.thickness, pocket.depth),
        ),
        frame=frame.number,
        at=mark.at((y, v, top)),
        cure=Sentence.of("cut the pocket {thickness} deep", thickness=mm(plate.thickness)),
        edits=assembly.keys.set(("layers", pocket.layer), "depth", plate.thickness),
        source=pocket.source,
        subjects=subjects(plate, part),
        measure=Measure(value=by, limit=limit),
        evidence=(mark.span((y, v, face), (y, v, top)), *mark.regions(common, *sorted((face, top)))),
    )


def _standing_past(frame: Frame, assembly: Assembly, parts: Sequence[Part], proud: Proud, limit: float) -> Finding:
    trim = at_least(round(proud.by, 3))
    inward = np.subtract(proud.foot, proud.at) / proud.by
    near = can_be_recut(parts[0], inward, proud.by)
    return _finding(
        frame,
        assembly,
        parts,
        proud,
        limit,
        edits=_in(frame, parts[0], proud, trim.value, sure=True) if near else (),
        message=Sentence.of(
            "{parts} stands {by} past the frame's outer line, up to {limit} is allowed",
            parts=plates(part.name for part in parts),
            by=mm(proud.by, limit),
            limit=mm(limit, proud.by),
        ),
        cure=Sentence.of(
            "trim it by {by} to the outer line, about {place}",
            by=trim,
            place=place(*proud.at),
        )
        if near
        else Sentence.of("{look}, or it is turned or of another joint", look=look_first(frame, assembly)),
    )


def _stepped(frame: Frame, assembly: Assembly, step: OuterStep, limit: float) -> Finding:
    by = step.proud.by
    inward = at_least(round(by, 3))
    return _finding(
        frame,
        assembly,
        (step.part, step.shy),
        step.proud,
        limit,
        edits=_in(frame, step.part, step.proud, inward.value),
        message=Sentence.of(
            "{part} stands {by} past {shy} at their joint, a step in the frame's outer line, up to {limit} is allowed",
            part=step.part,
            by=mm(by, limit),
            shy=step.shy,
            limit=mm(limit, by),
        ),
        cure=Sentence.of(
            "bring {part} {by} in, or {shy} as far out, about {place}",
            part=step.part,
            by=inward,
            shy=step.shy,
            place=place(*step.proud.at),
        ),
    )


def _in(frame: Frame, part: Part, proud: Proud, by: float, *, sure: bool = False) -> tuple[Edit, ...]:
    """The edge that stands out, `by` mm further in."""
    return reshape(frame, part, [(proud.at, np.subtract(proud.foot, proud.at), by)], sure=sure)


def _finding(
    frame: Frame,
    assembly: Assembly,
    parts: Sequence[Part],
    proud: Proud,
    limit: float,
    *,
    message: str,
    cure: str,
    edits: tuple[Edit, ...],
) -> Finding:
    part = parts[0]
    mark = Marker(frame=frame, w=(part.low + part.high) / 2)
    line = shapely.intersection(closed(frame, assembly).boundary, disc(proud.at, 2 * _ABOUT))
    return Finding(
        check="proud",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=mark.at(proud.at),
        cure=cure,
        edits=edits,
        source=part.source,
        subjects=subjects(*parts),
        measure=Measure(value=proud.by, limit=limit),
        evidence=(
            mark.span(proud.at, proud.foot),
            *Marker(frame=frame, w=part.low if part.face == "aft" else part.high).lines(line),
        ),
    )


CHECK = Check(
    slug="proud",
    title="A part stands past the frame's outer line",
    level=Level.ERROR,
    limits=("proud",),
    on_frame=check,
    page=Page(
        looks_at=(
            "The outside of the core, on which the planking lies: all round a frame that closes across the deck, from "
            "sheer to sheer of an open one. Gussets and other plates are measured against it, square to the edge that "
            "they pass. So are core parts against one another where they butt: a step at the joint, if it is under 8 "
            "mm, past which it is taken for a notch or for the part's shape. The inside of the frame is free, so are "
            "the tops of an open frame, and what lies across a notch or its mouth, one of two walls at a corner too: "
            "whether a batten passes there is for the checks of notches. Legs are left out. A plate that is let into "
            "a pocket is measured against the face of the part that it lies in: a warning, as some are let in by "
            "half."
        ),
        matters=(
            "A plank bent round the frames lies on whatever stands out furthest. A gusset that is proud holds it off "
            "the core, where no glue reaches, and shows as a hump in the finished side; found after the frames are "
            "screwed together it has to be planed down, screws and all."
        ),
        limit=(
            "proud, 0.3 mm. Common practice, no source: what one stroke with a plane takes off. A plate that is shy "
            "of the outer line is no finding here."
        ),
        cure=(
            "Trim the plate to the outer line by the length named. If the plate is right and the core is shy, look "
            "first whether the core part has been moved. What is meant to stand out, such as a skeg's cheek, is "
            "waived. What stands out by more than a quarter of its size is turned, of another joint, or beside a part "
            "that is missing."
        ),
    ),
)

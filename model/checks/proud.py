"""Check `proud`: a gusset or part stands past the frame's outer line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Finding, Level

from ..assembly import Assembly
from ..frame import Frame
from ..joints.outer_line import Proud, standing_past
from ..joints.outer_step import Step, steps
from ..part import Part
from ..wording import at_least, mm, place, plates
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every plate past the outer line, one for both faces if alike, and for every step in it."""
    limit = assembly.limits["proud"]
    if not frame.core:
        return
    alike: dict[tuple[object, ...], list[Part]] = {}
    for part in frame.parts:
        if part.face != "core" and part.role != "leg":
            alike.setdefault((part.source, id(part.shape)), []).append(part)
    for parts in alike.values():
        proud = standing_past(frame, assembly, parts[0], limit)
        if proud is not None:
            yield _standing_past(frame, parts, proud, limit)
    for step in steps(frame, assembly, limit):
        yield _stepped(frame, step, limit)


def _standing_past(frame: Frame, parts: Sequence[Part], proud: Proud, limit: float) -> Finding:
    names = plates(part.name for part in parts)
    return _finding(
        frame,
        parts,
        proud,
        limit,
        message=f"{names} stands {mm(proud.by, limit)} past the frame's outer line, "
        f"up to {mm(limit, proud.by)} is allowed",
        cure=f"trim it by {at_least(round(proud.by, 3))} to the outer line, about {place(*proud.at)}",
    )


def _stepped(frame: Frame, step: Step, limit: float) -> Finding:
    return _finding(
        frame,
        (step.proud, step.shy),
        Proud(by=step.by, at=step.at),
        limit,
        message=(
            f"{step.proud.name} stands {mm(step.by, limit)} past {step.shy.name} at their joint, a step in the "
            f"frame's outer line, up to {mm(limit, step.by)} is allowed"
        ),
        cure=(
            f"bring {step.proud.name} {at_least(round(step.by, 3))} in, or {step.shy.name} as far out, about "
            f"{place(*step.at)}"
        ),
    )


def _finding(frame: Frame, parts: Sequence[Part], proud: Proud, limit: float, *, message: str, cure: str) -> Finding:
    part = parts[0]
    return Finding(
        check="proud",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        parts=tuple(sorted(part.name for part in parts)),
        at=frame.placement.point(*proud.at, (part.low + part.high) / 2),
        measured=proud.by,
        limit=limit,
        unit="mm",
        cure=cure,
        source=part.source,
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
            "they pass. So are core parts against one another where they butt: a step at the joint, if it is under "
            "8 mm, past which it is taken for a notch or for the part's shape. The inside of the frame is free, so are "
            "the tops of an open frame, and what lies across a notch or its mouth: whether a batten passes there is "
            "for the checks of notches. Legs are left out."
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
            "first whether the core part has been moved. What is meant to stand out, such as a skeg's cheek, is waived."
        ),
    ),
)

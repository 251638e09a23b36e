"""Check `joint-gap`: core parts that butt stand apart, overlap, or do not lie in one plane."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, exceeds

from ..assembly import Assembly
from ..frame import Frame
from ..joints.bridged_joint import Apart, bridged_joints, parts_apart
from ..joints.joint import Joint, joints, leg_joints
from ..part import Part
from ..wording import at_least, listed, mm, place
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every joint that is open or overlapping, and one for every step across a joint."""
    limit = assembly.limits["joint_gap"]
    for joint in (*joints(frame), *leg_joints(frame), *bridged_joints(frame, assembly)):
        if exceeds(max(joint.gap, joint.overlap), limit):
            yield _open_or_overlapping(frame, joint, limit)
        if exceeds(_step(joint), limit):
            yield _stepped(frame, joint, limit)
    for apart in parts_apart(frame, assembly):
        if exceeds(apart.distance, limit):
            yield _standing_apart(frame, apart, limit)


def _open_or_overlapping(frame: Frame, joint: Joint, limit: float) -> Finding:
    part = _to_recut(joint)
    both = f"{joint.first.name} and {joint.second.name}"
    if joint.gap >= joint.overlap:
        message = f"{both} stand {mm(joint.gap, limit)} apart at their joint, up to {mm(limit, joint.gap)} is allowed"
        what, amount = "lengthen", joint.gap
    else:
        message = (
            f"{both} overlap by {mm(joint.overlap, limit)} at their joint, up to {mm(limit, joint.overlap)} is allowed"
        )
        what, amount = "shorten", joint.overlap
    lengths = [distance for stretch in joint.stretches for distance in stretch.apart]
    if exceeds(max(lengths) - min(lengths), limit):
        cure = f"recut the end of {part.name}: {_wedge(joint)}"
    else:
        either = f"{part.name}, or {joint.other(part).name},"
        cure = f"{what} {either} by {at_least(amount)} at the joint, about {place(*joint.at)}"
    return _finding(frame, joint, limit, message=message, measured=amount, cure=cure)


def _wedge(joint: Joint) -> str:
    """What to add or take off at the two places where it is most and least; no place where it is 0.0 mm."""
    ends = [(d, p) for s in joint.stretches for d, p in zip(s.apart, s.middle, strict=True)]
    least, most = min(ends), max(ends)
    told = [(d, p, f"{abs(d):.1f} mm") for d, p in (most, least) if round(abs(d), 1) > 0.0]
    if not told:  # a limit set under a twentieth
        told = [(d, p, mm(abs(d))) for d, p in (most, least)]
    return " and ".join(f"{'add' if d > 0 else 'take off'} {amount} at {place(*p)}" for d, p, amount in told)


def _to_recut(joint: Joint) -> Part:
    """The part whose end lies at the joint: the one that reaches further away from it, square to it."""
    way = np.array(joint.way)
    reaches = [np.ptp(shapely.get_coordinates(part.shape) @ way) for part in (joint.first, joint.second)]
    return joint.second if reaches[1] > reaches[0] + COINCIDENT else joint.first


def _standing_apart(frame: Frame, apart: Apart, limit: float) -> Finding:
    first, second = apart.first, apart.second
    gussets = listed(gusset.name for gusset in apart.gussets)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=(
            f"{first.name} and {second.name} stand apart under the gusset: {mm(apart.distance, limit)} from one "
            f"another under {gussets}, up to {mm(limit, apart.distance)} is allowed"
        ),
        frame=frame.number,
        parts=(first.name, second.name),
        at=frame.placement.point(*apart.at, (first.low + first.high) / 2),
        measured=apart.distance,
        limit=limit,
        unit="mm",
        cure=(
            f"bring {first.name} and {second.name} together: they are {mm(apart.distance)} apart under {gussets}, "
            "and their ends do not face one another"
        ),
        source=first.source,
    )


def _step(joint: Joint) -> float:
    """How far the faces of the two parts stand from one plane, mm."""
    return max(abs(joint.first.low - joint.second.low), abs(joint.first.high - joint.second.high))


def _stepped(frame: Frame, joint: Joint, limit: float) -> Finding:
    a, b = joint.first, joint.second
    return _finding(
        frame,
        joint,
        limit,
        message=(
            f"{a.name} is {mm(a.thickness)} thick and {b.name} {mm(b.thickness)}: at their joint there is "
            f"a step of {mm(_step(joint), limit)}, up to {mm(limit, _step(joint))} is allowed"
        ),
        measured=_step(joint),
        cure=f"make both of one stock ({a.stock} or {b.stock}), or pack the thinner by {mm(_step(joint))}",
    )


def _finding(frame: Frame, joint: Joint, limit: float, *, message: str, measured: float, cure: str) -> Finding:
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        parts=(joint.first.name, joint.second.name),
        at=frame.placement.point(*joint.at, (joint.first.low + joint.first.high) / 2),
        measured=measured,
        limit=limit,
        unit="mm",
        cure=cure,
        source=_to_recut(joint).source,
    )


CHECK = Check(
    slug="joint-gap",
    title="Core parts that butt stand apart, or overlap",
    level=Level.ERROR,
    limits=("joint_gap",),
    page=Page(
        looks_at=(
            "Floor, sides and deck beam of a frame, two at a time, and the plies of the legs that lie in the plane of "
            "the core. Edges that face one another, turned less than 5 degrees from parallel and no more than 5 mm "
            "apart or into one another, are taken to be meant as a joint. The distance is taken along the whole of "
            "it, so that a joint that gapes at one end shows with its widest place. Where one gusset laps two core "
            "parts that have no such joint under it, edges under the gusset that face one another with nothing in "
            "between are taken for one too, however far apart and turned up to 20 degrees. Where none face one another "
            "there either, and neither wood nor a batten is between, the least distance of the two parts under the "
            "gusset is taken. Where the two parts are of different thickness, the step between their faces is measured "
            "as well."
        ),
        matters=(
            "A gusset bridges a butt joint but does not close it. A gap fills with glue that does little, an overlap "
            "cannot be put together at all: the frame comes out wider or narrower than drawn, and every batten "
            "notch with it. Over a step no gusset lies flat."
        ),
        limit=(
            "joint_gap, 0.5 mm, either way, and for the step. Common practice, no source: what thickened glue fills "
            "and what cutting by machine keeps to with room to spare. Parts drawn more than 5 mm apart, or askew, with "
            "no gusset over both of them are not recognised as a joint."
        ),
        cure=(
            "Lengthen or shorten the part that is named, at the joint, by the length given; or the other one, if its "
            "end is the one that is wrong. If several joints of a frame are out by the same amount, look first "
            "whether one part is out of its place."
        ),
    ),
    on_frame=check,
)

"""Check `joint-gap`: core parts that butt stand apart, overlap, or do not lie in one plane."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT, JOINT_REACH, SLIVER, exceeds
from scrieve.shared.wording import at_least, joined, listed, mm, place

from ..boat.assembly import Assembly
from ..boat.editing import reshape
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.proportion import can_be_recut, look_first
from ..geometry.overlap import Overlap, overlaps
from ..relations.fouls.fouls_in_frame import bites
from ..relations.joints.bridged_joint import Apart, bridged_joints, parts_apart
from ..relations.joints.joint import Joint, gap_of, image_joints, joints, leg_joints
from ..relations.joints.joint_hole import JointHole, holes
from ..relations.joints.lap import LooseLap, OpenLap, loose_laps, open_laps
from ..relations.legs.leg_head import Adrift, Partly, adrift, partly
from .check import Check, Page

_OVERLAP = "{first} and {second} overlap by {amount} at their joint, up to {limit} is allowed"


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every joint that is open or overlapping, and one for every step across a joint."""
    limit = assembly.limits["joint_gap"]
    bridged = [joint for joint in bridged_joints(frame, assembly) if not _overlap(joint, limit)]
    for joint in (*joints(frame), *leg_joints(frame), *image_joints(frame), *bridged):
        if exceeds(max(joint.gap, joint.overlap), limit):
            yield _open_or_overlapping(frame, joint, limit)
        start, end = _step(joint)
        if exceeds(abs(start - end), limit):
            yield _stepped(frame, joint, start, end, limit)
    for lap in open_laps(frame, limit):
        yield _lap_open(frame, assembly, lap, limit)
    for loose in loose_laps(frame, limit):
        yield _lap_loose(frame, loose, limit)
    for joint, overlap in bites(frame, limit):
        yield _bite(frame, joint, overlap, limit)
    holed: set[tuple[Part, Part]] = set()
    for hole in holes(frame, assembly):
        if (hole.first, hole.second) not in holed:
            holed.add((hole.first, hole.second))
            yield _hole(frame, hole, limit)
    for apart in parts_apart(frame, assembly):
        if exceeds(apart.distance, limit):
            yield _standing_apart(frame, apart, limit)
        elif (apart.first, apart.second) not in holed:
            yield _touching(frame, apart)
    for leg in adrift(frame, assembly):
        yield _leg_adrift(frame, assembly, leg, limit)
    for short in partly(frame, assembly):
        yield _leg_partly(frame, short)


def _overlap(joint: Joint, limit: float) -> bool:
    """Whether the parts of a joint are in one another anywhere: that is a foul, and the one thing that is told."""
    return any(exceeds(each.depth, limit) for each in overlaps(joint.first.shape, joint.second.shape))


def _open_or_overlapping(frame: Frame, joint: Joint, limit: float) -> Finding:
    part = _to_recut(joint)
    if joint.gap >= joint.overlap:
        says = "{first} and {second} stand {amount} apart at their joint, up to {limit} is allowed"
        what, amount = "lengthen", joint.gap
    else:
        says = _OVERLAP
        what, amount = "shorten", joint.overlap
    images = joint.first.source == joint.second.source  # what moves one moves the other
    by = at_least(amount / 2 if images else amount)
    edits: tuple[Edit, ...] = ()
    lengths = [distance for stretch in joint.stretches for distance in stretch.apart]
    if exceeds(max(lengths) - min(lengths), limit):
        cure = Sentence.of("recut the end of {part}: {wedge}", part=part, wedge=_wedge(joint))
    elif images:
        cure = Sentence.of(
            "{change} {part} by {amount}, as far as the centreline, about {place}: the other is its image",
            change=what, part=part, amount=by, place=place(*joint.at),
        )  # fmt: skip
        edits = _recut(frame, joint, part, by.value if what == "lengthen" else -by.value)
    else:
        cure = Sentence.of(
            "{change} {part}, or {other}, by {amount} at the joint, about {place}",
            change=what, part=part, other=joint.other(part), amount=by, place=place(*joint.at),
        )  # fmt: skip
        edits = _recut(frame, joint, part, by.value if what == "lengthen" else -by.value)
    mark = _marker(frame, joint)
    shared = shapely.intersection(joint.first.shape, joint.second.shape)
    return _finding(
        frame,
        joint,
        limit,
        message=_said(says, joint.first, joint.second, amount, limit),
        measured=amount,
        cure=cure,
        edits=edits,
        evidence=(mark.span(*joint.across), *mark.regions(shared, *_shared(joint.first, joint.second))),
    )


def _recut(frame: Frame, joint: Joint, part: Part, by: float) -> tuple[Edit, ...]:
    """The end of a part, piece by piece of the joint, drawn out by so much or cut back."""
    if part is joint.first:
        return reshape(frame, part, [(piece.first, piece.way, by) for piece in joint.stretches])
    return reshape(frame, part, [(piece.second, np.negative(piece.way), by) for piece in joint.stretches])


def _bite(frame: Frame, joint: Joint, overlap: Overlap, limit: float) -> Finding:
    first, second = joint.first, joint.second
    mark = _marker(frame, joint)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=_said(_OVERLAP, first, second, overlap.depth, limit),
        frame=frame.number,
        at=mark.at(overlap.at),
        cure=Sentence.of(
            "take {amount} off {part}, or {other}, about {place}",
            amount=at_least(overlap.depth), part=first, other=second, place=place(*overlap.at),
        ),
        source=first.source,
        subjects=subjects(first, second),
        measure=Measure(value=overlap.depth, limit=limit),
        evidence=(mark.span(*overlap.across), *mark.regions(overlap.region, *_shared(first, second))),
    )  # fmt: skip


def _hole(frame: Frame, hole: JointHole, limit: float) -> Finding:
    first, second = hole.first, hole.second
    mark = Marker(frame=frame, w=(first.low + first.high) / 2)
    at = np.mean(hole.across, axis=0)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=_said("{first} and {second} leave a hole {amount} wide between them in their joint, up to {limit} is "
                      "allowed", first, second, hole.width, limit),
        frame=frame.number,
        at=mark.at(at),
        cure=Sentence.of(
            "let {first} fill it, or {second}, at {place}: a tongue, a finger or a lap is missing there or too small",
            first=first, second=second, place=place(*at),
        ),
        source=first.source,
        subjects=subjects(first, second),
        measure=Measure(value=hole.width, limit=limit),
        evidence=(mark.span(*hole.across), *mark.regions(hole.region, *_shared(first, second))),
    )  # fmt: skip


def _lap_open(frame: Frame, assembly: Assembly, lap: OpenLap, limit: float) -> Finding:
    first, second, by = lap.first, lap.second, lap.high - lap.low
    mark, at = Marker(frame=frame), lap.overlap.at
    less = at_least(by)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=_said(
            "{first} and {second} stand {amount} apart where one lies in the other, up to {limit} is allowed",
            first, second, by, limit,
        ),
        frame=frame.number,
        at=mark.at((*at, (lap.low + lap.high) / 2)),
        cure=Sentence.of(
            "cut the pocket in the {face} face of {part} {less} less deep",
            face=lap.pocket.face, part=lap.cut, less=less,
        ),
        edits=assembly.keys.set(("layers", lap.pocket.layer), "depth", lap.pocket.depth - by),
        source=lap.pocket.source,
        subjects=subjects(first, second),
        measure=Measure(value=by, limit=limit),
        evidence=(mark.span((*at, lap.low), (*at, lap.high)), *mark.regions(lap.overlap.region, lap.low, lap.high)),
    )  # fmt: skip


def _lap_loose(frame: Frame, lap: LooseLap, limit: float) -> Finding:
    mark, (a, b) = Marker(frame=frame, w=(lap.low + lap.high) / 2), lap.stretch.apart
    across = [ends[0] if a >= b else ends[1] for ends in (lap.stretch.first, lap.stretch.second)]
    if abs(a - b) < SLIVER:
        across = np.mean([lap.stretch.first, lap.stretch.second], axis=1).tolist()
    by = at_least(lap.apart)
    return Finding(
        check="joint-gap",
        level=Level.WARNING if lap.apart > JOINT_REACH else Level.ERROR,
        message=_said(
            "{first} and {second} stand {amount} apart beside their lap, up to {limit} is allowed",
            lap.cut, lap.part, lap.apart, limit,
        ),
        frame=frame.number,
        at=mark.at(np.mean(across, axis=0)),
        cure=Sentence.of(
            "make the pocket in the {face} face of {cut} {by} narrower there, or {part} wider",
            face=lap.pocket.face, cut=lap.cut, by=by, part=lap.part,
        ),
        source=lap.pocket.source,
        subjects=subjects(lap.cut, lap.part),
        measure=Measure(value=lap.apart, limit=limit),
        evidence=(mark.span(*across), *mark.regions(gap_of(lap.stretch), lap.low, lap.high)),
    )  # fmt: skip


def _said(template: str, first: Part, second: Part, amount: float, limit: float, **more: str) -> Sentence:
    return Sentence.of(template, first=first, second=second, amount=mm(amount, limit), limit=mm(limit, amount), **more)


def _shared(first: Part, second: Part) -> tuple[float, float]:
    """The depths that two parts share, mm."""
    return max(first.low, second.low), min(first.high, second.high)


def _marker(frame: Frame, joint: Joint) -> Marker:
    return Marker(frame=frame, w=(joint.first.low + joint.first.high) / 2)


def _wedge(joint: Joint) -> str:
    """What to add or take off at the two places where it is most and least; no place where it is 0.0 mm."""
    ends = [(d, p) for s in joint.stretches for d, p in zip(s.apart, s.middle, strict=True)]
    least, most = min(ends), max(ends)
    told = [(d, p, Quantity.of(abs(d), f"{abs(d):.1f} mm")) for d, p in (most, least) if round(abs(d), 1) > 0.0]
    if not told:  # a limit set under a twentieth
        told = [(d, p, mm(abs(d))) for d, p in (most, least)]
    said = [
        Sentence.of(
            "{change} {amount} at {place}", change="add" if d > 0 else "take off", amount=amount, place=place(*p)
        )
        for d, p, amount in told
    ]
    return joined(said)


def _to_recut(joint: Joint) -> Part:
    """The part whose end lies at the joint: the one that reaches further away from it, square to it."""
    way = np.array(joint.way)
    reaches = [np.ptp(shapely.get_coordinates(part.shape) @ way) for part in (joint.first, joint.second)]
    return joint.second if reaches[1] > reaches[0] + COINCIDENT else joint.first


def _standing_apart(frame: Frame, apart: Apart, limit: float) -> Finding:
    first, second = apart.first, apart.second
    gussets = listed(gusset.name for gusset in apart.gussets)
    mark = Marker(frame=frame, w=(first.low + first.high) / 2)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=_said(
            "{first} and {second} stand apart under the gusset: {amount} from one another under {gussets}, "
            "up to {limit} is allowed",
            first,
            second,
            apart.distance,
            limit,
            gussets=gussets,
        ),
        frame=frame.number,
        at=mark.at(apart.at),
        cure=Sentence.of(
            "bring {first} and {second} together: they are {distance} apart under {gussets}, and their ends do not "
            "face one another",
            first=first, second=second, distance=mm(apart.distance), gussets=gussets,
        ),
        source=first.source,
        subjects=subjects(first, second),
        measure=Measure(value=apart.distance, limit=limit),
        evidence=(mark.span(*apart.across),),
    )  # fmt: skip


def _touching(frame: Frame, apart: Apart) -> Finding:
    first, second = apart.first, apart.second
    mark = Marker(frame=frame, w=(first.low + first.high) / 2)
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=Sentence.of(
            "{first} and {second} only touch under {gussets}: no edge of one faces an edge of the other there",
            first=first,
            second=second,
            gussets=listed(gusset.name for gusset in apart.gussets),
        ),
        frame=frame.number,
        at=mark.at(apart.at),
        cure=Sentence.of("recut {first} or {second} so that their ends meet all along", first=first, second=second),
        source=first.source,
        subjects=subjects(first, second),
        evidence=(*mark.outlines(first), *mark.outlines(second)),
    )


def _leg_adrift(frame: Frame, assembly: Assembly, found: Adrift, limit: float) -> Finding:
    ply, core = found.ply, found.nearest
    way = np.subtract(*found.across[::-1])
    near = can_be_recut(ply, way / max(float(np.hypot(*way)), COINCIDENT), found.distance)
    mark, by = Marker(frame=frame, w=(ply.low + ply.high) / 2), at_least(found.distance)
    if found.laps:
        said = (
            "{first} laps no core part, as its like does in other frames: {second} is {amount} off, {limit} is allowed"
        )
        cure = "lengthen {ply} by {by} and the lap over {core}, or draw it from the leg of another frame"
    else:
        said = "{first} meets no part of the core: {second} is nearest, {amount} off, up to {limit} is allowed"
        cure = "lengthen {ply} by {by} to {core}, or look whether it was cut for another frame"
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=_said(said, ply, core, found.distance, limit),
        frame=frame.number,
        at=mark.at(np.mean(found.across, axis=0)),
        cure=Sentence.of(cure, ply=ply, by=by, core=core) if near else look_first(frame, assembly),
        edits=reshape(frame, ply, [(found.across[0], way, by.value)]) if near else (),
        source=ply.source,
        subjects=subjects(ply, core),
        measure=Measure(value=found.distance, limit=limit),
        evidence=mark.spans(*found.across) or mark.outlines(ply),
    )


def _leg_partly(frame: Frame, found: Partly) -> Finding:
    ply, core = found.ply, found.core
    mark = Marker(frame=frame, w=(ply.low + ply.high) / 2)
    verb = "laps" if found.laps else "meets" if found.contact > 0.0 else "only touches"
    values: dict[str, str] = {"contact": mm(found.contact)} if found.contact > 0.0 else {}
    values |= {"usual": mm(found.usual)} if found.usual > 0.0 else {}
    over = " over {contact}" if found.contact > 0.0 else ""
    of_others = ", the legs of this boat usually over {usual}" if found.usual > 0.0 else ""
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=Sentence.of(f"{{ply}} {verb} {{core}}{over}{of_others}", ply=ply, core=core, **values),
        frame=frame.number,
        at=mark.at(np.mean(found.across, axis=0)),
        cure=Sentence.of("recut the head of {ply}, or look whether it was cut for another frame", ply=ply),
        source=ply.source,
        subjects=subjects(ply, core),
        evidence=mark.outlines(ply),
    )


def _step(joint: Joint) -> tuple[float, float]:
    """The depths between which the faces of the two parts stand furthest from one plane, mm."""
    first, second = joint.first, joint.second
    return max((first.low, second.low), (first.high, second.high), key=lambda step: abs(step[0] - step[1]))


def _stepped(frame: Frame, joint: Joint, start: float, end: float, limit: float) -> Finding:
    a, b, step = joint.first, joint.second, abs(start - end)
    return _finding(
        frame,
        joint,
        limit,
        message=_said(
            "{first} is {thickness} thick and {second} {other_thickness}: at their joint there is a step of {amount}, "
            "up to {limit} is allowed",
            a,
            b,
            step,
            limit,
            thickness=mm(a.thickness),
            other_thickness=mm(b.thickness),
        ),
        measured=step,
        cure=Sentence.of(
            "make both of one stock ({stock} or {other}), or pack the thinner by {step}",
            stock=Name(a.stock), other=Name(b.stock), step=mm(step),
        ),
        evidence=(Marker(frame=frame).span((*joint.at, start), (*joint.at, end)),),
    )  # fmt: skip


def _finding(
    frame: Frame,
    joint: Joint,
    limit: float,
    *,
    message: str,
    measured: float,
    cure: str,
    evidence: tuple[Mark, ...],
    edits: tuple[Edit, ...] = (),
) -> Finding:
    return Finding(
        check="joint-gap",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=_marker(frame, joint).at(joint.at),
        cure=cure,
        edits=edits,
        source=_to_recut(joint).source,
        subjects=subjects(joint.first, joint.second),
        measure=Measure(value=measured, limit=limit),
        evidence=evidence,
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
            "apart or into one another, are taken to be meant as a joint. The distance is taken along the whole of it, "
            "so that a joint that gapes at one end shows with its widest place. Reliefs and what a cutter leaves, "
            "inside rounds of up to 12.7 mm radius, are holes beside the joint. Fingers, steps and tenons whose flanks "
            "touch are open by what parts their ends. A hole that two parts shut in between them, or leave open at one "
            "end of their joint under a gusset, is told too, as wide as the widest circle in it: a tongue, a finger or "
            "a lap that is missing or too small. Holes through which the line of the joint runs on are cut through "
            "both parts on purpose. What two parts share about their joint is an overlap, whichever way it lies. A "
            "part of a half drawing that stops up to 7.5 mm short of the centreline and its image are taken for one "
            "part drawn short. Where one gusset laps two core parts that have no such joint under it, edges under the "
            "gusset that face one another with nothing in between are taken for one too, however far apart and turned "
            "up to 20 degrees. Where none face one another there either, and neither wood nor a batten is between, the "
            "least distance of the two parts under the gusset is taken, or it is told that they only touch. A ply of a "
            "leg in the plane of the core has to meet the core, and one beside it to lap the core where most of its "
            "like do, however far off it is, over half at least of what they do. Where a part lies in the pocket of "
            "another, at a half-lap or let in, the faces that should meet are measured too, and at a half-lap the "
            "flanks (a warning past 5 mm). Where the two parts are of different thickness, the step between their "
            "faces is measured as well."
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

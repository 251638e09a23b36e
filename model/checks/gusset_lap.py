"""Check `gusset-lap`: a gusset reaches too little past its joint."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import COINCIDENT, JOINT_REACH
from scrieve.shared.wording import at_least, mm, plain, plates

from ..boat.assembly import Assembly
from ..boat.editing import reshape
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..relations.fouls.passing import battens_passing
from ..relations.joints.gusset import Cover, covers
from ..relations.joints.gusset_reach import Reach, short_reaches
from .check import Check, Page

_TICK = 24.0  # mm to each side; where the end should be


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every gusset that reaches too little past a joint over a part; one for both faces if alike."""
    factor = assembly.limits["gusset_lap"]
    limit = factor * frame.core_thickness
    alike: dict[tuple[object, ...], list[Cover]] = {}
    for cover in covers(frame, assembly):
        # what leaves too much of the joint bare is told by joint-bare
        if cover.gussets and not cover.is_bare:
            drawn = tuple((gusset.source, gusset.shape) for gusset in cover.gussets)
            alike.setdefault((cover.joint, drawn), []).append(cover)
    for short in short_reaches([same[0] for same in alike.values()], limit):
        if _ends_at_notch(short, frame, assembly):
            continue
        same = next(same for same in alike.values() if same[0] is short.cover)
        yield _finding(frame, short, [g for cover in same for g in cover.gussets], limit, factor)


def _ends_at_notch(short: Reach, frame: Frame, assembly: Assembly) -> bool:
    """Whether a gusset ends where it is cut out for a batten that the part lacks a notch for: the notch is told."""
    gussets = short.cover.gussets
    low, high = min(gusset.low for gusset in gussets), max(gusset.high for gusset in gussets)
    end = shapely.Point(short.at)
    return any(
        crossing.missing_in(short.member) and crossing.passage(low, high).dwithin(end, JOINT_REACH)
        for crossing in battens_passing(frame, assembly)
    )


def _finding(frame: Frame, short: Reach, gussets: list[Part], limit: float, factor: float) -> Finding:
    names = plates(gusset.name for gusset in gussets)
    joint, member = short.cover.joint, short.member
    reaches = "reach" if len(short.cover.gussets) > 1 else "reaches"
    lacking = at_least(limit - short.reach)
    mark = Marker(frame=frame, w=frame.core_high if gussets[0].face == "forward" else frame.core_low)
    return Finding(
        check="gusset-lap",
        level=Level.ERROR,
        message=Sentence.of(
            f"{{gussets}} {reaches} {{reach}} over {{member}} past its joint with {{other}}, want {{factor}} core "
            "thicknesses = {limit}",
            gussets=names,
            reach=mm(short.reach, limit),
            member=member,
            other=joint.other(member),
            factor=plain(factor),
            limit=mm(limit, short.reach),
        ),
        frame=frame.number,
        at=mark.at(short.at),
        cure=Sentence.of(
            "lengthen {gussets} by {lacking} along {member}",
            gussets=names,
            lacking=lacking,
            member=member,
        ),
        edits=reshape(frame, _ending(short, gussets), [(short.at, _over(short), lacking.value)], sure=True),
        source=gussets[0].source,
        subjects=subjects(member, *gussets),
        measure=Measure(value=short.reach, limit=limit, sense="least"),
        evidence=(*mark.spans(short.at, short.start), mark.line(_wanted(short, limit))),
    )


def _ending(short: Reach, gussets: list[Part]) -> Part:
    """The gusset that ends there."""
    return min(gussets, key=lambda each: each.shape.exterior.distance(shapely.Point(short.at)))


def _wanted(short: Reach, limit: float) -> NDArray[np.float64]:
    """(2, 2): a line across where the gusset has to reach."""
    start, way = np.array(short.start), _over(short)
    aside = np.array([-way[1], way[0]]) * _TICK
    return np.asarray(start + limit * way + np.array([-aside, aside]))


def _over(short: Reach) -> NDArray[np.float64]:
    """The unit way (y, v) over the member away from the joint."""
    if short.reach > COINCIDENT:
        return np.asarray(np.subtract(short.at, short.start) / short.reach)
    joint = short.cover.joint
    return np.multiply(joint.way, 1.0 if short.member is joint.second else -1.0)


CHECK = Check(
    slug="gusset-lap",
    title="A gusset reaches too little past its joint",
    level=Level.ERROR,
    limits=("gusset_lap",),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every gusset over a butt joint, and both parts that it holds together. Its reach over a part is the "
            "least distance from the joint to where the gusset ends on it: square to the joint where the end of the "
            "part is cut square; at a mitre, from the joint's inner end along the part. What is bare within a quarter "
            "of the joint's length, or 20 mm, of the part's other edges does not count: beside a tapered arm, at a "
            "rounded corner, along the planking, about a batten. Nor does wood past the end of the joint, as on a "
            "side that runs on past the floor. A joint that is mostly bare is left to `joint-bare`, a gusset cut out "
            "for a batten that the part has no notch for to `notch-missing`."
        ),
        matters=(
            "All that passes through the joint has to pass through the glue between gusset and part. A short lap is "
            "the first thing that lets go when the bare frame is turned over."
        ),
        limit=(
            "gusset_lap, 4 T, in thicknesses of the core. Common practice, no source: no figure of a government or a "
            "class was found. This is workmanship, not strength."
        ),
        cure=(
            "Draw the arm of the gusset longer by the length named, along the part that is named. If there is no room "
            "for it because the next gusset begins there, join the two, or make the member a solid board."
        ),
    ),
)

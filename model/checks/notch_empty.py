"""Check `notch-empty`: a notch that no batten of the plan comes to."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import mm, place

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.proportion import can_be_moved
from ..proposals.battens.found_notch import Slot, slots_of
from ..proposals.battens.seat import seats_in
from ..relations.fouls.passing import battens_passing
from .check import Check, Page

_WALLS = 3  # at least: a corner of two is as often a step of the outline
_FILLED = 0.2  # share of it in a neighbour's wood: a joint is no notch
_LARGE = 3.0  # of a batten's long side; what is as large is an opening
_LEAST, _MOST = 0.6, 1.6  # times its side; a notch as far from a batten's size as that is another thing's
_DEEP = 0.25  # of the side that lies that way, by which an open notch may differ from a batten's depth


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every notch that no batten passes through: a note where it is not even like one in size."""
    passing = [c.passage(frame.core_low, frame.core_high) for c in battens_passing(frame, assembly)]
    if not assembly.battens:
        return
    for slot in slots_of(frame, assembly.cutter_diameter, max(batten.arris for batten in assembly.battens)):
        shape = _shape(slot)
        if np.isfinite(slot.walls).sum() != _WALLS or any(shapely.intersects(shape, each) for each in passing):
            continue
        if _is_filled(shape, slot, frame):
            continue
        middle = slot.middle
        fitting = [batten for batten in assembly.battens if _fits(slot, batten) or _runs_on_into(slot, batten)]
        like = [batten for batten in assembly.battens if _is_like(slot, batten)]
        nearest = min(fitting or like or assembly.battens, key=lambda b: (_off(b, frame, middle), b.name))
        if fitting or like or np.all(slot.size < _LARGE * nearest.long):
            yield _finding(slot, shape, nearest, Level.WARNING if fitting or like else Level.NOTE)


def _shape(slot: Slot) -> shapely.Polygon:
    (a, b), (c, d) = slot.ends
    return shapely.Polygon(np.array([(a, c), (b, c), (b, d), (a, d)]) @ slot.axes)


def _fits(slot: Slot, batten: Batten) -> bool:
    return any(
        all(slot.shut(axis) or abs(float(slot.size[axis]) - side) <= _DEEP * side for axis, side in enumerate(s.sides))
        for s in seats_in(slot, batten.long, batten.short)
    )


def _is_like(slot: Slot, batten: Batten) -> bool:
    """Whether a notch might have been meant for the batten and cut amiss."""
    long, short = batten.long, batten.short
    return any(
        all(_LEAST * side <= size <= _MOST * side for side, size in zip(sides, slot.size.tolist(), strict=True))
        for sides in ((long, short), (short, long))
    )


def _runs_on_into(slot: Slot, batten: Batten) -> bool:
    """Whether the batten would come to a notch, of whatever size up to _LARGE, if it ran on."""
    y, v = _centre(batten, slot.frame)
    return slot.apart((float(y), float(v))) <= batten.short and bool(np.all(slot.size < _LARGE * batten.long))


def _is_filled(shape: shapely.Polygon, slot: Slot, frame: Frame) -> bool:
    wood = [part.shape for part in frame.parts if part.face == "core"]
    return bool(shapely.intersection(shapely.union_all(wood), shape).area > _FILLED * shape.area)


def _off(batten: Batten, frame: Frame, middle: NDArray[np.float64]) -> float:
    """How far from the middle of a notch a batten, run on, passes, mm."""
    return float(np.hypot(*(_centre(batten, frame) - middle)))


def _centre(batten: Batten, frame: Frame) -> NDArray[np.float64]:
    """(2,) (y, v) mm: where the middle of a batten, run on, passes a frame."""
    return np.asarray(batten.cuts([frame.placement], [(frame.core_low + frame.core_high) / 2]).centre[0])


def _finding(slot: Slot, shape: shapely.Polygon, nearest: Batten, level: Level) -> Finding:
    frame, part = slot.frame, slot.parts[0]
    y, v = (float(c) for c in slot.middle)
    wide, narrow = sorted(slot.size.tolist(), reverse=True)
    marker = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
    return Finding(
        check="notch-empty",
        level=level,
        message=Sentence.of(
            "no batten comes to the notch of {size} in {part} at {place}: the {batten} is nearest of those that fit, "
            "{off} off"
            if _fits(slot, nearest)
            else "no batten comes to the notch of {size} in {part} at {place}, and none of the boat fits it: the "
            "{batten} passes {off} off, or would if it ran on",
            size=Name(f"{wide:.1f} x {narrow:.1f} mm"),
            part=part,
            place=place(y, v),
            batten=nearest,
            off=mm(_off(nearest, frame, slot.middle)),
        ),
        frame=frame.number,
        at=marker.at((y, v)),
        cure=Sentence.of(
            "{run}name the batten that it is for in the plan, or leave the notch out",
            run=Sentence.of("run the {batten} through it, ", batten=nearest)
            if can_be_moved(nearest.short, _off(nearest, frame, slot.middle))
            else "",
        ),
        source=part.source,
        subjects=subjects(*slot.parts),
        evidence=marker.regions(shape, frame.core_low, frame.core_high),
    )


CHECK = Check(
    slug="notch-empty",
    title="A notch that no batten comes to",
    level=Level.WARNING,
    limits=(),
    page=Page(
        looks_at=(
            "Every notch of three walls in the core that a batten of the boat would fit: as wide as its section to "
            "within 2 mm and what it takes up askew, and about as deep; or of another size, 0.6 to 1.6 times its "
            "sides, or where the batten would come to it if it ran on. If no batten passes through any of it, it is "
            "named, with the batten that passes nearest or would if it ran on. Of quite another size it is a note: it "
            "may be a limber hole. What a neighbour's wood fills is a joint. Holes, and corners of two walls, are not "
            "taken for notches here."
        ),
        matters=(
            "Most often a batten ends a frame too early, lacks in the plan, or was moved without its notch. An empty "
            "notch weakens nothing that is judged here, but the batten that it was cut for is not in the boat."
        ),
        limit="No limit to set: a batten comes to the notch or it does not. Common practice, no source.",
        cure=(
            "Run the batten on through the notch: draw its section there, or set `frames` of the batten in the plan. "
            "Add the batten that is missing to the plan. Or take the notch out of the drawing."
        ),
    ),
    on_frame=check,
)

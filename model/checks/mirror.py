"""Check `mirror`: port and starboard differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

import numpy as np

from scrieve.shared.findings import Finding, Level, Source
from scrieve.shared.tolerances import exceeds

from ..assembly import Assembly
from ..batten import Section
from ..frame import Frame
from ..part import Part
from ..twins import Difference, Twins, difference, swapped, twins
from ..wording import at_least, mm, place, plates, ways
from .check import Check, Page

Pair: TypeAlias = tuple[Part, Part]
Sections: TypeAlias = tuple[Section, Section]
Differing: TypeAlias = list[tuple[list[Pair], Difference]]


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every two parts that differ, every part without a twin, every two battens' places."""
    limit = assembly.limits["mirror"]
    found = twins(frame.parts)
    alike: dict[tuple[int, int], list[Pair]] = {}
    for one, other in (*found.pairs, *((part, part) for part in found.middle)):
        alike.setdefault((id(one.drawn), id(other.drawn)), []).append((one, other))
    drawn = list(alike.values())
    sections = _sections(frame)
    differing = _differing(drawn, limit)
    off_centre = _off_centre(drawn, sections, limit) if len(differing) > 1 else 0.0
    if off_centre:
        yield _beside_the_centreline(frame, drawn, off_centre, limit)
    else:
        for pairs, worst in differing:
            yield _not_mirrored(frame, pairs, worst, limit)
        yield from _battens(frame, assembly, sections, [worst for _, worst in differing], limit)
    # an outline that could not be taken as it stands may be the twin
    if not any(defect.level is Level.ERROR and defect.check == "outline" for defect in frame.defects):
        yield from _without_twin(frame, found)


def _differing(drawn: Sequence[list[Pair]], limit: float, axis: float = 0.0) -> Differing:
    """The pairs that are no mirror images about y = `axis`, those drawn as one together, with the worst place."""
    found = ((pairs, difference(*pairs[0], limit, axis)) for pairs in drawn)
    return [(pairs, worst) for pairs, worst in found if worst is not None]


def _not_mirrored(frame: Frame, pairs: Sequence[Pair], worst: Difference, limit: float) -> Finding:
    ones, others = [one for one, _ in pairs], [other for _, other in pairs]
    itself = pairs[0][0] is pairs[0][1]
    first, second = (plates(part.name for part in parts) for parts in (ones, others))
    mine, its = (first, second) if worst.part in ones else (second, first)
    off = (
        f"{mm(worst.off, limit)} further {ways((0.0, *worst.way))} than {'its other side' if itself else its} mirrored"
    )
    if worst.whole:
        half = at_least(worst.off / 2 if itself else worst.off)
        where = f"all of {mine} lies {off}"
        cure = f"move {mine} {half} {ways((0.0, -worst.way[0], -worst.way[1]))}"
        cure += "" if itself else f", or {its} as far the mirrored way"
    else:
        where = f"at {place(*worst.at)} {mine} lies {off}"
        cure = f"draw one side as the mirror image of the other; the greatest difference is {mm(worst.off)}"
    differ = f"{first} differs from port to starboard" if itself else f"{first} and {second} differ"
    return _finding(
        frame,
        f"{differ}: {where}",
        cure,
        parts={part.name for part in (*ones, *others)},
        at=worst.at,
        measured=worst.off,
        limit=limit,
        source=worst.part.source,
    )


def _off_centre(drawn: Sequence[list[Pair]], sections: Sequence[Sections], limit: float) -> float:
    """How far to port the frame as a whole lies, so that about there it is its own mirror image; 0 if it is not."""
    middles = [(_middle(one) + _middle(other)) / 2 for (one, other), *_ in drawn]
    axis = float(np.median(middles))
    about = [_apart(port, starboard, axis) for port, starboard in sections]
    if (
        not exceeds(2 * abs(axis), limit)
        or any(exceeds(float(np.hypot(*step)), limit) for step in about)
        or _differing(drawn, limit, axis)
    ):
        return 0.0
    return axis


def _middle(part: Part) -> float:
    y = part.drawn.points[:, 0]
    return float(y.min() + y.max()) / 2


def _beside_the_centreline(frame: Frame, drawn: Sequence[list[Pair]], off: float, limit: float) -> Finding:
    way, back = ("to port", "to starboard") if off > 0 else ("to starboard", "to port")
    parts = [part for pairs in drawn for pair in pairs for part in pair]
    low = min(float(part.drawn.points[:, 1].min()) for part in parts)
    return _finding(
        frame,
        f"{frame.name} lies {mm(abs(off))} {way} of the centreline as a whole: port and starboard differ by twice that",
        f"set the frame's origin in the plan {mm(abs(off))} further {way}, or move the drawing as far {back}",
        parts={part.name for part in parts},
        at=(off, low),
        measured=2 * abs(off),
        limit=limit,
        source=frame.source,
    )


def _without_twin(frame: Frame, found: Twins) -> Iterator[Finding]:
    """One finding for every part that is alone; one for all if there is nothing on the other side at all."""
    alike: dict[int, list[Part]] = {}
    for part in found.alone:
        alike.setdefault(id(part.drawn), []).append(part)
    sides = {part.side for part in found.alone}
    if len(alike) > 1 and len(sides) == 1 and not found.pairs:
        (side,) = sides
        at = np.mean([part.drawn.points.mean(axis=0) for part in found.alone], axis=0).tolist()
        yield _finding(
            frame,
            f"nothing of {frame.name} lies to {swapped(side)}, though {len(alike)} parts are drawn to {side}",
            "draw the other half, or set mirror = true for the frame if only half of it is meant to be drawn",
            parts={part.name for part in found.alone},
            at=(at[0], at[1]),
            source=frame.source,
        )
        return
    for parts in alike.values():
        y, v = parts[0].drawn.points.mean(axis=0).tolist()
        names = plates(part.name for part in parts)
        other = swapped(parts[0].side)
        yield _finding(
            frame,
            f"{names} has no twin to {other}",
            f"draw the mirror image to {other}; if it is meant to be on one side only, waive this",
            parts={part.name for part in parts},
            at=(y, v),
            source=parts[0].source,
        )


def _sections(frame: Frame) -> list[Sections]:
    """The sections of battens that are on both sides, port and starboard."""
    by_name = {section.batten: section for section in frame.sections}
    others = ((section, by_name.get(swapped(name))) for name, section in by_name.items() if "starboard" not in name)
    return [(section, other) for section, other in others if other is not None and other is not section]


def _apart(port: Section, starboard: Section, axis: float = 0.0) -> tuple[float, float]:
    """How far the port section lies off the mirror image of the starboard one about y = `axis`, (y, v)."""
    return port.centre[0] + starboard.centre[0] - 2 * axis, port.centre[1] - starboard.centre[1]


def _battens(
    frame: Frame, assembly: Assembly, sections: Sequence[Sections], told: Sequence[Difference], limit: float
) -> Iterator[Finding]:
    """One finding for every two sections that differ, unless a part that differs there says it with its notch."""
    long = {batten.name: batten.long for batten in assembly.battens}
    places = [worst.at for worst in told if worst.part.face == "core"]
    for port, starboard in sections:
        step = _apart(port, starboard)
        off = float(np.hypot(*step))
        apart = [np.hypot(*np.subtract(at, s.centre)) for at in places for s in (port, starboard)]
        if not exceeds(off, limit) or min(apart, default=np.inf) <= long.get(port.batten, 0.0):
            continue
        yield _finding(
            frame,
            f"the {port.batten} and the {starboard.batten} differ in {frame.name}: the {port.batten} "
            f"lies {mm(off, limit)} further {ways((0.0, *step))} than the other mirrored",
            f"move the {port.batten} {at_least(off)} {ways((0.0, -step[0], -step[1]))}, or the {starboard.batten} as "
            "far the mirrored way, with its notch",
            parts={port.batten, starboard.batten},
            at=port.centre,
            measured=off,
            limit=limit,
            source=port.source,
        )


def _finding(
    frame: Frame,
    message: str,
    cure: str,
    *,
    parts: set[str],
    at: tuple[float, float],
    measured: float | None = None,
    limit: float | None = None,
    source: Source | None,
) -> Finding:
    return Finding(
        check="mirror",
        level=Level.WARNING,
        message=message,
        frame=frame.number,
        parts=tuple(sorted(parts)),
        at=frame.placement.point(*at, (frame.core_low + frame.core_high) / 2),
        measured=measured,
        limit=limit,
        unit="" if measured is None else "mm",
        cure=cure,
        source=source,
    )


CHECK = Check(
    slug="mirror",
    title="Port and starboard differ",
    level=Level.WARNING,
    limits=("mirror",),
    on_frame=check,
    page=Page(
        looks_at=(
            "The parts of every frame two by two: those on the same face whose labels differ by port and starboard "
            "only, else those whose shapes lie over one another best. Each corner of one outline, as drawn, is "
            "measured against the mirror image of the other. What lies across the centreline is held against itself. "
            "So are the sections of battens on both sides. Legs are for `leg-pair`; screws and dowels are left out, "
            "since they may stand apart on purpose."
        ),
        matters=(
            "A notch moved on one side only fits its batten perfectly, so no other check sees it: the hull comes off "
            "the strongback with a twist that nothing takes out again."
        ),
        limit=(
            "mirror, 0.1 mm. Common practice, no source: well over what rounding in a drawing gives, under what "
            "anybody draws on purpose. It is a warning: a boat that is not the same on both sides still goes "
            "together, and may be meant so. What does not go together because of it is an error of the check concerned."
        ),
        cure=(
            "Find out which side is right, and draw the other as its mirror image; with mirror = true one half is "
            "enough. Waive what is meant to differ, such as a knee on one side. If a whole frame lies off the "
            "centreline, its origin is wrong."
        ),
    ),
)

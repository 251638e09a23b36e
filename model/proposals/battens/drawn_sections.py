"""How sections are drawn: in their true size or as a frame's plane cuts them, and turned which way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Measure
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import WALL_REACH

from ...boat.batten import Batten, Section
from ...boat.defect import Defect
from ...boat.frame import Frame
from ...plan.plan import Plan
from ...relations.notches.notch import crossings, walls
from .batten_names import batten_kind
from .batten_sections import SIZE_PLAY, sides_of

_CLOSER = 0.2  # mm; by less no notch tells how a section in it is turned, as for notch-foul

_UNSURE = 0.1  # of what a slope makes a cut longer: where a batten ends its slope is not known better

Values = NDArray[np.float64]


def turned_as_drawn(batten: Batten, frames: Sequence[Frame]) -> Batten:
    """The batten with each section of a raked frame read as seen along the batten where the notch fits it better so.

    The turn of a rectangle of true size may be drawn as the frame's plane cuts the batten, or square to it.
    """
    for n, (section, placement) in enumerate(zip(batten.sections, batten.placements, strict=True)):
        if section.drawn is None or not placement.rake or _off(section, (batten.long, batten.short)) > SIZE_PLAY:
            continue
        frame = next(each for each in frames if each.number == section.frame)
        square = [*batten.sections[:n], replace(section, square=True), *batten.sections[n + 1 :]]
        other = replace(batten, sections=tuple(square))
        if _out_of_notch(other, frame) < _out_of_notch(batten, frame) - _CLOSER:
            batten = other
    return batten


def sizes_compared(plan: Plan, frames: Iterable[Frame], battens: Iterable[Batten], times: float = 1.0) -> list[Frame]:
    """The frames, with a defect for every drawn section that is neither of the plan's size nor of that as cut.

    `times` is how many times too large the plan's own are. A batten that cannot be followed counts as one along the
    boat.
    """
    cut: dict[tuple[str, str], tuple[Values, Values]] = {}
    for batten in battens:
        planes = batten.cuts(batten.placements, np.zeros(len(batten.placements)))
        for section, long, short in zip(batten.sections, planes.long, planes.short, strict=True):
            cut[batten.name, section.frame] = long, short
    out = []
    for frame in frames:
        told = (_size_told(plan, frame, section, cut.get((section.batten, frame.number)), times)
                for section in frame.sections if section.drawn is not None)  # fmt: skip
        defects = [defect for defect in told if defect is not None]
        out.append(replace(frame, defects=(*frame.defects, *defects)) if defects else frame)
    return out


def _size_told(
    plan: Plan, frame: Frame, section: Section, cut: tuple[Values, Values] | None, times: float
) -> Defect | None:
    kind = batten_kind(plan, section.batten)
    if kind is None or section.drawn is None:
        return None
    long, short, angle = sides_of(section.drawn)
    true_long, true_short = (side / times for side in sorted(plan.battens[kind].section, reverse=True))
    axes = np.array([(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))])
    upright = np.hypot(axes[:, 0], axes[:, 1] * np.cos(frame.placement.rake))  # as a batten along the boat is cut
    sizes = [(true_long, true_short), (true_long / upright[0], true_short / upright[1])]
    off = min(_off(section, size) for size in sizes)
    if cut is not None:
        wide, tall = (np.abs(axes @ way) * side for way, side in zip(cut, (true_long, true_short), strict=True))
        longer = float(np.max(wide + tall - sizes[0]))
        off = min(off, max(0.0, _off(section, tuple((wide + tall).tolist())) - _UNSURE * longer))
    if off <= SIZE_PLAY:
        return None
    return Defect(
        message=Sentence.of(
            "the section of the {batten} is drawn {drawn}, the plan says {wanted}",
            batten=Name(section.batten),
            drawn=Name(f"{long:.1f} x {short:.1f} mm"),
            wanted=Name(f"{true_long:.1f} x {true_short:.1f} mm"),
        ),
        source=section.source,
        at=section.centre,
        measure=Measure(value=off, limit=SIZE_PLAY),
        cure=Sentence.of(
            "draw it {wanted}, or change battens.{kind}.section in the plan",
            wanted=Name(f"{true_long:g} x {true_short:g} mm"),
            kind=Name(kind),
        ),
        edits=plan.keys.set(("battens", kind), "section", [round(long, 2), round(short, 2)]),
        span=_too_large(section.centre, (long, short), (true_long, true_short), angle),
        drawn=(tuple((float(y), float(v)) for y, v in shapely.get_coordinates(section.drawn.polygon())),),
    )


def _off(section: Section, size: tuple[float, ...]) -> float:
    """By how much a side of a drawn section is longer or shorter, mm."""
    assert section.drawn is not None
    return max(abs(a - b) for a, b in zip(sides_of(section.drawn), size, strict=False))


def _out_of_notch(batten: Batten, frame: Frame) -> float:
    """How far the batten bites into the walls of its notch in a frame or stands off them, at the worst of them, mm."""
    found = [
        abs(wall.gap)
        for crossing in crossings(batten, (frame,))
        for wall in walls(crossing, frame.core, frame.core_low, frame.core_high)
    ]
    return max(found, default=WALL_REACH * batten.short)


def _too_large(
    middle: tuple[float, float], drawn: tuple[float, float], wanted: tuple[float, float], angle: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the side that is drawn most off ends, and where it would if it began at the same place, (y, v)."""
    off = np.subtract(wanted, drawn)
    side = int(np.argmax(np.abs(off)))
    way = np.array([np.cos(angle), np.sin(angle)] if side == 0 else [-np.sin(angle), np.cos(angle)])
    end = np.array(middle) + way * drawn[side] / 2
    other = end + way * off[side]
    return (float(end[0]), float(end[1])), (float(other[0]), float(other[1]))

"""Check `fair`: a batten's position at one station is off the fair curve through the others."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Mark, Place
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import exceeds
from scrieve.shared.units import STEPS
from scrieve.shared.wording import at_most, formatted, joined, listed, mm, place, ways

from ..boat.assembly import Assembly
from ..boat.batten import Batten, Section
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.proportion import can_stand_at
from ..relations.battens.bending import worst_bend
from ..relations.battens.copied import Copied, copied_frames
from ..relations.battens.fairness import doubled_back
from ..relations.battens.off_curve import (
    hidden_bumps,
    in_plane,
    is_beside,
    is_doubtful,
    off_together,
    strays_of,
    through_others,
    wander,
)
from ..relations.battens.stations import Misplaced, misplaced
from ..relations.fouls.passing import battens_passing
from ..relations.notches.notch import crossings
from ..relations.notches.notch_edits import section_moved
from .check import Check, Page


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every frame where the batten is off the fair curve; a note of what could not be told.

    What is off by no more than the offsets of so long a boat may wander is a note too. Of frames that are left aside
    it is told already what is wrong.
    """
    limit = assembly.limits["fair"]
    copied = copied_frames(assembly, limit)
    beside = frozenset[str]().union(*(each.beside for each in copied))
    here = {frame.number for frame in assembly.frames} - beside
    found = [stray for stray in strays_of(batten, limit) if batten.sections[stray.index].frame in here]
    wrong = misplaced(assembly.battens, limit, assembly.limits["bend"]) if is_doubtful(assembly) else ()
    wrong = tuple(each for each in wrong if each.frame in here)
    yield from (_copied(each, limit) for each in copied if each.offs[0][0] is batten)
    own = [each for each in wrong if batten in dict(each.offs)]
    for each in own:
        if each.shift is None and not found:
            index = [section.frame for section in batten.sections].index(each.frame)
            yield _off(assembly, batten, index, np.array(dict(each.offs)[batten]), limit, each.rivals, sure=False)
        elif each.shift is not None and each.offs[0][0] is batten:
            yield _misplaced(assembly, each, each.shift, limit)
    most = wander(assembly)
    for stray in found:
        frame = batten.sections[stray.index].frame
        if stray.distance <= most or any(is_beside(batten, stray.index, each) for each in wrong):
            continue
        together = off_together(assembly, frame, limit)
        if together is None:
            yield _off(assembly, batten, stray.index, np.array(stray.off), limit, _named(batten, stray.rivals))
        elif together[0].offs[0][0] is batten:
            yield _misplaced(assembly, *together, limit)
    bump = None if found or own else doubled_back(batten.centres[:, 0], batten.centres[:, 1:], most)
    if bump is not None and batten.sections[bump].frame in here:
        yield _off(assembly, batten, bump, batten.centres[bump, 1:] - through_others(batten, bump)[0], limit, ())
    yield from _wandering(batten, assembly, limit)
    yield from _untold(batten, assembly, limit)


def _copied(copied: Copied, limit: float) -> Finding:
    """The error on a frame with the drawing of another."""
    frame, other, battens = copied.frame, copied.other, [batten for batten, _ in copied.offs]
    batten, off = copied.offs[0]
    section = next(section for section in batten.sections if section.frame == frame.number)
    mark = Marker(frame=frame)
    return Finding(
        check="fair",
        level=Level.ERROR,
        message=Sentence.of(
            "{frame} is drawn as {other} is, line for line, and there {battens} are off the curves through their other "
            "frames by up to {off}",
            frame=frame, other=other, battens=listed(each.name for each in battens), off=mm(off, limit),
        ),
        frame=frame.number,
        at=mark.at(section.centre),
        cure=Sentence.of(
            "look whether the drawing of {frame} is its own, and which of the two stations it fits; how the battens "
            "lie about {frame} is told when that is right",
            frame=frame,
        ),
        source=frame.source,
        subjects=subjects(frame, other, *battens),
        evidence=tuple(line for part in frame.core for line in mark.outlines(part)),
    )  # fmt: skip


def _named(batten: Batten, rivals: Iterable[tuple[int, float]]) -> tuple[tuple[str, float], ...]:
    return tuple((batten.sections[i].frame, away) for i, away in rivals)


def _misplaced(assembly: Assembly, wrong: Misplaced, shift: float, limit: float) -> Finding:
    """The finding on a frame whose station puts all its battens off."""
    batten, off = wrong.offs[0]
    distance = float(np.hypot(*off))
    index = next(n for n, section in enumerate(batten.sections) if section.frame == wrong.frame)
    section, placement = batten.sections[index], batten.placements[index]
    x, y, z = placement.point(*section.centre)
    step = STEPS[assembly.keys.unit]
    there = round((placement.station + shift) / step) * step
    frame = next(frame for frame in assembly.frames if frame.number == section.frame)
    is_credible = can_stand_at(frame, there, assembly.frames)
    rake = Sentence.of("whether the rake of {frame}, or of the frames about it, is right, or ", frame=frame)
    off_there = [each for each in assembly.battens if each in dict(wrong.offs)]
    return Finding(
        check="fair",
        level=Level.ERROR,
        message=Sentence.of(
            "{battens} are off the fair curves through their other frames in {frame}, by up to {off}, up to {limit} "
            "is allowed: all would be fair with the frame about {shift} further {way}",
            battens=listed(each.name for each in off_there),
            frame=_frame_name(section),
            off=mm(distance, limit),
            limit=mm(limit, distance),
            shift=Quantity.of(abs(shift), f"{abs(shift):.0f} mm"),
            way="forward" if shift > 0 else "aft",
        ),
        frame=section.frame,
        at=(x, y, z),
        cure=Sentence.of(
            "look {belongs}whether {frame} is the drawing of another station; how these battens lie in the frames "
            "about it is told when that is right",
            frame=_frame_name(section),
            belongs=Sentence.of(
                "whether {frame} belongs at station {there}, not {here}, or ",
                frame=_frame_name(section),
                there=Quantity.of(there, f"{there:g}"),
                here=Quantity.of(placement.station, f"{placement.station:g}"),
            )
            if is_credible
            else rake
            if any(each.placement.rake for each in assembly.frames)
            else "",
        ),
        edits=assembly.keys.set(frame.source, "station", there) if is_credible else (),
        source=section.source,
        subjects=subjects(batten, *off_there),
        measure=Measure(value=distance, limit=limit),
        evidence=_marks(assembly, batten, section, (x, y - off[0], z - off[1])),
    )


def _off(
    assembly: Assembly,
    batten: Batten,
    index: int,
    off: NDArray[np.float64],
    limit: float,
    rivals: Iterable[tuple[str, float]],
    *,
    sure: bool = True,
) -> Finding:
    """The finding at one section, `off` (y, z) hull axes at the section's x; `rivals` might be off in its stead.

    Where it is not `sure` it is known by how tightly it bends the batten.
    """
    section, placement = batten.sections[index], batten.placements[index]
    by = in_plane(batten, index, off)
    distance = float(np.hypot(*by))
    y, v = section.centre
    others: list[Sentence | Name] = [
        Sentence.of("{frame} by {off}", frame=Name(f"F{frame}"), off=mm(away)) for frame, away in rivals
    ]
    if not sure:
        others.append(Name("meant so"))
    return Finding(
        check="fair",
        level=Level.ERROR,
        message=Sentence.of(
            "the {batten} is {about}{off} off the fair curve through its other frames in {frame}{perhaps}, up to "
            "{limit} is allowed{bent}",
            batten=batten,
            about="" if sure else "about ",
            bent="" if sure else _bent(batten, assembly.limits["bend"]),
            off=mm(distance, limit),
            frame=_frame_name(section),
            perhaps=Sentence.of(", unless it is {others}", others=joined(others, " or ", " or ")) if others else "",
            limit=mm(limit, distance),
        ),
        frame=section.frame,
        at=placement.point(y, v),
        cure=Sentence.of(
            "move its section and its notch in {frame} {by} {way}, from {here} to {there}{else_}",
            frame=_frame_name(section),
            by=at_most(distance),
            way=ways(placement.vector_to_hull([(-by[0], -by[1], 0.0)])[0]),
            here=place(y, v),
            there=place(y - by[0], v - by[1]),
            else_="" if sure else "; how it lies in the frames about that is told when it is right",
        ),
        edits=_moved(assembly, batten, section, (float(-by[0]), float(-by[1]))),
        source=section.source,
        subjects=subjects(batten),
        measure=Measure(value=distance, limit=limit),
        evidence=_marks(assembly, batten, section, placement.point(y - by[0], v - by[1])),
    )


def _bent(batten: Batten, limit: float) -> Sentence:
    bend = worst_bend(batten, limit)
    return Sentence.of(
        ": by that alone it is bent to {ratio} times its thickness, and its stock is easy at {least}",
        ratio=formatted(bend.ratio, bend.least, least=0),
        least=formatted(bend.least, bend.ratio, least=0),
    )


def _moved(assembly: Assembly, batten: Batten, section: Section, by: tuple[float, float]) -> tuple[Edit, ...]:
    crossing = next(each for each in crossings(batten, assembly.frames) if each.section is section)
    return section_moved(crossing, by)


def _marks(assembly: Assembly, batten: Batten, section: Section, fair: Place) -> tuple[Mark, ...]:
    """From where the batten is to where it would be fair (hull axes), and the batten there, as thick as the core."""
    frame = next(frame for frame in assembly.frames if frame.number == section.frame)
    marker = Marker(frame=frame)
    y, v, w = frame.placement.to_frame([fair])[0]
    span = marker.span((*section.centre, 0.0), (y, v, w))
    by = np.subtract((y, v), section.centre)
    low, high = frame.core_low, frame.core_high
    there = [
        marker.ghost(shapely.transform(crossing.passage(low, high), lambda points: points + by), low, high)
        for crossing in battens_passing(frame, assembly)
        if crossing.batten is batten
    ]
    return span, marker.arrow([(*section.centre, high), (y, v, w + high)]), *there


def _frame_name(section: Section) -> Name:
    return Name(f"F{section.frame}")


def _wandering(batten: Batten, assembly: Assembly, limit: float) -> Iterator[Finding]:
    """The one note on all that is off by no more than the table of so long a boat may be; with the worst batten."""
    most = wander(assembly)
    if not exceeds(most, limit):
        return
    here = {frame.number for frame in assembly.frames}
    little = [
        (stray.distance, each, stray)
        for each in assembly.battens
        for stray in strays_of(each, limit)
        if stray.distance <= most and each.sections[stray.index].frame in here
    ]
    distance, worst, stray = max(little, key=lambda one: one[0], default=(0.0, None, None))
    if worst is not batten or stray is None:
        return
    section, placement = batten.sections[stray.index], batten.placements[stray.index]
    x, y, z = placement.point(*section.centre)
    there = (x, y - stray.off[0], z - stray.off[1])
    yield Finding(
        check="fair",
        level=Level.NOTE,
        message=Sentence.of(
            "up to {off} of wander about fair curves in {battens}, the most in the {batten} in {frame}: more than "
            "{limit}, and no more than the {most} that a table of offsets of so long a boat may have",
            battens=_names(list(dict.fromkeys(each for _, each, _ in little))),
            off=mm(distance, limit),
            batten=batten,
            frame=_frame_name(section),
            limit=mm(limit, distance),
            most=mm(most, distance),
        ),
        frame=section.frame,
        at=(x, y, z),
        cure="leave the table as it is; sight along the battens on the strongback and shim or plane what shows",
        source=section.source,
        subjects=subjects(batten, *dict.fromkeys(each for _, each, _ in little if each is not batten)),
        measure=Measure(value=distance, limit=limit),
        evidence=_marks(assembly, batten, section, there),
    )


def _untold(batten: Batten, assembly: Assembly, limit: float) -> Iterator[Finding]:
    """The one note on all battens of which not every bump can be told; it goes with the first of them."""
    bend = assembly.limits["bend"]
    coarse = [each for each in assembly.battens if len(each.sections) > 2 and hidden_bumps(each, limit, bend)]
    if not coarse or coarse[0] is not batten:
        return
    worst: dict[str, dict[str, float]] = {}
    for each in coarse:
        own = worst.setdefault(each.kind, {})
        for frame, bump in hidden_bumps(each, limit, bend).items():
            own[frame] = max(bump, own.get(frame, 0.0))
    said = [
        Sentence.of(
            "in the {kind} {where}",
            kind=Name(kind),
            where=joined([_unseen(f, own[f.number]) for f in assembly.frames if f.number in own]),
        )
        for kind, own in worst.items()
    ]
    yield Finding(
        check="fair",
        level=Level.NOTE,
        message=Sentence.of(
            "the frames are too few or too far apart to tell every bump of {limit} from a fair curve; unseen may pass, "
            "{said}",
            limit=mm(limit),
            said=joined(said, "; ", "; "),
        ),
        source=assembly.source,
        subjects=subjects(*coarse),
    )


def _names(battens: Sequence[Batten]) -> Name:
    """ "the keel, chine and sheer": by kind, both sides at once."""
    return Name(f"the {joined(list(dict.fromkeys(batten.kind for batten in battens)))}")


def _unseen(frame: Frame, bump: float) -> Sentence:
    """What may pass unseen in a frame; of what is not bent at all there is no end to it."""
    if not math.isfinite(bump):
        return Sentence.of("any in {frame}", frame=frame)
    return Sentence.of("{bump} in {frame}", bump=Quantity.of(bump, f"{math.ceil(bump)} mm"), frame=frame)


CHECK = Check(
    slug="fair",
    title="A batten is not fair",
    level=Level.ERROR,
    limits=("fair",),
    rests_on="curve",
    page=Page(
        looks_at=(
            "Every batten at every frame that shows its section. The section is left out and the fairest curve drawn "
            "through the others, three to each side: the curve whose turning changes most evenly. How far off it the "
            "section lies is measured in the frame's plane. A few frames far apart do not pin a fair curve down, least "
            "at its ends; how far one may stray between them is estimated from the same frames and comes on top "
            "of the limit, so that a fair hull is silent, and no curve can be drawn through fewer than seven frames. "
            "Where another frame might be the one that is off, the finding names both. From six frames on each frame "
            "is also tried at other stations: where all battens together would run ten times easier then, that is the "
            "one finding. A batten that is bent past its stock, and would be neither that nor a third as stiff without "
            "one of its sections, is off there, and `bend` says nothing of it. A batten that turns one way at a frame "
            "and the other way at both frames beside it, each beyond the limit, is reported whatever the curve. A note "
            "says for every batten and frame how large a bump may pass unseen."
        ),
        matters=(
            "The eye finds a bump of 3 mm from across the yard, and the planking shows it for ever. On the strongback "
            "the batten can be shimmed or the notch deepened; in the drawing it is a number."
        ),
        limit=(
            "fair, 3 mm, in the frame's plane. Common practice, no source. The measure is a spline's (the integral of "
            "the square of the fourth derivative, least), the allowance 1.5 to 6 standard errors of it, found on "
            "parabolas, cubics, exponentials and circles. In a boat of more than 4.5 m what is off by no "
            "more than 2 mm to three metres of her length is a note: so far a table of offsets may wander."
        ),
        cure=(
            "Move the notch and the section together to the place that is named, or look for the slip that put them "
            "there: an offset read from the row beside it, the other face of the ply. Where battens of several kinds "
            "are off in one frame and all would be fair if it stood elsewhere, one finding names that station, and "
            "what its battens do to notches and bends about it is not told before it is right. So is a frame that is "
            "drawn as another, line for line, where battens do not run fair through both."
        ),
    ),
    on_batten=check,
)

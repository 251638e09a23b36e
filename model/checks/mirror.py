"""Check `mirror`: port and starboard differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure, Source, Subject
from scrieve.shared.marks import Ghost, Mark
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import exceeds
from scrieve.shared.wording import at_least, mm, place, plates, ways

from ..boat.assembly import Assembly
from ..boat.batten import Batten, Section
from ..boat.editing import add_outline, move
from ..boat.evidence import Marker, seen_face, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.pocket import Pocket
from ..geometry.outline import Outline
from ..geometry.plane import mirrored
from ..relations.fouls.passing import battens_passing
from ..relations.notches.notch_edits import section_moved
from ..relations.off_centre import OffCentre, boards_joined, lone, lone_openings, over_joints_of, without
from ..relations.twins import Difference, Twins, difference, swapped, twins, without_image
from .check import Check, Page

Pair: TypeAlias = tuple[Part, Part]
Sections: TypeAlias = tuple[Section, Section]
Differing: TypeAlias = list[tuple[list[Pair], Difference]]


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every two parts that differ, every part without a twin, every two battens' places."""
    limit = assembly.limits["mirror"]
    boards = dict(boards_joined(frame))
    joined = {part for members in boards.values() for part in members}
    left_out = joined | over_joints_of(joined, frame.parts, frame) if joined else joined
    found = twins([*(part for part in frame.parts if part not in left_out), *boards])
    meant = [each for part in found.middle for each in _meant_so(part)]
    alone = {each.part for each in meant if each.shape is each.part.drawn_shape}
    middle = [
        without(part, [each for each in meant if each.part is part]) for part in found.middle if part not in alone
    ]
    alike: dict[tuple[Outline, Outline], list[Pair]] = {}
    for one, other in (*found.pairs, *((part, part) for part in middle)):
        alike.setdefault((one.drawn, other.drawn), []).append((one, other))
    drawn = list(alike.values())
    sections = _sections(frame)
    differing = _differing(drawn, limit)
    off_centre = _off_centre(drawn, sections, limit) if len(differing) > 1 else 0.0
    if off_centre:
        yield _beside_the_centreline(frame, assembly, drawn, off_centre, limit)
    else:
        for pairs, worst in differing:
            yield _not_mirrored(frame, pairs, worst, limit)
        for one, other in (pair for pairs in drawn for pair in pairs):
            if (lone := without_image(one, other, limit)) is not None:
                yield _lone_pocket(frame, *lone, other if lone[0] is one else one)
        yield from _battens(frame, assembly, sections, [worst for _, worst in differing], limit)
    # an outline that could not be taken as it stands may be the twin
    if not any(defect.level is Level.ERROR and defect.check == "outline" for defect in frame.defects):
        yield from _without_twin(frame, assembly, found)
    yield from _off_on_purpose(frame, meant)


def _meant_so(part: Part) -> list[OffCentre]:
    """What of a part over the centreline lies so far off it, and so alone, that it is meant to."""
    itself = lone(part)
    return lone_openings(part) if itself is None else [itself]


def _off_on_purpose(frame: Frame, meant: Sequence[OffCentre]) -> Iterator[Finding]:
    """A note for each, one for plates that are drawn once for both faces."""
    alike: dict[tuple[Source, float], list[OffCentre]] = {}
    for each in meant:
        alike.setdefault((each.part.source, round(each.off, 6)), []).append(each)
    for these in alike.values():
        first = these[0]
        y, v = shapely.get_coordinates(shapely.centroid(first.shape.envelope))[0].tolist()
        itself = first.shape is first.part.drawn_shape
        yield _finding(
            frame,
            Sentence.of(
                "{parts} lies {off} {way} of the centreline, and nothing like it on the other side: taken as meant so"
                if itself
                else "{parts} has an opening {off} {way} of the centreline, and none like it on the other side: taken "
                "as meant so",
                parts=plates(each.part.name for each in these),
                off=mm(abs(first.off)),
                way=Name("to port" if first.off > 0 else "to starboard"),
            ),
            "",
            about=[each.part for each in these],
            at=(y, v),
            measured=abs(first.off),
            source=first.part.source,
            evidence=[Marker(frame=frame, w=seen_face(first.part)).span((0.0, v), (first.off, v))],
            level=Level.NOTE,
        )


def _differing(drawn: Sequence[list[Pair]], limit: float, axis: float = 0.0) -> Differing:
    """The pairs that are no mirror images about y = `axis`, those drawn as one together, with the worst place."""
    found = ((pairs, difference(*pairs[0], limit, axis)) for pairs in drawn)
    return [(pairs, worst) for pairs, worst in found if worst is not None]


def _not_mirrored(frame: Frame, pairs: Sequence[Pair], worst: Difference, limit: float) -> Finding:
    ones, others = [one for one, _ in pairs], [other for _, other in pairs]
    itself = pairs[0][0] is pairs[0][1]
    first, second = (plates(part.name for part in parts) for parts in (ones, others))
    is_first = worst.part in ones
    mine, its = (first, second) if is_first else (second, first)
    off = Sentence.of(
        "{off} further {way} than {other} mirrored",
        off=mm(worst.off, limit),
        way=ways((0.0, *worst.way)),
        other="its other side" if itself else its,
    )
    edits: tuple[Edit, ...] = ()
    if worst.whole:
        by = at_least(worst.off / 2 if itself else worst.off)
        centre = worst.part.shape.centroid
        y, v = np.subtract((centre.x, centre.y), np.multiply(worst.way, by.value)).tolist()
        edits = move(frame, worst.part, (y, v))
        where = Sentence.of("all of {mine} lies {off}", mine=mine, off=off)
        cure = Sentence.of(
            "move {mine} {half} {way}{too}",
            mine=mine,
            half=by,
            way=ways((0.0, -worst.way[0], -worst.way[1])),
            too="" if itself else Sentence.of(", or {its} as far the mirrored way", its=its),
        )
    else:
        where = Sentence.of("at {place} {mine} lies {off}", place=place(*worst.at), mine=mine, off=off)
        cure = Sentence.of(
            "draw one side as the mirror image of the other; the greatest difference is {off}", off=mm(worst.off)
        )
    differ = (
        Sentence.of("{first} differs from port to starboard", first=first)
        if itself
        else Sentence.of("{first} and {second} differ", first=first, second=second)
    )
    images = [
        line
        for one, other in pairs
        for mine_, twin in [(one, other) if is_first else (other, one)]
        for line in Marker(frame=frame, w=seen_face(mine_)).lines(mirrored(twin.shape))
    ]
    return _finding(
        frame,
        Sentence.of("{differ}: {where}", differ=differ, where=where),
        cure,
        about=(worst.part, *ones, *others),
        at=worst.at,
        measured=worst.off,
        limit=limit,
        source=worst.part.source,
        evidence=[_marker(frame).span(*worst.span), *images],
        edits=edits,
    )


def _lone_pocket(frame: Frame, part: Part, pocket: Pocket, twin: Part) -> Finding:
    y, v = shapely.get_coordinates(pocket.shape.representative_point())[0].tolist()
    mark = Marker(frame=frame, w=part.high if pocket.face == "forward" else part.low)
    return _finding(
        frame,
        Sentence.of(
            "{part} has a pocket {depth} deep in its {face} face at {place}, and {twin} none that is its mirror image",
            part=part,
            depth=mm(pocket.depth),
            face=pocket.face,
            place=place(y, v),
            twin="its other side" if twin is part else Name(twin.name),
        ),
        "draw one side as the mirror image of the other; if it is meant to be on one side only, waive this",
        about=tuple(dict.fromkeys((part, twin))),
        at=(y, v),
        source=pocket.source,
        evidence=[*mark.lines(pocket.shape, drawn=True), *mark.lines(mirrored(pocket.shape))],
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


def _beside_the_centreline(
    frame: Frame, assembly: Assembly, drawn: Sequence[list[Pair]], off: float, limit: float
) -> Finding:
    way, back = ("to port", "to starboard") if off > 0 else ("to starboard", "to port")
    parts = [part for pairs in drawn for pair in pairs for part in pair]
    low = min(float(part.drawn.points[:, 1].min()) for part in parts)
    high = max(float(part.drawn.points[:, 1].max()) for part in parts)
    marker = _marker(frame)
    return _finding(
        frame,
        Sentence.of(
            "{frame} lies {off} {way} of the centreline as a whole: port and starboard differ by twice that",
            frame=frame,
            off=mm(abs(off)),
            way=Name(way),
        ),
        Sentence.of(
            "set the frame's origin in the plan {off} further {way}, or move the drawing as far {back}",
            off=mm(abs(off)),
            way=Name(way),
            back=Name(back),
        ),
        about=parts,
        at=(off, low),
        measured=2 * abs(off),
        limit=limit,
        source=frame.source,
        evidence=[
            marker.span((off, low), (-off, low)),
            marker.line([(off, low), (off, high)], words="its own middle"),
            marker.line([(0.0, low), (0.0, high)], words="centreline"),
        ],
        edits=assembly.keys.set(
            frame.source, "origin", np.multiply(frame.view.point((off, 0.0)), frame.view.scale).tolist()
        ),
    )


def _without_twin(frame: Frame, assembly: Assembly, found: Twins) -> Iterator[Finding]:
    """One finding for every part that is alone; one for all if there is nothing on the other side at all."""
    alike: dict[Outline, list[Part]] = {}
    for part in found.alone:
        alike.setdefault(part.drawn, []).append(part)
    sides = {part.side for part in found.alone}
    if len(alike) > 1 and len(sides) == 1 and not found.pairs and not found.middle:
        (side,) = sides
        at = np.mean([part.drawn.points.mean(axis=0) for part in found.alone], axis=0).tolist()
        yield _finding(
            frame,
            Sentence.of(
                "nothing of {frame} lies to {other}, though {count} parts are drawn to {side}",
                frame=frame,
                other=Name(swapped(side)),
                count=Quantity.of(len(alike), str(len(alike))),
                side=Name(side),
            ),
            "draw the other half, or set mirror = true for the frame if only half of it is meant to be drawn",
            about=found.alone,
            at=(at[0], at[1]),
            source=frame.source,
            evidence=[*_marker(frame).images(found.alone)],
            edits=assembly.keys.set(frame.source, "mirror", True),
        )
        return
    for parts in alike.values():
        y, v = parts[0].drawn.points.mean(axis=0).tolist()
        other = Name(swapped(parts[0].side))
        yield _finding(
            frame,
            Sentence.of("{parts} has no twin to {other}", parts=plates(part.name for part in parts), other=other),
            Sentence.of(
                "draw the mirror image to {other}; if it is meant to be on one side only, waive this", other=other
            ),
            about=parts,
            at=(y, v),
            source=parts[0].source,
            evidence=[*_marker(frame).images(parts)],
            edits=_image_drawn(frame, parts),
        )


def _image_drawn(frame: Frame, parts: Sequence[Part]) -> tuple[Edit, ...]:
    """The mirror image on the same layer, where that makes all of these parts and no other."""
    drawn = parts[0]
    if any(part.source == drawn.source and part not in parts for part in frame.parts):
        return ()
    return add_outline(frame, drawn.source, drawn.drawn.mirrored(), swapped(drawn.label))


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
    battens = {batten.name: batten for batten in assembly.battens}
    places = [worst.at for worst in told if worst.part.face == "core"]
    for port, starboard in sections:
        step = _apart(port, starboard)
        off = float(np.hypot(*step))
        apart = [np.hypot(*np.subtract(at, s.centre)) for at in places for s in (port, starboard)]
        found = port.drawn is None and starboard.drawn is None
        if found and not _held_alike(battens.get(port.batten), battens.get(starboard.batten)):
            continue  # where it lies in its notch goes by its course, and one of the two has another
        reach = battens[port.batten].long if port.batten in battens else 0.0
        if not exceeds(off, limit) or min(apart, default=np.inf) <= reach:
            continue
        names, by = (Name(port.batten), Name(starboard.batten)), at_least(off)
        crossing = next((each for each in battens_passing(frame, assembly) if each.section is port), None)
        back = -step[0] * by.value / off, -step[1] * by.value / off
        yield _finding(
            frame,
            Sentence.of(
                "the {port} and the {starboard} differ in {frame}: the {port} lies {off} further {way} than the other "
                "mirrored",
                port=names[0],
                starboard=names[1],
                frame=frame,
                off=mm(off, limit),
                way=ways((0.0, *step)),
            ),
            Sentence.of(
                "move the {port} {by} {way}, or the {starboard} as far the mirrored way, with its notch",
                port=names[0],
                by=by,
                way=ways((0.0, -step[0], -step[1])),
                starboard=names[1],
            ),
            about=[Subject(kind="batten", name=name) for name in names],
            at=port.centre,
            measured=off,
            limit=limit,
            source=port.source,
            evidence=[
                _marker(frame).span(port.centre, np.subtract(port.centre, step)),
                *_image(frame, assembly, starboard.batten),
            ],
            edits=() if crossing is None else section_moved(crossing, back),
        )


def _held_alike(one: Batten | None, other: Batten | None) -> bool:
    """Whether the same frames hold both battens."""
    held = [{section.frame for section in batten.sections} for batten in (one, other) if batten is not None]
    return len(held) == 2 and held[0] == held[1]


def _image(frame: Frame, assembly: Assembly, batten: str) -> Iterator[Ghost]:
    """A batten in this frame as a mirror on the centreline would show it, as thick as the core."""
    low, high = frame.core_low, frame.core_high
    for crossing in battens_passing(frame, assembly):
        if crossing.batten.name == batten:
            yield _marker(frame).ghost(mirrored(crossing.passage(low, high)), low, high)


def _marker(frame: Frame) -> Marker:
    return Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)


def _finding(
    frame: Frame,
    message: str,
    cure: str,
    *,
    about: Sequence[Part | Subject],
    at: tuple[float, float],
    measured: float | None = None,
    limit: float | None = None,
    source: Source | None,
    evidence: Sequence[Mark],
    edits: tuple[Edit, ...] = (),
    level: Level = Level.WARNING,
) -> Finding:
    return Finding(
        check="mirror",
        level=level,
        message=message,
        frame=frame.number,
        at=frame.placement.point(*at, (frame.core_low + frame.core_high) / 2),
        cure=cure,
        edits=edits,
        source=source,
        subjects=subjects(*about),
        measure=None if measured is None else Measure(value=measured, limit=limit),
        evidence=tuple(evidence),
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
            "measured against the mirror image of the other, and so is each pocket. What lies across the centreline "
            "is held against itself, boards that are joined beside it together. So are the sections of battens on "
            "both sides. Legs are for `leg-pair`; screws and dowels are left out, since they may stand apart on "
            "purpose. A part over the centreline, a hole in one or a cut-out over it that lies off it by more than "
            "25 mm and a fifth of its width, with nothing like it on the other side, is meant so: a note says it."
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
            "enough. Waive what else is meant to differ, such as a knee on one side. If a whole frame lies off the "
            "centreline, its origin is wrong."
        ),
    ),
)

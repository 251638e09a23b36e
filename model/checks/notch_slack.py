"""Check `notch-slack`: a batten does not meet a wall of its notch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Span
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import WALL_REACH, exceeds
from scrieve.shared.wording import at_most, listed, mm, place, plain, ways

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import Marker, subjects
from ..boat.part import Part
from ..boat.proportion import can_be_moved, look_first
from ..proposals.battens.notch_mouth import AtMouth, stands
from ..relations.notches.notch import Crossing, Wall, crossings, walls
from ..relations.notches.notch_edits import off_as_drawn, walls_moved
from ..relations.notches.notch_shape import walls_of_notch
from .check import Check, Page

_LEAST_COVER = 0.5  # of a side's flat length: wood along less of it is a corner that comes near, not a wall
_RELIEVED_COVER = 0.1  # the same, of a wall that faces another: a T-bone as wide as a batten leaves little more
_FACING = 0.9  # cosine
_NOTCH = 2  # walls; where no section is drawn, wood on one side only may be what the batten is meant to pass
_ALIKE = 0.5  # of a batten's notches; what more share is how the batten is meant, or the plan's slip
_PLANED = 0.25  # of a batten's side; by less it may be meant to be planed down. Common practice, no source
_LET_IN = 0.5  # of a batten's side; by less notches may all be meant to be deeper than it. Common practice, no source
_UPWARD = 0.7  # sine; an open side that looks up is the top of a frame and not its outer line
_ANYWHERE = 1e5  # mm; past the greatest frame


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every frame in whose notch the batten is loose, which it does not reach, or that holds one side.

    A batten that no frame holds on two sides is laid on, not notched in: that is one note.
    """
    limit = assembly.limits["notch_slack"]
    notched, beside, clear = False, [], []
    for crossing in crossings(batten, assembly.frames):
        if crossing.unnotched:
            continue
        frame = crossing.frame
        found = list(walls(crossing, frame.core, frame.core_low, frame.core_high, far=batten.long))
        covering = [wall for wall in found if wall.covers >= _LEAST_COVER or _relieved(wall, found)]
        reach = WALL_REACH * batten.short
        standing = [wall for wall in covering if wall.gap <= reach]
        standing += walls_of_notch(crossing, standing, [wall for wall in covering if wall.gap > reach])
        if crossing.section is None and len(standing) < _NOTCH and _is_clear(crossing):
            clear.append(crossing)
            continue
        loose = sorted((w for w in standing if exceeds(w.gap, limit)), key=lambda w: (-w.gap, w.name))
        adrift = None if standing else _adrift(crossing, assembly, limit)
        held = {wall.name for wall in standing}
        if len(held) < _NOTCH:
            held |= {wall.name for wall in _touching(crossing, limit)}
        notched |= len(held) >= _NOTCH
        if loose:
            yield _loose(crossing, loose, limit)
        elif adrift is not None:
            yield adrift
        elif frame.core and len(held) < _NOTCH:
            beside.append((crossing, held))
    yield from (_on_one_side(*each, assembly, limit, Level.ERROR) for each in beside if notched)
    if not notched:
        yield from _laid_on(beside, assembly, limit)
    if clear:
        yield _passing_clear(clear, limit)
    yield from _at_the_mouth(list(stands(batten, assembly)), assembly, limit)


def _relieved(wall: Wall, found: list[Wall]) -> bool:
    """Whether a relief for the cutter may have taken most of a wall: another faces it across the batten."""
    facing = (each.covers for each in found if np.dot(each.way, wall.way) < -_FACING and each.covers >= _LEAST_COVER)
    return wall.covers >= _RELIEVED_COVER and any(facing)


def _is_clear(crossing: Crossing) -> bool:
    """Whether a batten passes a frame so far from its wood that it was not meant to lie in it."""
    frame = crossing.frame
    passage = crossing.passage(frame.core_low, frame.core_high)
    return not any(shapely.dwithin(part.shape, passage, crossing.batten.long) for part in frame.core)


def _passing_clear(clear: list[Crossing], limit: float) -> Finding:
    """The note on the frames between its ends that a batten passes clear of."""
    batten, first = clear[0].batten, clear[0].frame
    passage = clear[0].passage(first.core_low, first.core_high)
    return _finding(
        clear[0],
        limit,
        level=Level.NOTE,
        message=Sentence.of(
            "the {batten} passes {frames} clear of all wood: nothing holds it there",
            batten=batten, frames=listed(crossing.frame.name for crossing in clear),
        ),
        wood=[],
        at=(float(passage.centroid.x), float(passage.centroid.y)),
        measured=None,
        cure=Sentence.of("none needed where it is meant so; else give it a notch there"),
        spans=[],
    )  # fmt: skip


def _at_the_mouth(found: list[AtMouth], assembly: Assembly, limit: float) -> Iterator[Finding]:
    """One finding for a batten that stands out of all its notches alike or lies back in them; else one a frame.

    How far battens stand out may be meant, if it is little and everywhere so: that is a warning. So may it be that they
    lie back, as where the frame goes on past a chine flat: that is a note. Corners of two walls are judged only where
    most are alike: one wall may go on past the batten.
    """
    by_wall: dict[tuple[int, bool], list[AtMouth]] = {}
    for stand in found:
        held = int(np.isfinite(stand.slot.walls).sum())
        by_wall.setdefault((held, bool(stand.way[1] > _UPWARD)), []).append(stand)
    for (held, _), here in by_wall.items():
        off = [stand for stand in here if exceeds(abs(stand.by), limit)]
        alike = max(([each for each in off if each.by * way > 0.0] for way in (1, -1)), key=len)
        if len(alike) > _ALIKE * len(here):
            worst = sorted(alike, key=lambda stand: abs(stand.by))[len(alike) // 2]
            alone = len(here) == 1 and held > _NOTCH
            meant = Level.WARNING if worst.by > 0.0 or alone else Level.NOTE
            few = len(here) == 1 or abs(worst.by) <= (_PLANED if worst.by > 0.0 else _LET_IN) * worst.side
            yield _out_of_mouth(worst, assembly, limit, meant if few else Level.ERROR, len(alike))
        elif held > _NOTCH:
            sure = (each for each in off if exceeds(abs(each.by), limit + each.lean / 2))
            yield from (_out_of_mouth(each, assembly, limit, Level.ERROR) for each in sure)


def _out_of_mouth(stand: AtMouth, assembly: Assembly, limit: float, level: Level, count: int = 1) -> Finding:
    batten, frame, by = stand.crossing.batten, stand.crossing.frame, abs(stand.by)
    stands_out = stand.by > 0.0
    where = (
        Sentence.of("of {frame}", frame=frame)
        if count == 1
        else Sentence.of("in {count} frames, as in {frame}", count=plain(count), frame=frame)
    )
    deep = Quantity.of(stand.side - stand.by, f"{stand.side - stand.by:.1f} mm")
    return _finding(
        stand.crossing,
        limit,
        level=level,
        message=Sentence.of(
            "the {batten} {stands} of its notch {where}, up to {limit} is allowed",
            batten=batten,
            stands=Sentence.of(
                "stands {by} out of the mouth" if stands_out else "lies {by} back from the mouth", by=mm(by, limit)
            ),
            where=where, limit=mm(limit, by),
        ),
        wood=list(stand.slot.parts),
        at=(float(stand.at[0]), float(stand.at[1])),
        measured=by,
        cure=Sentence.of(
            "the notch is {deep} deep, the batten {side}: cut the notch {way} by {by}, or take a batten as thick as it "
            "is deep",
            deep=deep, side=mm(stand.side), way="deeper" if stands_out else "shallower", by=at_most(by),
        ) if count > 1 or by <= stand.side / 2 else look_first(frame, assembly),
        spans=[_marker(stand.crossing).span(stand.at, stand.at + stand.way * stand.by)],
    )  # fmt: skip


def _touching(crossing: Crossing, limit: float) -> Iterator[Wall]:
    """The walls, of any part and however short, that the batten lies against."""
    for part in crossing.frame.parts:
        if crossing.reaches(part, limit):
            found = walls(crossing, [part], part.low, part.high)
            yield from (wall for wall in found if not exceeds(wall.gap, limit))


def _on_one_side(crossing: Crossing, held: set[str], assembly: Assembly, limit: float, level: Level) -> Finding:
    batten, frame = crossing.batten, crossing.frame
    beyond = walls(crossing, frame.core, frame.core_low, frame.core_high, far=_ANYWHERE)
    other = min((w for w in beyond if w.name not in held and w.gap > 0.0), key=lambda w: (w.gap, w.name), default=None)
    touched = f"by its {next(iter(held))} wall only" if held else "by no wall"
    said = "the {batten} is held in {frame} {touched}{elsewhere}{more}"
    elsewhere = "" if level is Level.NOTE else ", a notch holds it on two sides"
    if other is None:
        passage = crossing.passage(frame.core_low, frame.core_high)
        return _finding(
            crossing,
            limit,
            level=level,
            message=Sentence.of(said, batten=batten, frame=frame, touched=touched, elsewhere=elsewhere, more=""),
            wood=[],
            at=(float(passage.centroid.x), float(passage.centroid.y)),
            measured=None,
            cure=Sentence.of("bring the notch of {frame} to the {batten}", frame=frame, batten=batten),
            spans=[],
        )
    by, near = at_most(other.gap), can_be_moved(batten.short, other.gap)
    more = Sentence.of(": its {wall} wall is {gap} off", wall=other, gap=mm(other.gap))
    return _finding(
        crossing,
        limit,
        level=level,
        message=Sentence.of(said, batten=batten, frame=frame, touched=touched, elsewhere=elsewhere, more=more),
        wood=list(other.parts),
        at=other.at,
        measured=other.gap,
        cure=Sentence.of(
            "bring the {wall} wall {by} {way}, or move the batten to its notch",
            wall=other, by=by, way=_towards(crossing, other),
        ) if near else look_first(frame, assembly),
        edits=walls_moved(frame, [(other, -by.value)]) if near else (),
        spans=[_marker(crossing).span(other.at, np.subtract(other.at, np.multiply(other.way, other.gap)))],
    )  # fmt: skip


def _laid_on(beside: list[tuple[Crossing, set[str]]], assembly: Assembly, limit: float) -> Iterator[Finding]:
    """The note on all the frames that a batten without notches lies on; on one where a wall is near, what it lacks."""
    near = [each for each in beside if _wall_near(*each)]
    yield from (_on_one_side(*each, assembly, limit, Level.NOTE) for each in near[:1])
    laid = [each for each in beside if each not in near]
    if not laid:
        return
    (first, held), batten = laid[0], laid[0][0].batten
    frames = [crossing.frame for crossing, _ in laid]
    passage = first.passage(first.frame.core_low, first.frame.core_high)
    by = listed(Sentence.of("its {wall} wall", wall=wall) for wall in sorted(held)) if held else "no wall"
    yield _finding(
        first,
        limit,
        level=Level.NOTE,
        message=Sentence.of(
            "the {batten} is laid on: {frames} {hold} it by {by} only, and no frame has a notch for it",
            batten=batten, frames=listed(frame.name for frame in frames), hold="holds" if len(frames) == 1 else "hold",
            by=by,
        ),
        wood=[],
        at=(float(passage.centroid.x), float(passage.centroid.y)),
        measured=None,
        cure="none needed where it is meant to lie on the frames and is fastened there; else give it notches",
        spans=[],
    )  # fmt: skip


def _wall_near(crossing: Crossing, held: set[str]) -> bool:
    """Whether another wall than those that hold it is so near that it may be a notch's."""
    frame = crossing.frame
    beyond = walls(crossing, frame.core, frame.core_low, frame.core_high, far=_ANYWHERE)
    return any(
        wall.gap > 0.0 and can_be_moved(crossing.batten.short, wall.gap) for wall in beyond if wall.name not in held
    )


def _loose(crossing: Crossing, loose: list[Wall], limit: float) -> Finding:
    worst = loose[0]
    stands = listed(Sentence.of("{gap} off the {wall} wall", gap=mm(wall.gap, limit), wall=wall) for wall in loose)
    inward = [(wall, at_most(wall.gap)) for wall in loose]
    shifts = [(wall, -by.value) for wall, by in inward]
    moves = listed(
        Sentence.of("the {wall} wall {by} {way}", wall=wall, by=by, way=_towards(crossing, wall)) for wall, by in inward
    )
    nearest = min((wall.gap for wall in loose), key=lambda gap: abs(gap - limit))
    marker = _marker(crossing)
    return _finding(
        crossing,
        limit,
        message=Sentence.of(
            "the {batten} stands {stands} of its notch in {frame}, more than {limit} is loose",
            batten=crossing.batten, stands=stands, frame=crossing.frame, limit=mm(limit, nearest),
        ),
        wood=[part for wall in loose for part in wall.parts],
        at=worst.at,
        measured=worst.gap,
        cure=Sentence.of("bring {moves}", moves=moves),
        edits=walls_moved(crossing.frame, shifts, sure=off_as_drawn(crossing, shifts, limit)),
        spans=[marker.span(wall.at, np.subtract(wall.at, np.multiply(wall.way, wall.gap))) for wall in loose],
    )  # fmt: skip


def _adrift(crossing: Crossing, assembly: Assembly, limit: float) -> Finding | None:
    """A finding if the batten touches nothing, however far off the nearest wood is."""
    batten, frame = crossing.batten, crossing.frame
    if not frame.core:
        return None
    passage = crossing.passage(frame.core_low, frame.core_high)
    gaps = shapely.distance([part.shape for part in frame.core], passage)
    nearest = int(np.argmin(gaps))
    gap = float(gaps[nearest])
    if not exceeds(gap, limit):
        return None
    wood = frame.core[nearest]
    onto, off = shapely.get_coordinates(shapely.shortest_line(wood.shape, passage))
    return _finding(
        crossing,
        limit,
        message=Sentence.of(
            "the {batten} meets no wall in {frame}: {wood} is nearest, {gap} off",
            batten=batten, frame=frame, wood=wood, gap=mm(gap),
        ),
        wood=[wood],
        at=(float(onto[0]), float(onto[1])),
        measured=gap,
        cure=Sentence.of(
            "bring its wood {by} {way} to the batten at {place}, or move the batten to its notch",
            by=at_most(gap), way=ways(frame.placement.vector_to_hull([(*(off - onto), 0.0)])[0]), place=place(*off),
        ) if can_be_moved(batten.short, gap) else look_first(frame, assembly),
        spans=[_marker(crossing).span(onto, off)],
    )  # fmt: skip


def _marker(crossing: Crossing) -> Marker:
    frame = crossing.frame
    return Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)


def _finding(
    crossing: Crossing,
    limit: float,
    *,
    message: str,
    wood: list[Part],
    at: tuple[float, float],
    measured: float | None,
    cure: str,
    spans: list[Span],
    edits: tuple[Edit, ...] = (),
    level: Level = Level.ERROR,
) -> Finding:
    frame, section = crossing.frame, crossing.section
    return Finding(
        check="notch-slack",
        level=level,
        message=message,
        frame=frame.number,
        at=frame.placement.point(*at, (frame.core_low + frame.core_high) / 2),
        cure=cure,
        edits=edits,
        source=section.source if section else frame.source,
        subjects=subjects(crossing.batten, *wood),
        measure=None if measured is None else Measure(value=measured, limit=limit),
        evidence=tuple(spans),
    )


def _towards(crossing: Crossing, wall: Wall) -> Name:
    y, v = wall.way
    return ways(crossing.frame.placement.vector_to_hull([(-y, -v, 0.0)])[0])


CHECK = Check(
    slug="notch-slack",
    title="A batten is loose in its notch",
    level=Level.ERROR,
    limits=("notch_slack",),
    rests_on="batten",
    page=Page(
        looks_at=(
            "Every batten at every frame it passes, whether or not a section of it is drawn there; where none is, "
            "there must be wood on two sides at least. Wood of the core that lies along at least half of a side of the "
            "batten, and no further from it than half the batten's short side, is taken for a wall of the notch. So is "
            "wood up to the batten's long side away, if the outline runs on from it to such a wall and it faces a wall "
            "across the batten, or closes the notch between two. The gap is measured square to that side, at the "
            "tightest place, between the wall and all that the batten takes up from face to face. Other sides are the "
            "open mouth of the notch. Where a section is drawn or found, the batten has to lie against wood on two "
            "sides at least, of whatever part; how far off the other wall is does not matter. A batten that no frame "
            "holds so is laid on and not notched in: that is a note. So is a frame that it passes more than its long "
            "side clear of all wood. At the open side of a notch the batten has to be flush with the mouth, half-way "
            "between the ends of the walls beside it; what it takes up askew may lie on either side. A corner of two "
            "walls has no mouth: a side that leans there against the frame's outer line or its top is planed down to "
            "it, and stands out with all its breadth only."
        ),
        matters=(
            "Notches are what hold the battens in line, and the battens are what hold the frames. A loose one lets "
            "the frame creep while the glue sets, and a thick wedge of glue takes the place of a joint."
        ),
        limit=(
            "notch_slack, 1 mm, a wall. Common practice, no source: about what thickened glue fills without sagging "
            "out. The same at the mouth; a batten that stands out of all its notches alike by a quarter of its side at "
            "most may be meant so: that is a warning. One that lies back in all of them alike by half its side at most "
            "may be meant so too: that is a note. A batten passing at an angle always leaves a taper on each "
            "wall; only the tightest place counts."
        ),
        cure=(
            "Move the wall that is named towards the batten by the length that is named, which is rounded down so that "
            "the batten does not bite. If one wall is loose and "
            "notch-foul names the opposite one, the notch as a whole is out of place by about that much: move it, "
            "or the drawn section, rather than the walls. Where wood is further off than twice the batten's short "
            "side, look for the part that is missing: no wood wants moving so far."
        ),
    ),
    on_batten=check,
)

"""Check `corner`: inside corners that the cutter cannot reach into, and what the wood left there fouls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Kind, Level, Measure, Subject
from scrieve.shared.marks import Line
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT, exceeds
from scrieve.shared.wording import joined, mm

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, rail, seen_face, subject, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.overlap import Overlap, deepest
from ..relations.fouls.foul import as_drawn
from ..relations.fouls.passing import RAILS, battens_passing, rail_passage
from ..relations.notches.corner_wood import CornerWood, corner_wood, pocket_wood
from .check import Check, Page


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Obstacle:
    """Something the wood in a part's corners might bite into, in the plane of the part.

    `bite` is how deep a batten is in the part as drawn, mm, where that is more than `limit`, else 0. `eases`
    says whether easing the arris of a batten to the cutter's radius would be something new, and can be done; `batten`
    is the plan's name for it.
    """

    shape: shapely.Polygon
    limit: float
    subject: Subject
    bite: float = 0.0
    eases: bool = False
    batten: str = ""

    @property
    def kind(self) -> Kind:
        """What it is."""
        return self.subject.kind

    @property
    def name(self) -> str:
        """What it is called."""
        return self.subject.name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fouled:
    """What a piece of corner wood bites into, and how deep."""

    obstacle: _Obstacle
    overlap: Overlap


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """An error for every corner whose wood fouls something, and a note for each part with other such corners."""
    radius = assembly.cutter_diameter / 2
    if radius <= 0.0:
        if frame is assembly.frames[0]:
            yield _no_cutter(assembly)
        return
    left = [(part, corner_wood(part, assembly.cutter_of(part))) for part in frame.parts]
    left += [beside for part in frame.parts for beside in pocket_wood(part)]
    if not any(woods for _, woods in left):
        return
    for part, woods in left:
        if not woods:
            continue
        obstacles = list(_obstacles(part, frame, assembly))
        harmless = []
        # a batten that bites the part as drawn is told by notch-foul: what its corners do is seen once it fits
        told = [obstacle for obstacle in obstacles if obstacle.bite > 0.0]
        untold = [obstacle for obstacle in obstacles if obstacle.bite == 0.0]
        for wood in woods:
            fouled = _fouled(wood, untold)
            if fouled is not None:
                yield _error(frame, wood, fouled, radius, assembly)
            elif not any(shapely.dwithin(wood.region, batten.shape, batten.bite) for batten in told):
                harmless.append(wood)
        if harmless:
            yield _note(frame, part, harmless, radius)


def _no_cutter(assembly: Assembly) -> Finding:
    """Said once, with the first frame: it is so for the whole boat."""
    return Finding(
        check="corner",
        level=Level.NOTE,
        message="no cutter is named in the plan: inside corners are not checked",
        cure="add [cutter] to the plan with the diameter of the largest cutter the parts are cut with, in mm",
        source=assembly.source,
    )


def _obstacles(part: Part, frame: Frame, assembly: Assembly) -> Iterator[_Obstacle]:
    """All that shares the part's layer and comes near it."""
    foul, notch_foul = assembly.limits["foul"], assembly.limits["notch_foul"]
    radius, drawn = assembly.cutter_diameter / 2, as_drawn(part)
    for crossing in battens_passing(frame, assembly):
        if crossing.reaches(part):
            passage = crossing.passage(part.low, part.high)
            overlap = deepest(passage, drawn)
            bites = overlap is not None and exceeds(overlap.depth, notch_foul)
            batten = crossing.batten
            yield _Obstacle(
                shape=passage,
                limit=notch_foul,
                subject=subject(batten),
                bite=overlap.depth if overlap is not None and bites else 0.0,
                batten=batten.kind,
                eases=batten.arris < radius - COINCIDENT and radius <= min(batten.long, batten.short) / 2,
            )
    for other in frame.parts:
        for each in other.prisms if other.name != part.name else ():
            if exceeds(min(part.high, each.high) - max(part.low, each.low), foul):
                yield _Obstacle(shape=each.shape, limit=foul, subject=subject(other))
    if assembly.strongback is not None:
        for side in RAILS:
            passage = rail_passage(assembly.strongback, side, frame.placement, part.low, part.high)
            if passage is not None:
                yield _Obstacle(shape=passage, limit=foul, subject=rail(side))


def _fouled(wood: CornerWood, obstacles: Sequence[_Obstacle]) -> _Fouled | None:
    """The obstacle this wood bites into deepest, past the limit; None where it is in nobody's way."""
    deep = []
    for obstacle in obstacles:
        if not _apart(wood.region.bounds, obstacle.shape.bounds):
            overlap = deepest(wood.region, obstacle.shape)
            if overlap is not None and exceeds(overlap.depth, obstacle.limit):
                deep.append(_Fouled(obstacle=obstacle, overlap=overlap))
    return max(deep, key=lambda f: (f.overlap.depth, f.obstacle.name), default=None)


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    """Whether two boxes (least y, least v, greatest y, greatest v) have nothing in common."""
    return a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]


def _error(frame: Frame, wood: CornerWood, fouled: _Fouled, radius: float, assembly: Assembly) -> Finding:
    part, overlap = wood.part, fouled.overlap
    marker = Marker(frame=frame, w=(part.low + part.high) / 2)
    deep = mm(overlap.depth)
    cure, edits = _cure(wood.drawn_radius, radius, fouled, assembly)
    return Finding(
        check="corner",
        level=Level.ERROR,
        message=Sentence.of(
            "{part}: {drawn}, the cutter leaves {radius}; the wood left stands {out} out of the corner and fouls "
            "{other} by {depth}",
            part=part,
            drawn=_drawn(wood.drawn_radius),
            radius=_radius(radius),
            out=mm(wood.depth),
            other=fouled.obstacle,
            depth=deep,
        ),
        frame=frame.number,
        at=frame.placement.point(*overlap.at, marker.w),
        cure=cure,
        edits=edits,
        source=part.source,
        subjects=subjects(part, fouled.obstacle.subject),
        measure=_measure(wood.drawn_radius, radius),
        evidence=(
            marker.region(overlap.region, part.low, part.high),
            marker.line(overlap.across, words=deep),
            *_left(frame, wood),
        ),
    )


def _left(frame: Frame, wood: CornerWood) -> tuple[Line, ...]:
    """The wood left in a corner, on the face from which the part is seen: the drawn corner and the cutter's arc."""
    return Marker(frame=frame, w=seen_face(wood.part)).lines(wood.region)


def _measure(drawn: float, radius: float) -> Measure:
    return Measure(value=drawn, limit=radius, sense="least", words="inside radius {value}, the cutter's is {limit}")


def _radius(radius: float) -> Quantity:
    return Quantity.of(radius, f"{radius:g} mm")


def _drawn(radius: float) -> str:
    if radius > 0:
        return Sentence.of(
            "an inside corner is drawn with a radius of {radius}", radius=Quantity.of(radius, f"{radius:.2f} mm")
        )
    return "a sharp inside corner"


def _cure(drawn: float, radius: float, fouled: _Fouled, assembly: Assembly) -> tuple[str, tuple[Edit, ...]]:
    """The ways there are, and the one of them that is a key of the plan: easing the batten, or a smaller cutter."""
    edits: tuple[Edit, ...] = ()
    other, to = fouled.obstacle, _radius(radius)
    ways = [Sentence.of("draw a relief of {radius} radius into the corner", radius=to)]
    if other.eases:
        ways.append(Sentence.of("ease the {batten}'s arris to {radius}", batten=other, radius=to))
        edits = assembly.keys.set(("battens", other.batten), "arris", radius)
    elif other.kind == "part":
        ways.append(Sentence.of("round the corner of {part} to {radius}", part=other, radius=to))
    if drawn > 0:
        most = Quantity.of(2 * drawn, f"{2 * drawn:.2f} mm")
        edits = edits or assembly.keys.set(("cutter",), "diameter", round(most.value, 2))
        ways.append(Sentence.of("cut it with a cutter of at most {most}", most=most))
    return joined(ways, ", or ", ", or "), edits


def _note(frame: Frame, part: Part, woods: list[CornerWood], radius: float) -> Finding:
    """One note for all corners of a part whose wood is in nobody's way."""
    worst = max(woods, key=lambda wood: (wood.depth, wood.at))
    least = min(wood.drawn_radius for wood in woods)
    marker = Marker(frame=frame, w=(part.low + part.high) / 2)
    in_order = [worst, *(wood for wood in woods if wood is not worst)]
    many = (
        Sentence.of(
            "{count} inside corners come out rounder than drawn", count=Quantity.of(len(woods), str(len(woods)))
        )
        if len(woods) > 1
        else "an inside corner comes out rounder than drawn"
    )
    return Finding(
        check="corner",
        level=Level.NOTE,
        message=Sentence.of(
            "{part}: {many}: {radius} instead of {drawn}; the wood left stands {out} out of {of} and fouls nothing",
            part=part,
            many=many,
            radius=_radius(radius),
            drawn=Quantity.of(least, f"{least:.2f} mm" if least > 0 else "sharp"),
            out=mm(worst.depth),
            of="the worst" if len(woods) > 1 else "it",
        ),
        frame=frame.number,
        at=frame.placement.point(*worst.at, marker.w),
        cure=Sentence.of("none needed; drawn with {radius} they would be cut as drawn", radius=_radius(radius)),
        source=part.source,
        subjects=subjects(part),
        measure=_measure(least, radius),
        evidence=(
            *(marker.region(wood.region, part.low, part.high) for wood in in_order),
            *_left(frame, worst),
        ),
    )


CHECK = Check(
    slug="corner",
    title="Inside corners the cutter cannot reach",
    level=Level.ERROR,
    limits=("foul", "notch_foul"),
    spanless="a radius is measured",
    on_frame=check,
    page=Page(
        looks_at=(
            "Every inside corner of every part, notches, holes and pockets included, against the largest cutter that "
            "the plan allows. A round cutter going round the drawn line leaves wood in any inside corner sharper than "
            "itself. That wood is worked out exactly, and tried against all that passes there: battens with their "
            "arrises as eased, other parts of the frame in the same layer, the rails. Radii are taken from the arcs "
            "of the drawing, not from their flattened form. Sawn timber, which no cutter goes round, is left out."
        ),
        matters=(
            "On the screen the notch is square and the batten fits; off the machine the corner is round and the batten "
            "stands off both walls. Over a whole hull that is a day with a chisel, or arrises taken off by eye at "
            "every frame. A leg that hooks over a rail sits on its corner instead of its edge, and the "
            "frame is high."
        ),
        limit=(
            "The radius of the cutter, from the plan's [cutter]. What is left along the diagonal of a square corner "
            "is r(sqrt 2 - 1), 2.07 mm for a 10 mm cutter, and a square batten is held r(1 - 1/sqrt 2), 1.46 mm, off "
            "each wall (arithmetic). An error where the wood bites deeper than `notch_foul`, 0.2 mm, into a batten "
            "or `foul`, 0.1 mm, into anything else (common practice, no source); otherwise one note a part. A batten "
            "that bites the part as it is drawn is left to notch-foul. Where the plan names no cutter one note "
            "says that corners are not checked."
        ),
        cure=(
            "Draw a relief into the corner (a round of the cutter's radius that reaches past it), ease the arris of "
            "the batten to the cutter's radius if it is less, or cut those corners with a smaller cutter, twice the "
            "drawn radius at most. Sharp corners that foul nothing need nothing."
        ),
    ),
)

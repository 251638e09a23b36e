"""Check `corner`: inside corners that the cutter cannot reach into, and what the wood left there fouls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, exceeds

from ..assembly import Assembly
from ..fouls.foul import as_drawn
from ..fouls.passing import RAILS, battens_passing, rail_passage
from ..frame import Frame
from ..notches.corner_wood import CornerWood, corner_wood
from ..overlap import Overlap, deepest
from ..part import Part
from ..wording import mm
from .check import Check, Page


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Obstacle:
    """Something the wood in a part's corners might bite into, in the plane of the part.

    `bite` is how deep a batten is in the part as drawn, mm, where that is more than `limit`, else 0. `eases`
    says whether easing the arris of a batten to the cutter's radius would be something new, and can be done.
    """

    name: str
    shape: shapely.Polygon
    limit: float
    kind: Literal["batten", "part", "rail"]
    bite: float = 0.0
    eases: bool = False


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
    left = [(part, corner_wood(part, assembly.cutter_diameter)) for part in frame.parts]
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
                yield _error(frame, wood, fouled, radius)
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
                name=batten.name,
                shape=passage,
                limit=notch_foul,
                kind="batten",
                bite=overlap.depth if overlap is not None and bites else 0.0,
                eases=batten.arris < radius - COINCIDENT and radius <= min(batten.long, batten.short) / 2,
            )
    for other in frame.parts:
        shared = min(part.high, other.high) - max(part.low, other.low)
        if other is not part and exceeds(shared, foul):
            yield _Obstacle(name=other.name, shape=other.shape, limit=foul, kind="part")
    if assembly.strongback is not None:
        for side in RAILS:
            rail = rail_passage(assembly.strongback, side, frame.placement, part.low, part.high)
            if rail is not None:
                yield _Obstacle(name=f"{side} rail", shape=rail, limit=foul, kind="rail")


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


def _error(frame: Frame, wood: CornerWood, fouled: _Fouled, radius: float) -> Finding:
    y, v = fouled.overlap.at
    return Finding(
        check="corner",
        level=Level.ERROR,
        message=(
            f"{wood.part.name}: {_drawn(wood.drawn_radius)}, the cutter leaves {radius:g} mm; the wood left stands "
            f"{mm(wood.depth)} out of the corner and fouls {fouled.obstacle.name} by {mm(fouled.overlap.depth)}"
        ),
        frame=frame.number,
        parts=tuple(sorted((wood.part.name, fouled.obstacle.name))),
        at=frame.placement.point(y, v, (wood.part.low + wood.part.high) / 2),
        measured=wood.drawn_radius,
        limit=radius,
        unit="mm",
        cure=_cure(wood.drawn_radius, radius, fouled),
        source=wood.part.source,
    )


def _drawn(radius: float) -> str:
    return f"an inside corner is drawn with a radius of {radius:.2f} mm" if radius > 0 else "a sharp inside corner"


def _cure(drawn: float, radius: float, fouled: _Fouled) -> str:
    ways = [f"draw a relief of {radius:g} mm radius into the corner"]
    if fouled.obstacle.eases:
        ways.append(f"ease the {fouled.obstacle.name}'s arris to {radius:g} mm")
    elif fouled.obstacle.kind == "part":
        ways.append(f"round the corner of {fouled.obstacle.name} to {radius:g} mm")
    if drawn > 0:
        ways.append(f"cut it with a cutter of at most {2 * drawn:.2f} mm")
    return ", or ".join(ways)


def _note(frame: Frame, part: Part, woods: list[CornerWood], radius: float) -> Finding:
    """One note for all corners of a part whose wood is in nobody's way."""
    worst = max(woods, key=lambda wood: (wood.depth, wood.at))
    least = min(wood.drawn_radius for wood in woods)
    many = f"{len(woods)} inside corners come out rounder than drawn" if len(woods) > 1 else (
        "an inside corner comes out rounder than drawn"
    )  # fmt: skip
    return Finding(
        check="corner",
        level=Level.NOTE,
        message=(
            f"{part.name}: {many}: {radius:g} mm instead of {f'{least:.2f} mm' if least > 0 else 'sharp'}; "
            f"the wood left stands {mm(worst.depth)} out of {'the worst' if len(woods) > 1 else 'it'} and fouls nothing"
        ),
        frame=frame.number,
        parts=(part.name,),
        at=frame.placement.point(*worst.at, (part.low + part.high) / 2),
        measured=least,
        limit=radius,
        unit="mm",
        cure=f"none needed; drawn with {radius:g} mm they would be cut as drawn",
        source=part.source,
    )


CHECK = Check(
    slug="corner",
    title="Inside corners the cutter cannot reach",
    level=Level.ERROR,
    limits=("foul", "notch_foul"),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every inside corner of every part, notches and holes included, against the largest cutter the plan "
            "allows. A round cutter going round the drawn line leaves wood in any inside corner sharper than itself. "
            "That wood is worked out exactly, and tried against all that passes there: battens with their arrises as "
            "eased, other parts of the frame in the same layer, the rails. Radii are taken from the arcs of the "
            "drawing, not from their flattened form."
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

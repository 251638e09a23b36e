"""Check `dowel`: a dowel of the assembly board stands in a part, or touches nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import exceeds

from ..assembly import Assembly
from ..dowels.dowel_fit import dowel_depths, misfits
from ..dowels.dowel_places import dowel_places
from ..frame import Frame
from ..notches.notch import crossings
from ..overlap import overlaps
from ..part import Part
from ..screw import Dowel
from ..wording import listed, mm, place, told
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every dowel that is in the way of a core part, and one for every dowel that none touches.

    Before them one for all dowels that are drawn alike and of another diameter than the plan's.
    """
    others = _of_another_diameter(frame, assembly)
    for diameter in sorted({round(dowel.diameter, 3) for dowel in others}):
        yield _other_diameter(frame, [d for d in others if round(d.diameter, 3) == diameter], assembly)
    if not frame.dowels or not frame.core:
        return
    foul, gap = assembly.limits["dowel_foul"], assembly.limits["dowel_gap"]
    fouling, lone = misfits(frame, foul, gap)
    if others:  # one that stands right at the diameter of the plan is drawn wrong in that alone
        wrong = {n for numbers in misfits(_as_planned(frame, others, assembly), foul, gap) for n in numbers}
        fouling, lone = ([n for n in numbers if n in wrong] for numbers in (fouling, lone))
    found = dowel_depths(frame)
    for number in fouling:
        dowel, row = frame.dowels[number], found[number]
        into = [part for part, depth in zip(frame.core, row, strict=True) if exceeds(depth, foul)]
        if not any(_wall_is_wrong(frame, part, dowel, assembly) for part in into):
            yield _fouling(frame, dowel, into, min(max(row), dowel.diameter), assembly)
    for number in lone:
        yield _lone(frame, frame.dowels[number], -max(found[number]), assembly)


def _of_another_diameter(frame: Frame, assembly: Assembly) -> list[Dowel]:
    """The dowels that are drawn further off the diameter that the plan names, if it does, than a dowel gives way."""
    wanted = assembly.dowel_diameter
    if wanted is None:
        return []
    play = assembly.limits["dowel_foul"]
    return [dowel for dowel in frame.dowels if exceeds(abs(dowel.diameter - wanted), play)]


def _as_planned(frame: Frame, others: list[Dowel], assembly: Assembly) -> Frame:
    """The frame with these dowels at the plan's diameter."""
    wanted = assembly.dowel_diameter or 0.0
    return replace(frame, dowels=tuple(replace(d, diameter=wanted) if d in others else d for d in frame.dowels))


def _other_diameter(frame: Frame, alike: list[Dowel], assembly: Assembly) -> Finding:
    """The finding on dowels that are drawn with one circle, and that not the plan's."""
    wanted, drawn = assembly.dowel_diameter or 0.0, alike[0].diameter
    off, limit = abs(drawn - wanted), assembly.limits["dowel_foul"]
    which, they = ("is", "it") if len(alike) == 1 else ("are", "them")
    who = alike[0].name if len(alike) == 1 else f"{len(alike)} dowels of {frame.name}"
    size = "larger" if drawn > wanted else "smaller"
    return _finding(
        frame,
        alike[0],
        parts=tuple(sorted(dowel.name for dowel in alike)),
        measured=off,
        limit=limit,
        message=f"{who} {which} drawn {told(drawn, wanted)} mm across, {mm(off, limit)} {size} than the plan's dowels "
        f"of {told(wanted, drawn)} mm",
        cure=f"draw {they} {wanted:g} mm across, or set diameter under [dowels] in the plan to {drawn:.6g} mm",
    )


def _wall_is_wrong(frame: Frame, part: Part, dowel: Dowel, assembly: Assembly) -> bool:
    """Whether a batten, too, is in this part's wood there: then the notch is wrong, and the batten's checks say so."""
    limit = assembly.limits["notch_foul"]
    about = shapely.Point(dowel.at).buffer(dowel.diameter)
    for batten in assembly.battens:
        for crossing in crossings(batten, assembly.frames):
            if crossing.frame is frame and crossing.reaches(part):
                passage = crossing.passage(part.low, part.high)
                bites = overlaps(passage, part.drawn_shape) if passage.intersects(about) else []
                if any(exceeds(bite.depth, limit) and bite.region.intersects(about) for bite in bites):
                    return True
    return False


def _fouling(frame: Frame, dowel: Dowel, into: list[Part], depth: float, assembly: Assembly) -> Finding:
    limit = assembly.limits["dowel_foul"]
    names = listed(part.name for part in into)
    return _finding(
        frame,
        dowel,
        parts=tuple(sorted([dowel.name, *(part.name for part in into)])),
        measured=depth,
        limit=limit,
        message=f"{dowel.name} stands {mm(depth, limit)} in {names}, up to {mm(limit, depth)} is allowed",
        cure=_cure(frame, dowel, assembly),
    )


def _lone(frame: Frame, dowel: Dowel, off: float, assembly: Assembly) -> Finding:
    limit = assembly.limits["dowel_gap"]
    return _finding(
        frame,
        dowel,
        parts=(dowel.name,),
        measured=off,
        limit=limit,
        message=f"{dowel.name} touches no core part: the nearest is {mm(off, limit)} off, "
        f"up to {mm(limit, off)} is allowed",
        cure=_cure(frame, dowel, assembly),
    )


def _cure(frame: Frame, dowel: Dowel, assembly: Assembly) -> str:
    """The nearest place at which it touches wood and is in none: an inside corner if one is within its width."""
    others = np.array([other.at for other in frame.dowels if other is not dowel]).reshape(-1, 2)
    tried = []
    for places in dowel_places(frame, dowel.diameter / 2, assembly.limits["dowel_gap"]):
        for one in places:
            if not len(others) or np.hypot(*(others - one.at).T).min() > dowel.diameter:
                off = float(np.hypot(one.at[0] - dowel.at[0], one.at[1] - dowel.at[1]))
                tried.append((one.rank % 2 == 1 or off > dowel.diameter, off, one))
    if not tried:
        return "take it out, or make room for it"
    _, off, best = min(tried, key=lambda one: one[:2])
    touched = listed(part.name for part in best.pushes)
    return f"move it {off:.1f} mm, to {place(*best.at)}, where it stands against {touched}; or take it out"


def _finding(
    frame: Frame,
    dowel: Dowel,
    *,
    parts: tuple[str, ...],
    measured: float,
    limit: float,
    message: str,
    cure: str,
) -> Finding:
    return Finding(
        check="dowel",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        parts=parts,
        at=frame.placement.point(*dowel.at, (frame.core_low + frame.core_high) / 2),
        measured=measured,
        limit=limit,
        unit="mm",
        cure=cure,
        source=dowel.source,
    )


CHECK = Check(
    slug="dowel",
    title="A dowel of the assembly board is in the way of a part, or touches nothing",
    level=Level.ERROR,
    limits=("dowel_foul", "dowel_gap"),
    page=Page(
        looks_at=(
            "Every dowel of a frame against the core parts of that frame, their outlines as cut. The core lies on the "
            "board round the dowels; gussets go onto its upper face, so they, legs and other plates are not looked at: "
            "keep the dowels no taller than the core is thick. Where a batten bites into the same wood as the dowel "
            "does, the notch is wrong and not the dowel, and the batten's checks speak. Where the plan names the "
            "dowels' diameter ([dowels] diameter), the circles drawn have to be of it. How dowels stand to one "
            "another is a matter for the check board."
        ),
        matters=(
            "A part that lies on a dowel instead of beside it cannot be laid down flat, or is pushed out of its "
            "place. A dowel that nothing touches is a hole drilled for nothing, most often in the wrong place: the "
            "part that it should locate is free. A dowel of another diameter than was drawn shifts its part, or leaves "
            "it loose."
        ),
        limit=(
            "dowel_foul, 0.1 mm, in the wood; dowel_gap, 0.3 mm, off the nearest. Common practice, no source: what a "
            "dowel gives way, and what glue and clamps make up for. A circle may differ from the plan's diameter by "
            "dowel_foul."
        ),
        cure=(
            "Move the dowel to the place given, the nearest at which it stands against the wood. If the part has been "
            "changed since the dowels were drawn, the others want looking at as well."
        ),
    ),
    on_frame=check,
)

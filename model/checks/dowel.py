"""Check `dowel`: a dowel of the assembly board stands in a part, or touches nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import ONE_HOLE, SLIVER, exceeds
from scrieve.shared.wording import formatted, listed, mm, place, plain

from ..boat.assembly import Assembly
from ..boat.editing import add_round, move, remove
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.proportion import can_be_moved, look_first
from ..boat.screw import Dowel
from ..geometry.overlap import nearest_edge, overlaps
from ..geometry.plane import disc
from ..proposals.dowels.dowel_places import dowel_places
from ..relations.dowels.dowel_fit import along_wood, dowel_depths, misfits
from ..relations.notches.notch import crossings
from .check import Check, Page

_CORNER = 4.0  # times as far as to the nearest wood; an inside corner further off is not where a dowel was meant to be
Cured: TypeAlias = tuple[str, tuple[Edit, ...]]


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
    mark = Marker(frame=frame)
    which, they = ("is", "it") if len(alike) == 1 else ("are", "them")
    count = plain(len(alike))
    who = alike[0] if len(alike) == 1 else Sentence.of("{count} dowels of {frame}", count=count, frame=frame)
    size = "larger" if drawn > wanted else "smaller"
    return _finding(
        frame,
        alike[0],
        about=alike,
        measured=off,
        limit=limit,
        message=Sentence.of(
            f"{{who}} {which} drawn {{drawn}} mm across, {{off}} {size} than the plan's dowels of {{wanted}} mm",
            who=who,
            drawn=formatted(drawn, wanted),
            off=mm(off, limit),
            wanted=formatted(wanted, drawn),
        ),
        cured=(
            Sentence.of(
                f"draw {they} {{wanted}} mm across, or set diameter under [dowels] in the plan to {{drawn}} mm",
                wanted=plain(wanted),
                drawn=Quantity.of(drawn, f"{drawn:.6g}"),
            ),
            tuple(
                edit for each in alike for edit in (*remove(frame, each), *add_round(frame, each, [each.at], wanted))
            ),
        ),
        evidence=tuple(mark.ghost(disc(dowel.at, wanted), frame.core_low, frame.core_high) for dowel in alike),
    )


def _wall_is_wrong(frame: Frame, part: Part, dowel: Dowel, assembly: Assembly) -> bool:
    """Whether a batten, too, is in this part's wood there: then the notch is wrong, and the batten's checks say so."""
    limit = assembly.limits["notch_foul"]
    about = disc(dowel.at, 2 * dowel.diameter)
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
    mark, hole = _marker(frame), disc(dowel.at, dowel.diameter)
    return _finding(
        frame,
        dowel,
        about=[dowel, *into],
        measured=depth,
        limit=limit,
        message=Sentence.of(
            "{dowel} stands {depth} in {parts}, up to {limit} is allowed",
            dowel=dowel,
            depth=mm(depth, limit),
            parts=names,
            limit=mm(limit, depth),
        ),
        cured=_cure(frame, dowel, assembly),
        evidence=(
            mark.span(*_deepest(dowel, into)),
            *(region for part in into for region in mark.common(hole, part.shape, part.low, part.high)),
        ),
    )


def _deepest(dowel: Dowel, parts: Sequence[Part]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Between the edge of a part and the dowel's rim, (y, v), where it stands deepest or is nearest to any of them.

    Of a dowel that is all wood about, no more than its diameter.
    """
    radius, ends = dowel.diameter / 2, []
    for part in parts:
        foot, out = nearest_edge(part.shape, dowel.at)
        rim = dowel.at - radius * out
        depth = min(float((foot - rim) @ out), dowel.diameter)
        ends.append((depth, rim + depth * out, rim))
    _, start, end = max(ends, key=lambda each: each[0])
    return start, end


def _marker(frame: Frame) -> Marker:
    return Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)


def _lone(frame: Frame, dowel: Dowel, off: float, assembly: Assembly) -> Finding:
    limit = assembly.limits["dowel_gap"]
    return _finding(
        frame,
        dowel,
        about=[dowel],
        measured=off,
        limit=limit,
        message=Sentence.of(
            "{dowel} touches no core part: the nearest is {off} off, up to {limit} is allowed",
            dowel=dowel,
            off=mm(off, limit),
            limit=mm(limit, off),
        ),
        cured=_cure(frame, dowel, assembly),
        evidence=(_marker(frame).span(*_deepest(dowel, frame.core)),),
    )


def _cure(frame: Frame, dowel: Dowel, assembly: Assembly) -> Cured:
    """The nearest place at which it touches wood and is in none: an inside corner if one is within its width.

    Clear of the holes of other frames on the board, or in one of them.
    """
    holes = [each for other in assembly.frames if other is not frame for each in other.dowels]
    shut = shapely.union_all([_kept_off(hole, dowel, assembly) for hole in holes])
    shared = shapely.multipoints(
        np.array([hole.at for hole in holes if hole.diameter == dowel.diameter]).reshape(-1, 2)
    )
    others = np.array([other.at for other in frame.dowels if other is not dowel]).reshape(-1, 2)
    tried = []
    for places in dowel_places(frame, dowel.diameter / 2, assembly.limits["dowel_gap"]):
        for one in places:
            if shut.intersects(at := shapely.Point(one.at)) and not shapely.dwithin(shared, at, ONE_HOLE):
                continue
            if not len(others) or np.hypot(*(others - one.at).T).min() > dowel.diameter:
                off = float(np.hypot(one.at[0] - dowel.at[0], one.at[1] - dowel.at[1]))
                tried.append((one.rank % 2 == 1 or off > dowel.diameter, off, one))
    slid, parts = _slid(frame, dowel, shut, shared)
    far = float(np.hypot(*np.subtract(slid, dowel.at)))
    corners = [off for away, off, _ in tried if not away]
    clear = not len(others) or np.hypot(*(others - slid).T).min() > dowel.diameter
    if clear and parts and far < min(corners, default=np.inf) / _CORNER:
        return _moved(
            frame, assembly, dowel, slid, Quantity.of(far, f"{far:.2f} mm" if far < 1 else f"{far:.1f} mm"), parts
        )
    if not tried:
        return "take it out, or make room for it", remove(frame, dowel)
    _, off, best = min(tried, key=lambda one: one[:2])
    return _moved(frame, assembly, dowel, best.at, Quantity.of(off, f"{off:.1f} mm"), best.pushes)


def _moved(
    frame: Frame, assembly: Assembly, dowel: Dowel, at: tuple[float, float], off: Quantity, against: Iterable[Part]
) -> Cured:
    """Moved to a place; surely where that is within its width, and no hole of another frame comes near it there."""
    if not can_be_moved(dowel.diameter, off.value):
        return Sentence.of("{look}; or take it out", look=look_first(frame, assembly)), ()
    said = Sentence.of(
        "move it {off}, to {place}, where it stands against {parts}; or take it out",
        off=off,
        place=place(*at),
        parts=listed(part.name for part in against),
    )
    web = 1.0 + assembly.limits["board_web"]
    holes = [other for each in assembly.frames if each is not frame for other in each.dowels]
    clear = all(np.hypot(*np.subtract(other.at, at)) > web * max(other.diameter, dowel.diameter) for other in holes)
    return said, move(frame, dowel, at, sure=bool(clear and off.value <= dowel.diameter))


def _kept_off(hole: Dowel, dowel: Dowel, assembly: Assembly) -> shapely.Polygon:
    """Where on the board the middle of a dowel would leave too little wood to a hole of another frame."""
    web = assembly.limits["board_web"] * max(hole.diameter, dowel.diameter)
    return disc(hole.at, hole.diameter + dowel.diameter + 2 * web - SLIVER)


def _slid(
    frame: Frame, dowel: Dowel, shut: shapely.Geometry, shared: shapely.Geometry
) -> tuple[tuple[float, float], list[Part]]:
    """The nearest place (y, v) at which the dowel touches the core and is in none of it, and what it touches there.

    Not in what is `shut`, but for `shared` points; where nothing is left, as if nothing were shut.
    """
    wood = shapely.union_all([part.shape for part in frame.core])
    path = along_wood(wood, dowel.diameter)
    on_path = shapely.intersection(shared, shapely.buffer(path, ONE_HOLE))
    free = shapely.get_parts([shapely.difference(path, shut), on_path])
    free = free[~shapely.is_empty(free)]
    near = free[int(np.argmin(shapely.distance(free, shapely.Point(dowel.at))))] if len(free) else path
    _, (y, v) = shapely.get_coordinates(shapely.shortest_line(shapely.Point(dowel.at), near)).tolist()
    reach = dowel.diameter / 2 + max(SLIVER, ONE_HOLE)
    touched = shapely.dwithin([part.shape for part in frame.core], shapely.Point(y, v), reach)
    return (y, v), [part for part, there in zip(frame.core, touched, strict=True) if there]


def _finding(
    frame: Frame,
    dowel: Dowel,
    *,
    about: Sequence[Dowel | Part],
    measured: float,
    limit: float,
    message: str,
    cured: Cured,
    evidence: tuple[Mark, ...],
) -> Finding:
    dowels = [_marker(frame).dowel(each.at, each.diameter) for each in about if isinstance(each, Dowel)]
    return Finding(
        check="dowel",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=_marker(frame).at(dowel.at),
        cure=cured[0],
        edits=cured[1],
        source=dowel.source,
        subjects=subjects(*about),
        measure=Measure(value=measured, limit=limit),
        evidence=(*evidence, *dowels),
    )


CHECK = Check(
    slug="dowel",
    title="A dowel of the assembly board is in the way of a part, or touches nothing",
    level=Level.ERROR,
    limits=("dowel_foul", "dowel_gap"),
    spanless="by how much a dowel is thicker or thinner than the plan's lies half to either side of it",
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

"""Check `way-in`: a part, a frame or a batten that no straight way brings to its place at its step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level, Source, Subject
from scrieve.shared.marks import Arrow, Line, Mark
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import listed

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, places, rail, subject, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..sequence.bench_order import bench_order
from ..sequence.order_refused import refused, why_not
from ..sequence.setting_up import setting_up
from ..sequence.way import Trapped
from .check import Check, Page

_SHORTEST, _LONGEST = 45.0, 150.0  # mm; of an arrow


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for everything that is trapped: on the bench, then on the strongback."""
    named = _named(assembly)
    for frame in assembly.frames:
        parts = {part.name: part for part in frame.parts}
        for trapped in bench_order(frame, assembly.wanted_in(frame)).trapped:
            own = [parts[name] for name in trapped.parts]
            yield _finding(
                trapped, named, own[0].source, _marks(trapped, frame, own) or Marker(frame=frame).outlines(own[0])
            )
    frames = {frame.name: frame for frame in assembly.frames}
    battens = {batten.name: batten for batten in assembly.battens}
    for trapped in setting_up(assembly, assembly.wanted_in(None)).trapped:
        if trapped.thing in frames:
            frame = frames[trapped.thing]
            yield _finding(trapped, named, frame.source, _marks(trapped, frame, frame.parts))
        else:
            batten = battens[trapped.thing]
            marks = _marks(trapped, None, ()) or (Line(points=places(batten.centres)),)
            yield _finding(trapped, named, batten.sections[0].source, marks, _about_batten(trapped, set(frames)))
    yield from _not_kept(assembly, named)


def _named(assembly: Assembly) -> dict[str, Subject]:
    """All that can be trapped or in the way, by name."""
    about = [
        *(subject(frame) for frame in assembly.frames),
        *(subject(part) for part in assembly.parts()),
        *(subject(batten) for batten in assembly.battens),
    ]
    return {each.name: each for each in (rail("port"), rail("starboard"), *about)}


def _marks(trapped: Trapped, frame: Frame | None, own: Sequence[Part]) -> tuple[Mark, ...]:
    """An arrow along the way in that comes nearest to one, its head at what is in the way; none where none does.

    It is a third as long as what goes in, `own`, is that way.
    """
    if trapped.toward is None:
        return ()
    length, plane = _SHORTEST, ""
    if frame is not None:
        along = frame.placement.vector_to_frame([trapped.toward])[0][2]
        plane = frame.number if abs(along) < SLIVER else ""
        corners = [
            frame.placement.to_hull(np.column_stack([flat, np.full(len(flat), w)]))
            for part in own
            for flat in [shapely.get_coordinates(part.shape)]
            for w in (part.low, part.high)
        ]
        length = float(np.clip(np.ptp(np.concatenate(corners) @ trapped.toward) / 3, _SHORTEST, _LONGEST))
    end = np.array(trapped.at)
    return (Arrow(points=places([end - length * np.array(trapped.toward), end]), frame=plane),)


def _about_batten(trapped: Trapped, frames: set[str]) -> Sentence:
    walls = [name for name in trapped.by if name not in frames]
    ends = [name for name in trapped.by if name in frames]
    shut = Sentence.of(", which {walls} {shut},", walls=listed(walls), shut="shuts" if len(walls) == 1 else "shut")
    return Sentence.of(
        "the {batten} can neither be sprung into its notches{shut} nor threaded in endwise past {ends}",
        batten=Name(trapped.thing),
        shut=shut if walls else "",
        ends=listed(ends),
    )


def _finding(
    trapped: Trapped, named: Mapping[str, Subject], source: Source, marks: tuple[Mark, ...], said: str = ""
) -> Finding:
    by = Sentence.of(": {by} {are} in the way", by=listed(trapped.by), are="is" if len(trapped.by) == 1 else "are")
    return Finding(
        check="way-in",
        level=Level.ERROR,
        message=said
        or Sentence.of(
            "no straight way brings {thing} to its place{by}", thing=Name(trapped.thing), by=by if trapped.by else ""
        ),
        frame=trapped.frame,
        at=trapped.at,
        cure=trapped.cure,
        source=source,
        subjects=subjects(*(named[name] for name in (*trapped.parts, *trapped.by))),
        evidence=marks,
    )


def _not_kept(assembly: Assembly, named: Mapping[str, Subject]) -> Iterator[Finding]:
    """A finding for each wish of the plan's `[[order]]` that the ways in do not allow."""
    for wish in refused(assembly):
        yield Finding(
            check="way-in",
            level=Level.ERROR,
            message=Sentence.of("an [[order]] of the plan cannot be kept: {why}", why=why_not(wish, assembly)),
            frame=wish.frame,
            cure="take it out of the plan",
            edits=assembly.keys.without(wish.source, sure=True),
            source=wish.source,
            subjects=subjects(named[wish.first], named[wish.then]),
        )


CHECK = Check(
    slug="way-in",
    title="No way to bring a thing to its place",
    level=Level.ERROR,
    limits=(),
    page=Page(
        looks_at=(
            "The whole boat taken apart, one thing at a time, each along a straight line: the order in which that "
            "goes, backwards, is the order of the steps. On the bench parts are dropped on to the face that lies up, "
            "or slid in its plane; a leg, its plies glued to one another, may come from either face. On the strongback "
            "frames are lowered on to the rails, upright or along their own slope, or slid along from an end. Then "
            "battens are sprung into their notches, frame by frame the way each notch is open, or threaded in from an "
            "end, where no frame beyond that end stands in line. What another thing bars only for now is no fault: it "
            "goes in first. A way in two moves, around a corner, is not looked for, but for a slide to where a "
            "part can be lifted off, and for a batten that is laid into open notches, beside its place, and slid into "
            "closed ones at one end. An [[order]] of the plan that these ways do not allow is named as well."
        ),
        matters=(
            "It all fits on the drawing, and cannot be put together: a leg that clasps a floor and is hooked into it, "
            "a batten in closed holes between two frames that stand. You find out with glue on, and saw."
        ),
        limit=(
            "No limit to set: wood that stands in the way by less than 0.5 mm is sprung past or planed off, as much as "
            "butting parts may be drawn into one another. Common practice, no source."
        ),
        cure=(
            "Take off, or open, what is named, so wide as is given. Or let the thing go in earlier: frames stand "
            "before the first batten goes in unless the plan's [[order]] says otherwise."
        ),
    ),
    on_boat=check,
)

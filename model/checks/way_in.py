"""Check `way-in`: a part, a frame or a batten that no straight way brings to its place at its step."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level, Source

from ..assembly import Assembly
from ..order.bench_order import bench_order
from ..order.order_refused import refused, why_not
from ..order.setting_up import setting_up
from ..order.way import Trapped
from ..wording import listed
from .check import Check, Page


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for everything that is trapped: on the bench, then on the strongback."""
    for frame in assembly.frames:
        sources = {part.name: part.source for part in frame.parts}
        for trapped in bench_order(frame, assembly.wanted_in(frame)).trapped:
            yield _finding(trapped, sources[trapped.parts[0]])
    sources = {frame.name: frame.source for frame in assembly.frames}
    sources |= {batten.name: batten.sections[0].source for batten in assembly.battens}
    for trapped in setting_up(assembly, assembly.wanted_in(None)).trapped:
        is_frame = any(trapped.thing == frame.name for frame in assembly.frames)
        said = "" if is_frame else _about_batten(trapped, {frame.name for frame in assembly.frames})
        yield _finding(trapped, sources[trapped.thing], said)
    yield from _not_kept(assembly)


def _about_batten(trapped: Trapped, frames: set[str]) -> str:
    walls = [name for name in trapped.by if name not in frames]
    ends = listed(name for name in trapped.by if name in frames)
    shut = f", which {listed(walls)} {'shuts' if len(walls) == 1 else 'shut'}," if walls else ""
    return f"the {trapped.thing} can neither be sprung into its notches{shut} nor threaded in endwise past {ends}"


def _finding(trapped: Trapped, source: Source, said: str = "") -> Finding:
    by = f": {listed(trapped.by)} {'is' if len(trapped.by) == 1 else 'are'} in the way" if trapped.by else ""
    return Finding(
        check="way-in",
        level=Level.ERROR,
        message=said or f"no straight way brings {trapped.thing} to its place{by}",
        frame=trapped.frame,
        parts=tuple(sorted({*trapped.parts, *trapped.by})),
        at=trapped.at,
        cure=trapped.cure,
        source=source,
    )


def _not_kept(assembly: Assembly) -> Iterator[Finding]:
    """A finding for each wish of the plan's `[[order]]` that the ways in do not allow."""
    for wish in refused(assembly):
        yield Finding(
            check="way-in",
            level=Level.ERROR,
            message=f"an [[order]] of the plan cannot be kept: {why_not(wish, assembly)}",
            frame=wish.frame,
            parts=tuple(sorted((wish.first, wish.then))),
            cure="take it out of the plan",
            source=wish.source,
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
            "part can be lifted off. An [[order]] of the plan that these ways do not allow is named as well."
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

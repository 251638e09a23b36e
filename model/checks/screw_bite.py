"""Check `screw-bite`: what a screw's tip has in front of it, and what the screw holds on to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.limits import Limits
from scrieve.shared.marks import Mark
from scrieve.shared.screw_table import inch_lengths, inches
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT, falls_short
from scrieve.shared.wording import at_least, mm, place, plain, plates, several

from ..boat.assembly import Assembly
from ..boat.editing import remove
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.proportion import look_first
from ..boat.screw import Screw
from ..plan.plan_keys import PlanKeys
from ..relations.screws.screws_alike import Lacking, lacking
from .check import Check, Page

_ELSEWHERE = "move it to where two parts lie on one another, or take it out of the drawing"


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """A finding for every screw that comes through, leaves too little or holds nothing; a note for each size."""
    limits = assembly.limits
    yield from _bare(frame)
    together = lacking(frame, assembly)
    yield from (_lacking(frame, assembly, group) for group in together)
    told = {screw for group in together for screw in group.screws}
    short: dict[str, list[Screw]] = {}
    for screw in frame.screws:
        if not screw.plies:
            continue
        single = screw.penetration <= COINCIDENT
        if screw in told:
            continue
        if single:
            yield _single(frame, screw) if not falls_short(screw.left_beyond, 0.0) else _into_air(frame, screw)
        elif falls_short(screw.left_beyond, limits["screw_bite"]):
            yield _through(frame, screw, assembly)
        if not single and falls_short(screw.penetration, limits["screw_penetration"] * screw.size.diameter):
            short.setdefault(screw.size.name, []).append(screw)
    for name in sorted(short):
        yield _short(frame, sorted(short[name], key=lambda s: s.name), limits)


def _bare(frame: Frame) -> Iterator[Finding]:
    """One error for each screw that meets no wood; but one in all where none of the frame does, or none of a size."""
    if len(frame.screws) > 1 and not any(screw.plies for screw in frame.screws):
        yield _all_bare(frame, frame.screws, "screws")
        return
    for size in sorted({screw.size.name for screw in frame.screws}):
        alike = [screw for screw in frame.screws if screw.size.name == size]
        if len(alike) > 1 and not any(screw.plies for screw in alike):
            yield _all_bare(frame, alike, Sentence.of("{size} screws", size=Name(size)))
        else:
            yield from (_one_bare(frame, screw) for screw in alike if not screw.plies)


def _one_bare(frame: Frame, screw: Screw) -> Finding:
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=Sentence.of("{screw} meets no wood: there is no part under its axis on any face", screw=screw),
        frame=frame.number,
        at=frame.placement.point(*screw.at, screw.head),
        cure="move it onto the parts it is meant to hold, or take it out of the drawing",
        edits=remove(frame, screw),
        source=screw.source,
        subjects=subjects(screw),
        evidence=(Marker(frame=frame).screw(screw),),
    )


def _all_bare(frame: Frame, screws: Sequence[Screw], what: str) -> Finding:
    """Where not one meets wood it is seldom the screws: the parts are not there, or somewhere else."""
    first = min(screws, key=lambda screw: screw.name)
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=Sentence.of(
            "none of the {count} {what} of {frame} meets wood: there is no part under their axes on any face",
            count=plain(len(screws)),
            what=what,
            frame=frame,
        ),
        frame=frame.number,
        at=frame.placement.point(*first.at, first.head),
        cure=(
            "see that the layers of the parts are named in the plan as in the drawing, and that parts and screws are "
            "drawn to one origin"
        ),
        source=first.source,
        subjects=subjects(*screws),
        evidence=tuple(Marker(frame=frame).screw(screw) for screw in screws),
    )


def _lacking(frame: Frame, assembly: Assembly, group: Lacking) -> Finding:
    """One error for screws that hold nothing, because what others of their size hold is not there."""
    screws, (first, *_) = group.screws, group.screws
    only = {ply.part.name: ply.part for screw in screws for ply in screw.plies}
    role = Name("part" if group.role == "plate" else group.role)
    behind = Sentence.of("there is no core behind it" if len(only) == 1 else "there is no core behind them")
    on_top = Sentence.of("no {role} lies under their heads, as under others of that size", role=role)
    draw = Sentence.of("draw the {role} that they hold", role=role)
    if group.across is not None:
        on_top = Sentence.of("they hold nothing, as their mirror images hold {across}", across=group.across)
        draw = Sentence.of("draw what they hold, the mirror image of {across}", across=group.across)
    mark = Marker(frame=frame)
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=Sentence.of(
            "{count} screws of {frame} ({size}) pass {parts} only: {lacks}",
            count=plain(len(screws)),
            frame=frame,
            size=Name(first.size.name),
            parts=plates(sorted(only)),
            lacks=behind if group.role == "core" else on_top,
        ),
        frame=frame.number,
        at=frame.placement.point(*first.at, first.head),
        cure=look_first(frame, assembly)
        if group.role == "core"
        else Sentence.of(
            "{draw}, about {place}, or see that it is read and lies on the {face}",
            draw=draw,
            place=place(*first.at),
            face="face that they are driven from"
            if group.across is None
            else Sentence.of("{face} face", face=Name(group.across.face)),
        ),
        source=first.source,
        subjects=subjects(*screws, *only.values()),
        evidence=tuple(mark.screw(screw) for screw in screws),
    )


def _past_wood(frame: Frame, screw: Screw) -> tuple[Mark, ...]:
    """From the far face of the wood to the tip, and the screw."""
    mark = Marker(frame=frame)
    return (*mark.spans((*screw.at, screw.far), (*screw.at, screw.tip)), mark.screw(screw))


def _through(frame: Frame, screw: Screw, assembly: Assembly) -> Finding:
    """The tip comes through the last ply, or leaves less than the limit in front of it."""
    left, want, last = screw.left_beyond, assembly.limits["screw_bite"], screw.plies[-1].part
    cure, edits = _shorter(screw, want - left, assembly.keys)
    through = left < -COINCIDENT
    said = "comes {past} through the far face of" if through else "leaves only {past} of"
    return Finding(
        check="screw-bite",
        level=Level.ERROR if through else Level.WARNING,
        message=Sentence.of(
            f"{{screw}} ({{size}}) {said} {{last}}; {{want}} must be left beyond its tip",
            screw=screw,
            size=Name(screw.size.name),
            past=mm(-left, 0.0) if through else mm(max(left, 0.0), want),
            last=last,
            want=mm(want, left),
        ),
        frame=frame.number,
        at=frame.placement.point(*screw.at, screw.tip if through else screw.far),
        cure=cure,
        edits=edits,
        source=screw.source,
        subjects=subjects(screw, last),
        measure=(
            Measure(value=-left, limit=0.0, words="{value} through")
            if through
            else Measure(value=left, limit=want, sense="least", words="{value} left, {limit} wanted")
        ),
        evidence=_past_wood(frame, screw),
    )


def _shorter(screw: Screw, excess: float, keys: PlanKeys) -> tuple[Sentence, tuple[Edit, ...]]:
    """The longest screw that leaves enough, if it still reaches past its first ply; else a thicker ply."""
    last = screw.plies[-1]
    pocketed = last.thickness < last.part.thickness - COINCIDENT
    thicker = Sentence.of(
        "{wood}{ply} at least {excess} thicker",
        wood="what a pocket leaves of " if pocketed else "",
        ply=last.part,
        excess=at_least(excess),
    )
    longest = screw.size.length - excess
    if screw.size.gauge is not None:
        longest = max((n for n in inch_lengths() if n <= longest + COINCIDENT), default=0.0)
    first = screw.plies[0]
    if longest <= first.thickness + COINCIDENT:
        return Sentence.of(
            "no shorter screw reaches past {first}: make {thicker}", first=first.part, thicker=thicker
        ), ()
    kind = ("screws", screw.kind)
    if screw.size.gauge is None:
        most = np.floor(longest * 10 + COINCIDENT) / 10
        said = Sentence.of(
            "take a screw no longer than {most}, or make {thicker}",
            most=Quantity.of(most, f"{most:.1f} mm"),
            thicker=thicker,
        )
        return said, keys.set(kind, "length", float(most))
    said = Sentence.of(
        "take a {length} screw, which leaves {left}, or make {thicker}",
        length=Quantity.of(longest, inches(longest)),
        left=mm(screw.left_beyond + screw.size.length - longest),
        thicker=thicker,
    )
    return said, keys.set(kind, "length", inches(longest))


def _single(frame: Frame, screw: Screw) -> Finding:
    """The screw passes one ply and joins nothing to nothing."""
    ply = screw.plies[0]
    stops = abs(screw.tip - screw.head) <= ply.thickness + COINCIDENT < abs(screw.far - screw.head)
    if stops:
        message = Sentence.of(
            "{screw} ({size}) ends inside {ply} and reaches nothing behind it",
            screw=screw,
            size=Name(screw.size.name),
            ply=ply.part,
        )
        more = ply.thickness - screw.size.length
        cure: str = Sentence.of("take a screw more than {more} longer", more=at_least(more))
        if more <= COINCIDENT:
            cure = "take a longer screw"
        edits: tuple[Edit, ...] = ()
    else:
        message = Sentence.of(
            "{screw} passes {ply} only: there is nothing behind it to hold", screw=screw, ply=ply.part
        )
        cure, edits = _ELSEWHERE, remove(frame, screw)
    return Finding(
        check="screw-bite",
        level=Level.WARNING,
        message=message,
        frame=frame.number,
        at=frame.placement.point(*screw.at, screw.head),
        cure=cure,
        edits=edits,
        source=screw.source,
        subjects=subjects(screw, ply.part),
        measure=Measure(value=0.0),
        evidence=(Marker(frame=frame).screw(screw),),
    )


def _into_air(frame: Frame, screw: Screw) -> Finding:
    """The screw comes through its only ply: neither a shorter one nor thicker plywood makes it join anything."""
    ply = screw.plies[0].part
    axis = shapely.Point(screw.at)
    over = [part for part in frame.parts if part is not ply and part.pockets and part.is_under(axis, *screw.at)]
    nothing: str = Sentence.of("nothing behind {ply} there", ply=ply)
    if over:
        nothing = Sentence.of("a pocket of {part} behind {ply} there", part=over[0], ply=ply)
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=Sentence.of(
            "{screw} ({size}) comes {past} through the far face of {ply}: there is {nothing}",
            nothing=nothing,
            screw=screw,
            size=Name(screw.size.name),
            past=mm(-screw.left_beyond, 0.0),
            ply=ply,
        ),
        frame=frame.number,
        at=frame.placement.point(*screw.at, screw.tip),
        cure=_ELSEWHERE,
        edits=remove(frame, screw),
        source=screw.source,
        subjects=subjects(screw, ply),
        measure=Measure(value=-screw.left_beyond, limit=0.0, words="{value} through"),
        evidence=_past_wood(frame, screw),
    )


def _short(frame: Frame, screws: list[Screw], limits: Limits) -> Finding:
    """One note for all screws of one size that hold less than the penetration of a rated load."""
    held = [screw.penetration for screw in screws]
    worst = screws[int(np.argmin(np.round(held, 6)))]  # the first of those alike, whatever their rounding
    factor, size = limits["screw_penetration"], worst.size
    need = factor * size.diameter
    least: str = mm(min(held), need)
    if max(held) - min(held) >= 0.005:
        least = Sentence.of("as little as {least}", least=least)
    hold, they, carry = ("holds", "it clamps", "carries") if len(screws) == 1 else ("hold", "they clamp", "carry")
    mark = Marker(frame=frame)
    ends = worst.plies[0].leaves, max((ply.leaves for ply in worst.plies), key=lambda w: abs(w - worst.head))
    return Finding(
        check="screw-bite",
        level=Level.NOTE,
        message=Sentence.of(
            f"{{screws}} ({{size}}) {hold} {{least}}, less than {{factor}} D = {{need}}: {they} the glue joint and "
            f"{carry} no rated load",
            screws=several([s.name for s in screws], "screws"),
            size=Name(size.name),
            least=least,
            factor=plain(factor),
            need=mm(need, min(held)),
        ),
        frame=frame.number,
        at=frame.placement.point(*worst.at, worst.tip),
        cure="none needed where glue carries the joint",
        source=worst.source,
        subjects=subjects(*screws),
        measure=Measure(value=min(held), limit=need, sense="least", words="holds {value}, {limit} wanted"),
        evidence=(*mark.spans(*((*worst.at, w) for w in ends)), mark.screw(worst)),
    )


CHECK = Check(
    slug="screw-bite",
    title="What a screw holds",
    level=Level.ERROR,
    limits=("screw_bite", "screw_penetration"),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every screw, driven until its head is flush with the first part under its axis: the parts it passes, "
            "one lying on another, and the wood left between its tip and the far face of the last of them. It also "
            "looks at how much of the screw is in wood beyond the first part, and whether there is anything "
            "there at all."
        ),
        matters=(
            "A tip that comes through spoils a face that shows, cuts the hand that sands it and keeps the next "
            "gusset from lying down. A tip that ends just under the face lifts the veneer. A screw that reaches "
            "nothing behind its first part draws nothing together while the glue sets. And a short screw is a clamp, "
            "no more: whoever counts on it for strength should know."
        ),
        limit=(
            "Error where the tip passes the far face, or the axis meets no wood. Warning where less than "
            "`screw_bite`, 1 mm, is left (common practice, no source), and for a screw in a single part. Note "
            "where the screw is in less than `screw_penetration`, 6 diameters, beyond the first part: the least "
            "penetration for a rated load in ANSI/AWC NDS-2018, 12.1.5.6, tip included. Sheet frames seldom reach "
            "it, so all screws of a size in a frame make one note. Nothing here is a statement of strength."
        ),
        cure=(
            "Take the length the finding names: the longest that leaves enough and still passes the first part, of "
            "those sold (by 1/8 in up to 1 in, by 1/4 in to 3 in: US Navy training manual 14119; metric screws are "
            "given as a greatest length). Where none does, a thicker part, or the screw moved to where more wood lies. "
            "Where several screws of a size lack the gusset, leg or core that others of that size hold, that part is "
            "missing, not the screws wrong."
        ),
    ),
)

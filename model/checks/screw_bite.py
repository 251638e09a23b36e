"""Check `screw-bite`: what a screw's tip has in front of it, and what the screw holds on to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from scrieve.shared.findings import Finding, Level
from scrieve.shared.limits import Limits
from scrieve.shared.screw_table import inch_lengths, inches
from scrieve.shared.tolerances import COINCIDENT, falls_short

from ..assembly import Assembly
from ..frame import Frame
from ..screw import Screw
from ..wording import at_least, mm, several, told
from .check import Check, Page

_ELSEWHERE = "move it to where two parts lie on one another, or take it out of the drawing"


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """A finding for every screw that comes through, leaves too little or holds nothing; a note for each size."""
    limits = assembly.limits
    yield from _bare(frame)
    short: dict[str, list[Screw]] = {}
    for screw in frame.screws:
        if not screw.plies:
            continue
        single = screw.penetration <= COINCIDENT
        if single:
            yield _single(frame, screw) if not falls_short(screw.left_beyond, 0.0) else _into_air(frame, screw)
        elif falls_short(screw.left_beyond, limits["screw_bite"]):
            yield _through(frame, screw, limits)
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
            yield _all_bare(frame, alike, f"{size} screws")
        else:
            yield from (_one_bare(frame, screw) for screw in alike if not screw.plies)


def _one_bare(frame: Frame, screw: Screw) -> Finding:
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=f"{screw.name} meets no wood: there is no part under its axis on any face",
        frame=frame.number,
        parts=(screw.name,),
        at=frame.placement.point(*screw.at, screw.head),
        cure="move it onto the parts it is meant to hold, or take it out of the drawing",
        source=screw.source,
    )


def _all_bare(frame: Frame, screws: Sequence[Screw], what: str) -> Finding:
    """Where not one meets wood it is seldom the screws: the parts are not there, or somewhere else."""
    first = min(screws, key=lambda screw: screw.name)
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=(
            f"none of the {len(screws)} {what} of {frame.name} meets wood: "
            "there is no part under their axes on any face"
        ),
        frame=frame.number,
        parts=tuple(sorted(screw.name for screw in screws)),
        at=frame.placement.point(*first.at, first.head),
        cure=(
            "see that the layers of the parts are named in the plan as in the drawing, and that parts and screws are "
            "drawn to one origin"
        ),
        source=first.source,
    )


def _through(frame: Frame, screw: Screw, limits: Limits) -> Finding:
    """The tip comes through the last ply, or leaves less than the limit in front of it."""
    left, want, last = screw.left_beyond, limits["screw_bite"], screw.plies[-1].part
    through = falls_short(left, 0.0)
    left_told = f"leaves only {mm(max(left, 0.0), want)} of"
    said = f"comes {mm(-left, 0.0)} through the far face of" if through else left_told
    return Finding(
        check="screw-bite",
        level=Level.ERROR if through else Level.WARNING,
        message=f"{screw.name} ({screw.size.name}) {said} {last.name}; {mm(want, left)} must be left beyond its tip",
        frame=frame.number,
        parts=tuple(sorted((screw.name, last.name))),
        at=frame.placement.point(*screw.at, screw.tip if through else screw.far),
        measured=-left if through else left,
        limit=0.0 if through else want,
        unit="mm",
        cure=_shorter(screw, want - left),
        source=screw.source,
    )


def _shorter(screw: Screw, excess: float) -> str:
    """The longest screw that leaves enough, if it still reaches past its first ply; else a thicker ply."""
    thicker = f"{screw.plies[-1].part.name} at least {at_least(excess)} thicker"
    longest = screw.size.length - excess
    if screw.size.gauge is not None:
        longest = max((n for n in inch_lengths() if n <= longest + COINCIDENT), default=0.0)
    first = screw.plies[0].part.thickness
    if longest <= first + COINCIDENT:
        return f"no shorter screw reaches past {screw.plies[0].part.name}: make {thicker}"
    if screw.size.gauge is None:
        return f"take a screw no longer than {np.floor(longest * 10 + COINCIDENT) / 10:.1f} mm, or make {thicker}"
    left = screw.left_beyond + screw.size.length - longest
    return f"take a {inches(longest)} screw, which leaves {mm(left)}, or make {thicker}"


def _single(frame: Frame, screw: Screw) -> Finding:
    """The screw passes one ply and joins nothing to nothing."""
    ply = screw.plies[0]
    stops = abs(screw.tip - screw.head) <= ply.part.thickness + COINCIDENT < abs(screw.far - screw.head)
    if stops:
        lacking = ply.part.thickness - screw.size.length
        message = f"{screw.name} ({screw.size.name}) ends inside {ply.part.name} and reaches nothing behind it"
        cure = f"take a screw more than {at_least(lacking)} longer"
    else:
        message = f"{screw.name} passes {ply.part.name} only: there is nothing behind it to hold"
        cure = _ELSEWHERE
    return Finding(
        check="screw-bite",
        level=Level.WARNING,
        message=message,
        frame=frame.number,
        parts=tuple(sorted((screw.name, ply.part.name))),
        at=frame.placement.point(*screw.at, screw.head),
        measured=0.0,
        unit="mm",
        cure=cure,
        source=screw.source,
    )


def _into_air(frame: Frame, screw: Screw) -> Finding:
    """The screw comes through its only ply: neither a shorter one nor thicker plywood makes it join anything."""
    ply = screw.plies[0].part
    return Finding(
        check="screw-bite",
        level=Level.ERROR,
        message=(
            f"{screw.name} ({screw.size.name}) comes {mm(-screw.left_beyond, 0.0)} through the far face of {ply.name}: "
            f"there is nothing behind {ply.name} there"
        ),
        frame=frame.number,
        parts=tuple(sorted((screw.name, ply.name))),
        at=frame.placement.point(*screw.at, screw.tip),
        measured=-screw.left_beyond,
        limit=0.0,
        unit="mm",
        cure=_ELSEWHERE,
        source=screw.source,
    )


def _short(frame: Frame, screws: list[Screw], limits: Limits) -> Finding:
    """One note for all screws of one size that hold less than the penetration of a rated load."""
    held = [screw.penetration for screw in screws]
    worst = screws[int(np.argmin(np.round(held, 6)))]  # the first of those alike, whatever their rounding
    factor, size = limits["screw_penetration"], worst.size
    need = factor * size.diameter
    least = mm(min(held), need) if max(held) - min(held) < 0.005 else f"as little as {mm(min(held), need)}"
    hold, they, carry = ("holds", "it clamps", "carries") if len(screws) == 1 else ("hold", "they clamp", "carry")
    return Finding(
        check="screw-bite",
        level=Level.NOTE,
        message=(
            f"{several([s.name for s in screws], 'screws')} ({size.name}) {hold} {least}, less than "
            f"{factor:g} D = {told(need, min(held), least=1)} mm: {they} the glue joint and {carry} no rated load"
        ),
        frame=frame.number,
        parts=tuple(screw.name for screw in screws),
        at=frame.placement.point(*worst.at, worst.tip),
        measured=min(held),
        limit=need,
        unit="mm",
        cure="none needed where glue carries the joint",
        source=worst.source,
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
            "given as a greatest length). Where none does, a thicker part, or the screw moved to where more wood lies."
        ),
    ),
)

"""Check `foul`: two solids that want the same space."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.findings import Finding, Level

from ..assembly import Assembly
from ..foul import Foul
from ..fouls_in_frame import batten_fouls, part_fouls, screw_fouls
from ..fouls_in_space import frame_fouls, rail_fouls
from ..fouls_of_battens import long_fouls
from ..wording import at_least, mm, ways
from .check import Check, Page


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for every two things that overlap deeper than the limit, whatever their order."""
    limit = assembly.limits["foul"]
    for foul in (
        *part_fouls(assembly.frames, limit),
        *batten_fouls(assembly),
        *screw_fouls(assembly.frames, limit),
        *frame_fouls(assembly.frames, limit),
        *rail_fouls(assembly),
        *long_fouls(assembly),
    ):
        yield _finding(foul)


def _finding(foul: Foul) -> Finding:
    also = f", and {foul.also} more of the same two frames" if foul.also else ""
    return Finding(
        check="foul",
        level=Level.ERROR,
        message=f"{foul.first} and {foul.second} overlap by {mm(foul.depth)}, want {mm(foul.limit)} at most{also}",
        frame=foul.frame,
        parts=(foul.first, foul.second),
        at=foul.at,
        measured=foul.depth,
        limit=foul.limit,
        unit="mm",
        cure=_cure(foul),
        source=foul.source,
    )


def _cure(foul: Foul) -> str:
    out, back = ways(foul.way), ways(np.negative(foul.way))
    return f"move {foul.first} at least {at_least(foul.room)} {out}, or {foul.second} as far {back}"


CHECK = Check(
    slug="foul",
    title="Two things in one place",
    level=Level.ERROR,
    limits=("foul",),
    on_boat=check,
    page=Page(
        looks_at=(
            "Everything solid against everything solid: the parts of a frame in each layer, screws against battens and "
            "against parts they were not meant for, frames against their neighbours, parts and battens against the "
            "rails, battens against battens. What other checks look at is left to them: core parts that butt "
            "(joint-gap), battens in plies (notch-foul, notch-missing), screws with screws of their own frame "
            "(screw-foul), wood the cutter leaves (corner), and a leg less than 10 mm into its rail (leg-bottom, "
            "leg-side). Glued faces only touch, and a screw in its own wood is no foul."
        ),
        matters=(
            "Two parts drawn into one another come off the machine each true to its drawing, and will not go together. "
            "By then the sheet is cut. Planing one to fit moves the next part, the notch or the "
            "frame's outer line."
        ),
        limit=(
            "`foul`, 0.1 mm, which is less than a saw mark and more than any rounding of a drawing (common practice, "
            "no source). What counts is depth, not volume. Within a frame it is the widest circle that fits in "
            "the overlap, or the shared thickness if that is less. Elsewhere it is the least width of the overlap's "
            "convex hull over the normals of its faces, which is exact for boxes; battens are taken in stretches "
            "of 25 mm."
        ),
        cure=(
            "Move one of the two apart by the length and the way given, or cut that much off its edge. Between "
            "two frames only the worst place is listed, with the number of the others: there it is nearly always "
            "a station or a rake."
        ),
    ),
)

"""Check `notch-missing`: a batten crosses a frame that has no notch for it."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.wording import at_least, listed, place

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import Marker, subjects
from ..relations.notches.notch import Crossing, crossings
from .check import Check, Page


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every frame in whose core more than half of the batten's section lies."""
    for crossing in crossings(batten, assembly.frames):
        if crossing.unnotched:
            yield _finding(crossing)


def _finding(crossing: Crossing) -> Finding:
    batten, frame = crossing.batten, crossing.frame
    parts = [part for part in frame.parts if crossing.missing_in(part) and crossing.share_in(part) > 0.0]
    worst = max(parts, key=lambda part: (part in frame.core, crossing.share_in(part), part.name))
    ring = crossing.ring(frame.core_low, frame.core_high)
    y, v = (float(c) for c in ring.mean(axis=0))
    long, short = crossing.notch_size(frame.core_low, frame.core_high)
    marker = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
    shared = [
        region
        for part in (worst, *(part for part in parts if part is not worst))
        for region in marker.common(crossing.passage(part.low, part.high), part.shape, part.low, part.high)
    ]
    return Finding(
        check="notch-missing",
        level=Level.ERROR,
        message=Sentence.of(
            "the {batten} runs through {parts}, where there is no notch for it",
            batten=batten,
            parts=listed(part.name for part in parts),
        ),
        frame=frame.number,
        at=frame.placement.point(y, v, marker.w),
        cure=Sentence.of(
            "cut a notch of {long} x {short} about {place}, or end the batten before {frame}",
            long=Quantity.of(long, f"{at_least(long).value:.1f}"),
            short=at_least(short),
            place=place(y, v),
            frame=frame,
        ),
        source=worst.source,
        subjects=subjects(batten, worst, *parts),
        evidence=tuple(shared),
    )


CHECK = Check(
    slug="notch-missing",
    title="A batten crosses a frame that has no notch for it",
    level=Level.ERROR,
    limits=(),
    rests_on="batten",
    page=Page(
        looks_at=(
            "Every batten at every frame between its first and its last, whether or not a section of it is drawn "
            "there: where none is, its place is where the curve through the other sections passes. If more than half "
            "of the section lies in wood of the core, there is no notch. A frame that the batten passes clear of, as "
            "a sheer batten passes a low floor, needs none and is not mentioned."
        ),
        matters=(
            "The batten cannot be laid in, or only after a notch is sawn by eye in a frame that already stands on "
            "the strongback. Most often a frame was drawn from another one and a notch was forgotten."
        ),
        limit="No limit to set: half of the batten's section in wood. Common practice, no source.",
        cure=(
            "Cut the notch in the core, and in the gussets and plates that are named with it, about the place given "
            "in the frame's drawing; its size is all that the batten takes up from face to face of the core, square to "
            "the sides of the section, before any clearance; gussets and plates may want it larger. Or end "
            "the batten before that frame by leaving out its sections from there on."
        ),
    ),
    on_batten=check,
)

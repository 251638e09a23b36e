"""What drawings leave unjudged: said in notes, so that silence is never taken for a clean bill."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Sentence

from ..boat.defect import Defect
from ..boat.frame import Frame
from ..plan.plan import Plan


def unjudged(plan: Plan, frames: Sequence[Frame]) -> tuple[Defect, ...]:
    """A note for each thing that no drawing shows, so that no check looked at it."""
    return tuple(_undrawn(plan, frames))


def _undrawn(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """Screws are checked as drawn or as laid out: where a gusseted frame has none there was nothing to check."""
    without = [f.name for f in frames if not f.screws and any(part.role == "gusset" for part in f.parts)]
    if without:
        frames_told = Name(", ".join(without))
        message = Sentence.of(
            "no screws are drawn in {frames}: nothing about them was checked there", frames=frames_told
        )
        yield Defect(message=message, level=Level.NOTE, source=Source(file=plan.file.name))

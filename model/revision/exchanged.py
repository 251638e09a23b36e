"""Frames whose drawings have changed places between two states of a boat."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations

from scrieve.shared.tolerances import exceeds

from ..boat.assembly import Assembly
from ..boat.frame import Frame
from .part_changes import farthest


def exchanged(old: Assembly, new: Assembly, changed: Collection[str]) -> Iterator[tuple[str, str]]:
    """The numbers of every two `changed` frames of which each now has the parts that the other had."""
    limit = new.limits["cut_sheet"]
    before = {frame.number: frame for frame in old.frames}
    there = [frame for frame in new.frames if frame.number in before and frame.number in changed]
    for one, other in combinations(there, 2):
        if _alike(one, before[other.number], limit) and _alike(other, before[one.number], limit):
            yield one.number, other.number


def _alike(one: Frame, other: Frame, limit: float) -> bool:
    """Whether the parts of a frame are those of another, of the same labels and stock, in the same places."""
    mine, its = (
        sorted(frame.parts, key=lambda part: (part.label, part.face, part.shape.bounds)) for frame in (one, other)
    )
    return (
        [(part.label, part.face, part.stock) for part in mine] == [(part.label, part.face, part.stock) for part in its]
        and bool(mine)
        and not any(exceeds(farthest(a.shape, b.shape)[0], limit) for a, b in zip(mine, its, strict=True))
    )

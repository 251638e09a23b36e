"""Names in a plan's `[[order]]` that no drawing shows: known only once the drawings are read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from scrieve.shared.nearest import did_you_mean
from scrieve.shared.sentences import Name, Sentence

from ..boat.batten import Batten
from ..boat.defect import Defect
from ..boat.frame import Frame
from ..plan.plan_order import Before
from ..plan.toml_words import quoted


def resolved(wishes: Iterable[Before], frames: Iterable[Frame], battens: Iterable[Batten]) -> tuple[Before, ...]:
    """The wishes with their names as reports have them, whatever capitals the plan writes."""
    names = [part.name for frame in frames for part in frame.parts] + [batten.name for batten in battens]
    spelt = {name.casefold(): name for name in names}
    return tuple(
        replace(
            wish, first=spelt.get(wish.first.casefold(), wish.first), then=spelt.get(wish.then.casefold(), wish.then)
        )
        for wish in wishes
    )


def unknown(wishes: Iterable[Before], frames: Iterable[Frame], battens: Iterable[Batten]) -> Iterator[Defect]:
    """A defect for each name in the wishes that is a part's or a batten's and that no drawing shows."""
    parts: dict[str, list[str]] = {frame.number: [part.name for part in frame.parts] for frame in frames}
    followed = [batten.name for batten in battens]
    for wish in wishes:
        for name in (wish.first, wish.then):
            if wish.frame:
                there = parts[wish.frame]
                what: str = Sentence.of("a part that the drawing of F{frame} does not show", frame=Name(wish.frame))
            else:
                there, what = [*followed, *(f"F{number}" for number in parts)], "a batten that the drawings do not show"
            if name not in there:
                yield Defect(
                    message=Sentence.of(
                        "[[order]] names {what}{meant} (got {name})",
                        what=what,
                        meant=Name(did_you_mean(name, there)),
                        name=Name(quoted(name)),
                    ),
                    source=wish.source,
                    cure="name it as reports do, with its face where there is one on each",
                )

"""Labels that stand in several outlines, where one of those has several labels and another none."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from .figure import Figure
from .holes import holes_of

Fits: TypeAlias = Callable[[str, Figure], int]
"""How well a text goes with an outline: more is better."""

_MOST_WAYS = 20_000  # ways to share out labels that are followed at once; where there are more, labels stay

_Score: TypeAlias = tuple[int, int]  # how well all fit; less the labels that are moved


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """A label, the figure that it names so far, and those that it could name, this one first."""

    text: str
    holder: int
    inside: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sharing:
    """The best score of a way to share out, and for each label its figure: None where ways of that score differ."""

    score: _Score
    chosen: tuple[int | None, ...]


def shift_labels(
    found: list[list[str]],
    figures: Sequence[Figure],
    standing: Iterable[tuple[str, Sequence[int]]],
    fits: Fits,
    titles: Collection[str],
    beside: Collection[str],
) -> None:
    """Moves labels in `found`, the texts of each figure, where a part has several of them.

    Those that hang together by the parts that they stand in are shared out one to a part, so that they fit best and as
    few as can be are moved. Moved are those that every way as good gives the same part. `titles` name no part, nor do
    those `beside` another text; holes and borders want no label. A text that names several outlines drawn over one
    another stays.
    """
    kept = [[text for text in said if text not in titles] for said in found]
    kept = [[text for text in said if text not in beside] or said for said in kept]
    if all(len(said) < 2 for said in kept):
        return
    holes, borders = holes_of(figures, [bool(said) for said in found])
    free = {i for i, figure in enumerate(figures) if figure.makes == "part" and i not in holes and i not in borders}
    labels: dict[tuple[str, int], _Held] = {}
    for text, inside in standing:
        holders = [i for i in inside if text in kept[i]]
        free.difference_update(holders if len(holders) > 1 else ())
        if len(holders) == 1:
            twin = labels.get((text, holders[0]))  # the same, written twice
            could = tuple(i for i in inside if i != holders[0] and (twin is None or i in twin.inside))
            labels[text, holders[0]] = _Held(text=text, holder=holders[0], inside=(holders[0], *could))
    waiting = [
        replace(label, inside=tuple(i for i in label.inside if i in free))
        for label in labels.values()
        if label.holder in free
    ]
    for contested in [i for i, said in enumerate(kept) if len(said) > 1]:
        group = _hanging_together(contested, waiting)
        for label, index in zip(group, _shared_out(group, figures, fits), strict=True):
            waiting.remove(label)
            if index not in (None, label.holder):
                found[label.holder].remove(label.text)
                found[index].append(label.text)


def _hanging_together(start: int, labels: Sequence[_Held]) -> list[_Held]:
    """The labels that could name a figure, those that could name others of theirs, and so on."""
    reached, group = {start}, list[_Held]()
    while more := [label for label in labels if label not in group and not reached.isdisjoint(label.inside)]:
        group += more
        reached.update(i for label in more for i in label.inside)
    return group


def _shared_out(labels: Sequence[_Held], figures: Sequence[Figure], fits: Fits) -> tuple[int | None, ...]:
    """For each label its figure, no two the same, in the best way; None where that leaves a choice, or if none is."""
    ways = {frozenset[int](): _Sharing(score=(0, 0), chosen=())}
    for label in labels:
        further: dict[frozenset[int], _Sharing] = {}
        for taken, way in ways.items():
            for index in label.inside:
                if index in taken:
                    continue
                score = (way.score[0] + fits(label.text, figures[index]), way.score[1] - (index != label.holder))
                one = _Sharing(score=score, chosen=(*way.chosen, index))
                also = taken | {index}
                further[also] = _better(further[also], one) if also in further else one
        ways = further
        if not 0 < len(ways) <= _MOST_WAYS:
            return (None,) * len(labels)
    best, *others = ways.values()
    for other in others:
        best = _better(best, other)
    return best.chosen


def _better(one: _Sharing, other: _Sharing) -> _Sharing:
    if one.score != other.score:
        return max(one, other, key=lambda way: way.score)
    return replace(one, chosen=tuple(a if a == b else None for a, b in zip(one.chosen, other.chosen, strict=True)))

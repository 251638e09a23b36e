"""A layer of the drawings: what lies on it, and what that is taken for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .content import Content


@dataclass(frozen=True, kw_only=True)
class LayerTaken:
    """A layer: how many objects of each kind it holds, the sizes of its circles, some of its texts; and what it makes.

    `makes` and the keys that go with it are as in a plan, "" for a layer that is taken for nothing. `because` says why;
    `proved` is false where it is no more than the usual. Of what is in the core so many are `mixed`, over others of it.
    """

    layer: str
    counts: Mapping[str, int]
    diameters: tuple[float, ...] = ()
    texts: tuple[str, ...] = ()
    makes: str = ""
    face: str = ""
    role: str = ""
    driven_from: str = ""
    because: str = ""
    proved: bool = True
    mixed: int = 0

    @property
    def makes_part(self) -> bool:
        """Whether what is on it is cut from stock."""
        return self.makes == "part"


def counted(contents: Sequence[Content]) -> list[LayerTaken]:
    """What lies on every layer of these drawings."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    sizes: dict[str, set[float]] = defaultdict(set)
    texts: dict[str, set[str]] = defaultdict(set)
    for content in contents:
        for layer in content.layers:
            counts[layer]["outline"] += 1
        for mark in content.marks:
            if mark.diameter or not counts[mark.layer]["outline"]:  # a block's place beside what it draws is no mark
                counts[mark.layer]["circle" if mark.diameter else "mark"] += 1
            if mark.diameter:
                sizes[mark.layer].add(round(mark.diameter, 2))
        for layer in content.lines[1]:
            counts[layer]["line"] += 1
        for text in content.drawing.texts:
            counts[text.layer]["text"] += 1
            texts[text.layer].add(text.text)
        for chain in content.drawing.chains:
            counts[chain.layer]["line"] += 0  # a layer of bent open lines is one too
    return [
        LayerTaken(
            layer=layer,
            counts={what: many for what, many in sorted(counts[layer].items()) if many},
            diameters=tuple(sorted(sizes[layer])),
            texts=tuple(sorted(texts[layer])),
        )
        for layer in sorted(counts)
    ]

"""Which part a text on a cut sheet means."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence

from scrieve.shared.names import within_frame

from ..boat.part import Part
from ..plan.label_reading import LabelReader

_BETWEEN = re.compile(r"[\W_]+")

Meant = frozenset[int]


class Names:
    """The names of parts, as people write them: "F5 port side", "5 port side", "port side F5", "port side".

    Case, and what stands between words, count for nothing. A plate's name without its face means the
    plates of both faces; a label without a frame means that part of every frame.
    """

    def __init__(self, parts: Sequence[Part], reader: LabelReader) -> None:
        self._reader = reader
        self._exact = {part.name: frozenset((index,)) for index, part in enumerate(parts)}
        self._parts = parts
        self._loose: dict[str, Meant] = {}

    def meant(self, texts: Sequence[str]) -> Meant:
        """The parts, by index, that texts in one outline mean; empty where they mean none.

        The text that says most, that means the fewest parts, counts; several texts may together be a name.
        """
        if len(texts) == 1 and texts[0] in self._exact:
            return self._exact[texts[0]]
        found = [self._meaning(text) for text in (*texts, " ".join(texts), " ".join(reversed(texts)))]
        return min((each for each in found if each), key=len, default=frozenset())

    def _meaning(self, text: str) -> Meant:
        if text in self._exact:
            return self._exact[text]
        if not self._loose:
            self._loose = self._all_ways()
        read = self._reader.alone(text, letters=True)
        frame = f"F{read.frame} " if read.frame else ""
        ways = (text, f"{frame}{read.label}", read.label)
        return next((meant for way in ways if (meant := self._loose.get(_plain(way)))), frozenset())

    def _all_ways(self) -> dict[str, Meant]:
        ways: dict[str, set[int]] = defaultdict(set)
        for index, part in enumerate(self._parts):
            whole = within_frame(part.name)
            for said in {whole, part.label}:
                for frame in (f"F{part.frame}", part.frame, f"frame {part.frame}"):
                    ways[_plain(f"{frame} {said}")].add(index)
                    ways[_plain(f"{said} {frame}")].add(index)
                ways[_plain(said)].add(index)
        return {way: frozenset(found) for way, found in ways.items()}


def _plain(text: str) -> str:
    return _BETWEEN.sub(" ", text.casefold()).strip()

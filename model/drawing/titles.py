"""Texts that name no part but the frame or the drawing: words that are titles, and what is written beside a label."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence

import shapely

from scrieve.shared.findings import Level
from scrieve.shared.sentences import Name, Sentence

from ..boat.defect import Defect
from ..plan.label_reading import LabelReader
from .drawn import Drawing
from .figure import Figure
from .network import Network


def title_words(
    drawings: Mapping[str, Drawing], numbers: Mapping[str, Iterable[str]], reader: LabelReader
) -> frozenset[str]:
    """The words that stand before several frames' numbers, each in a drawing of that frame ("spant 1", "spant 2").

    `numbers` are those of the frames in each drawing. Words before another number than those name no frame.
    """
    found: dict[str, set[str]] = defaultdict(set)
    astray: set[str] = set()
    for shown, drawing in drawings.items():
        own = set(numbers[shown])
        for words, number in {reader.numbered(text.text) for text in drawing.texts} - {("", "")}:
            found[words].add(number)
            astray |= {words} if number not in own else set()
    return frozenset(words for words, those in found.items() if len(those) > 1) - astray


def without_titles(
    networks: Sequence[Network],
    figures: Sequence[Figure],
    texts: Sequence[list[str]],
    titles: Container[str],
    beside: Container[str],
) -> tuple[list[list[str]], list[Defect]]:
    """The texts without those of `titles` in an opening, and of those or of `beside` in a part named by another text.

    With a note of each. An opening is what a named outline holds, or a face of a network with named faces all round.
    """
    whose = {face: network for network in networks for face in network.faces}
    kept, notes = list(texts), list[Defect]()
    for n, (figure, said) in enumerate(zip(figures, texts, strict=True)):
        if figure.makes != "part" or not said:
            continue
        named = [text for text in said if text not in titles]
        named = [text for text in named if text not in beside] or named
        if named:
            if len(named) < len(said):
                kept[n] = named
                notes.append(_note(figure, [text for text in said if text not in named], "beside the name of a part"))
            continue
        others = [other for m, other in enumerate(figures) if m != n and texts[m] and other.layer == figure.layer]
        if figure.face is None:
            shut_in = any(shapely.contains_properly(other.region, figure.region) for other in others)
        else:
            faces = [other.face for other in others if other.face is not None]
            edges = (face.edges for face in faces if whose[face] is whose[figure.face])
            shut_in = figure.face.edges <= frozenset[int]().union(*edges)
        if shut_in:
            kept[n] = []
            notes.append(_note(figure, said, "in an opening of parts"))
    return kept, notes


def _note(figure: Figure, said: Sequence[str], where: str) -> Defect:
    return Defect(
        message=Sentence.of(
            f'the text "{{text}}" stands {where} and is taken for a title', text=Name(" / ".join(said))
        ),
        level=Level.NOTE,
        source=figure.source,
        at=figure.middle,
    )

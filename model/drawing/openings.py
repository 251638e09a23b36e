"""Which networks their labels settle, and the faces of those that are openings between parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from scrieve.shared.findings import Level
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from .drawn import Drawing
from .figure import Figure, repeated
from .frame_shapes import LayerUse
from .network import Face, Network, traced
from .stroke import SOLID
from .window import DrawingWindow


def networks_within(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, gap: float
) -> list[Network]:
    """The networks of parts and battens that fork in the window and can be traced."""
    found = []
    for drawn in drawing.networks:
        use = layers.get(drawn.layer)
        if use is None or use.makes not in SOLID:
            continue
        if any(window.holds(*window.point(fork.at)) == "inside" for fork in drawn.forks):
            network = traced(drawn, gap)
            if network is not None:
                found.append(network)
    return found


def settled_networks(
    networks: Sequence[Network], figures: Sequence[Figure], texts: Sequence[Sequence[str]]
) -> list[Network]:
    """Those of which every edge bounds a face with a label, so that the faces without are openings between parts."""
    named = {figure.face for figure, said in zip(figures, texts, strict=True) if said}
    return [each for each in networks if each.settled_by(face for face in each.faces if face in named)]


def without_openings(
    networks: Sequence[Network], figures: Sequence[Figure], texts: Sequence[list[str]]
) -> tuple[list[Figure], list[list[str]], list[Defect]]:
    """The figures but for faces without a label, the texts of each, and a note of those for each layer.

    An edge drawn twice is one for each of two parts; where one part alone has it, that part is drawn twice.
    """
    whose = {face: network for network in networks for face in network.faces}
    sides: dict[tuple[Network, int], set[Face]] = defaultdict(set)
    for figure, said in zip(figures, texts, strict=True):
        if figure.face is not None and said:
            for edge in figure.face.edges:
                sides[whose[figure.face], edge].add(figure.face)
    kept: list[Figure] = []
    names: list[list[str]] = []
    openings: dict[str, list[Figure]] = defaultdict(list)
    for figure, said in zip(figures, texts, strict=True):
        if figure.face is not None and not said:
            openings[figure.layer].append(figure)
            continue
        if figure.face is not None:
            network = whose[figure.face]
            if any(len(sides[network, edge]) == 1 for edge in figure.face.edges & network.doubled):
                figure = repeated(figure, 2)
        kept.append(figure)
        names.append(said)
    return kept, names, [_note(layer, openings[layer]) for layer in sorted(openings)]


def _note(layer: str, openings: Sequence[Figure]) -> Defect:
    first = min(openings, key=lambda figure: figure.region.bounds)
    what = (
        Sentence.of(
            "1 opening between parts of layer {layer} that no label names is taken as no part", layer=Name(layer)
        )
        if len(openings) == 1
        else Sentence.of(
            "{count} openings between parts of layer {layer} that no label names are taken as no part",
            count=Quantity.of(len(openings), str(len(openings))),
            layer=Name(layer),
        )
    )
    return Defect(message=what, level=Level.NOTE, source=first.source, at=first.middle, drawn=first.drawn)

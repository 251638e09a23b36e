"""Which networks their labels settle, and the faces of those that are openings between parts."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from scrieve.shared.edits import Add
from scrieve.shared.findings import Level, Measure, Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import JOINT_REACH
from scrieve.shared.wording import mm, place

from ..boat.defect import Defect
from .drawn import Drawing, DrawnEdge, DrawnFork, DrawnNetwork, Point, target_of
from .figure import Figure, partly_repeated, repeated
from .frame_shapes import LayerUse
from .network import Face, Network, dead_ends, traced
from .stroke import SOLID
from .window import DrawingWindow


def networks_within(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, gap: float, *, mirror: bool
) -> tuple[list[Network], list[Defect], set[DrawnFork]]:
    """The networks of parts and battens that fork in the window and can be traced, and the gaps in them.

    A small gap is closed all the same; so are ends left open on the centreline of a half drawing, two by two. The
    forks of a network with a gap are no defects: it is the gap that keeps them from being told apart.
    """
    found, gaps, excused = [], list[Defect](), set[DrawnFork]()
    for drawn in drawing.networks:
        use = layers.get(drawn.layer)
        if use is None or use.makes not in SOLID:
            continue
        if any(window.holds(*window.point(fork.at)) == "inside" for fork in drawn.forks):
            seams, bridged, loose = _missing_edges(drawn, window, gap, mirror=mirror)
            whole = replace(drawn, edges=(*drawn.edges, *seams, *bridged)) if seams or bridged else drawn
            network = traced(whole, gap)
            if network is not None:
                found.append(network)
            gaps += [_gap(edge, drawn.layer, window, gap) for edge in bridged]
            gaps += [_dead_end(end, drawn, window) for end in loose]
            if bridged or loose:
                excused.update(drawn.forks)
    return found, gaps, excused


def _missing_edges(
    drawn: DrawnNetwork, window: DrawingWindow, gap: float, *, mirror: bool
) -> tuple[list[DrawnEdge], list[DrawnEdge], list[Point]]:
    """Edges along the centreline that close what is left open there, edges over small gaps, and ends that stay open."""
    ends = dead_ends(drawn, gap)
    on_line = [end for end in ends if mirror and abs(window.point(end)[0]) <= gap]
    on_line = sorted(on_line, key=lambda end: end[1])
    if len(on_line) == 3:  # two parts that share the line between them
        on_line = [on_line[0], on_line[1], on_line[1], on_line[2]]
    on_line = on_line if len(on_line) % 2 == 0 else []
    rest = [end for end in ends if end not in on_line]
    if len(rest) > len(drawn.forks):  # what hangs together by so few places is no network of outlines
        rest = []
    near = {a: min((b for b in rest if b != a), key=lambda b: math.dist(a, b), default=a) for a in rest}
    pairs = [(a, b) for a, b in near.items() if a < b and near[b] == a and math.dist(a, b) <= JOINT_REACH]
    met = {end for pair in pairs for end in pair}
    seams, bridged = (
        [DrawnEdge(start=a, end=b, bulge=0.0, source=_source_at(a, drawn)) for a, b in these]
        for these in (list(zip(on_line[::2], on_line[1::2], strict=True)), pairs)
    )
    return seams, bridged, [end for end in rest if end not in met]


def _source_at(end: Point, drawn: DrawnNetwork) -> Source:
    return next(edge.source for edge in drawn.edges if end in (edge.start, edge.end))


def _gap(edge: DrawnEdge, layer: str, window: DrawingWindow, gap: float) -> Defect:
    start, end = window.point(edge.start), window.point(edge.end)
    open_by = math.dist(start, end)
    return Defect(
        message=Sentence.of(
            "lines on layer {layer} leave a gap of {gap}, between {start} and {end}; it is taken as closed",
            layer=Name(layer), gap=mm(open_by, gap), start=place(*start), end=place(*end),
        ),
        source=edge.source,
        at=start,
        measure=Measure(value=open_by, limit=gap, words="open by {value}"),
        cure=Sentence.of("close the gap of {gap}", gap=mm(open_by, gap)),
        span=(start, end),
        edits=(Add(target=target_of(edge.source, "line across the gap"), points=(start, end)),),
    )  # fmt: skip


def _dead_end(end: Point, drawn: DrawnNetwork, window: DrawingWindow) -> Defect:
    at = window.point(end)
    return Defect(
        message=Sentence.of(
            "a line on layer {layer} ends at {place} and meets no other there: which lines belong to one outline "
            "cannot be told",
            layer=Name(drawn.layer), place=place(*at),
        ),
        source=_source_at(end, drawn),
        at=at,
        cure="draw it on to the line that it belongs to, or on another layer if it is of no outline",
    )  # fmt: skip


def settled_networks(
    networks: Sequence[Network], figures: Sequence[Figure], texts: Sequence[Sequence[str]]
) -> tuple[list[Network], set[Face]]:
    """Those of which every edge bounds a face with a label or one that alone lacks it, and those that do.

    The other faces without a label are openings between parts.
    """
    named = {figure.face for figure, said in zip(figures, texts, strict=True) if said}
    settled, nameless = list[Network](), set[Face]()
    for network in networks:
        more = network.left_over([face for face in network.faces if face in named])
        if more is not None:
            settled.append(network)
            nameless |= more
    return settled, nameless


def without_openings(
    networks: Sequence[Network],
    figures: Sequence[Figure],
    texts: Sequence[list[str]],
    nameless: set[Face],
    window: DrawingWindow,
) -> tuple[list[Figure], list[list[str]], list[Defect]]:
    """The figures but for faces without a label, the texts of each, and a note of those for each layer.

    Faces that are `nameless` stay: they want a label.

    An edge drawn twice is one for each of two parts; where one part alone has it, it is drawn twice, or all of
    the part is.
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
        if figure.face is not None and not said and figure.face not in nameless:
            openings[figure.layer].append(figure)
            continue
        if figure.face is not None:
            network = whose[figure.face]
            own = [edge for edge in sorted(figure.face.edges) if len(sides[network, edge]) == 1]
            again = [window.point(network.doubled[edge]) for edge in own if edge in network.doubled]
            if again:
                figure = repeated(figure, 2) if len(again) == len(own) else partly_repeated(figure, again[0])
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

"""Strokes: what is drawn on the layers of parts and battens within one frame's window, in (y, v)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Source
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import place

from ..boat.defect import Defect
from ..geometry.outline import Outline
from .drawn import Drawing
from .frame_shapes import LayerUse
from .network import Face, Network
from .window import DrawingWindow

SOLID = frozenset({"part", "batten"})
"""What is made from closed outlines."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """`points` (n, 2), mm, and `bulges` of the segments between them: n - 1, or n where it is `closed`.

    `twice`: some of it is drawn twice. `forked`: it ends on a fork. `whole`: it reaches over the
    centreline by its own mirror image, and wants no other. `face`: the face of a network that it is.
    """

    layer: str
    makes: str
    points: NDArray[np.float64]
    bulges: NDArray[np.float64]
    closed: bool
    source: Source
    twice: bool = False
    forked: bool = False
    whole: bool = False
    face: Face | None = None

    def flattened(self) -> NDArray[np.float64]:
        """Its points with arcs flattened, (m, 2), that of a closed one not repeated at the end."""
        if not self.bulges.any():
            return self.points
        return self._shut().flattened()

    def count_flattened(self) -> int:
        """How many those are, or a few more."""
        return self._shut().count_flattened()

    def _shut(self) -> Outline:
        # the chord back to the start of an open one is straight, and so adds no point
        bulges = self.bulges if self.closed else np.append(self.bulges, 0.0)
        return Outline(points=self.points, bulges=bulges)


def strokes_within(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, networks: Iterable[Network] = ()
) -> tuple[list[Stroke], list[Defect]]:
    """The strokes of parts and battens in the window, and a defect for each that lies across its edge.

    Of `networks` they are the faces, not the chains.
    """
    networks = list(networks)
    traced = {chain for network in networks for chain in network.drawn.chains}
    drawn: list[Stroke] = []
    for network in networks:
        makes = _makes(layers, network.drawn.layer)
        drawn.extend(
            Stroke(
                layer=network.drawn.layer,
                makes=makes,
                points=window.points(face.outline.points),
                bulges=face.outline.bulges * window.side,
                closed=True,
                source=replace(face.oldest.source, bound=True),
                face=face,
            )
            for face in network.faces
            if makes
        )
    for closed in drawing.outlines:
        makes = _makes(layers, closed.layer)
        if makes:
            drawn.append(
                Stroke(
                    layer=closed.layer,
                    makes=makes,
                    points=window.points(closed.outline.points),
                    bulges=closed.outline.bulges * window.side,
                    closed=True,
                    source=closed.source,
                    twice=closed.twice,
                )
            )
    for chain in drawing.chains:
        makes = _makes(layers, chain.layer)
        if makes and chain not in traced:
            drawn.append(
                Stroke(
                    layer=chain.layer,
                    makes=makes,
                    points=window.points(chain.points),
                    bulges=np.asarray(chain.bulges, dtype=np.float64) * window.side,
                    closed=False,
                    source=chain.source,
                    forked=chain.forked,
                )
            )
    for circle in drawing.circles:
        makes = _makes(layers, circle.layer)
        if makes:
            outline = Outline.circle(window.point(circle.centre), circle.radius)
            drawn.append(
                Stroke(
                    layer=circle.layer,
                    makes=makes,
                    points=outline.points,
                    bulges=outline.bulges,
                    closed=True,
                    source=circle.source,
                )
            )
    if window.box is None:
        return drawn, []
    where = [window.holds_line(_ring(stroke)) for stroke in drawn]
    inside = [stroke for stroke, there in zip(drawn, where, strict=True) if there == "inside"]
    return inside, [_across(stroke) for stroke, there in zip(drawn, where, strict=True) if there == "across"]


def _makes(layers: Mapping[str, LayerUse], layer: str) -> str:
    """What a layer makes, if that is a solid."""
    use = layers.get(layer)
    return use.makes if use is not None and use.makes in SOLID else ""


def _ring(stroke: Stroke) -> NDArray[np.float64]:
    line = stroke.flattened()
    return np.concatenate([line, line[:1]]) if stroke.closed else line


def _across(stroke: Stroke) -> Defect:
    line = _ring(stroke)
    least, most = line.min(axis=0), line.max(axis=0)
    return Defect(
        message=Sentence.of(
            "an outline on layer {layer}, from {least} to {most}, lies across the edge of the frame's extent",
            layer=Name(stroke.layer),
            least=place(*least),
            most=place(*most),
        ),
        source=stroke.source,
        at=(float(line[0, 0]), float(line[0, 1])),
        cure="widen the extent to hold it, or narrow it to leave it out",
        drawn=(tuple((float(y), float(v)) for y, v in line),),
    )

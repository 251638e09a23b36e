"""Strokes: what is drawn on the layers of parts, battens and pockets within one frame's window, in (y, v)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import listed, place

from ..boat.defect import Defect
from ..geometry.outline import Outline
from .drawn import Drawing, Point
from .extents import rounded, told
from .frame_shapes import LayerUse
from .network import Face, Network
from .window import DrawingWindow

SOLID = frozenset({"part", "batten", "pocket"})
"""What is made from closed outlines."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """`points` (n, 2), mm, and `bulges` of the segments between them: n - 1, or n where it is `closed`.

    `twice`: it is drawn twice. `doubled_at`: a line of it is, there. `forked`: it ends on a fork. `whole`: it reaches
    over the centreline by its own mirror image, and wants no other. `face`: the face of a network that it is.
    """

    layer: str
    makes: str
    points: NDArray[np.float64]
    bulges: NDArray[np.float64]
    closed: bool
    source: Source
    twice: bool = False
    doubled_at: Point | None = None
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
    """The strokes of parts, battens and pockets in the window, and a defect for each that lies across its edge.

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
                    doubled_at=None if closed.doubled_at is None else window.point(closed.doubled_at),
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
    across = [stroke for stroke, there in zip(drawn, where, strict=True) if there == "across"]
    return inside, [_across(across, drawn, drawing, window)] if across else []


def _makes(layers: Mapping[str, LayerUse], layer: str) -> str:
    """What a layer makes, if that is a solid."""
    use = layers.get(layer)
    return use.makes if use is not None and use.makes in SOLID else ""


def _ring(stroke: Stroke) -> NDArray[np.float64]:
    line = stroke.flattened()
    return np.concatenate([line, line[:1]]) if stroke.closed else line


def _widened(box: NDArray[np.float64], strokes: Sequence[Stroke]) -> NDArray[np.float64]:
    """(4,) the box left, low, right, high, so wide that it cuts none of these any more."""
    lines = [_ring(stroke) for stroke in strokes]
    bounds = np.array([(*line.min(axis=0), *line.max(axis=0)) for line in lines])
    while True:
        meets = np.all((bounds[:, :2] < box[2:]) & (bounds[:, 2:] > box[:2]), axis=1)
        held = np.vstack([bounds[meets], box])
        wide = np.concatenate([held[:, :2].min(axis=0), held[:, 2:].max(axis=0)])
        if np.array_equal(wide, box):
            return box
        box = wide


def _across(strokes: Sequence[Stroke], others: Sequence[Stroke], drawing: Drawing, window: DrawingWindow) -> Defect:
    """What is said of all that a frame's extent cuts, `others` being all that is drawn."""
    lines = [_ring(stroke) for stroke in strokes]
    points = np.concatenate(lines)
    least, most = points.min(axis=0), points.max(axis=0)
    bounds = window.box.bounds if window.box is not None else (*least, *most)
    left, low, right, high = _widened(np.array(bounds), others).tolist()
    y0, y1 = sorted((left * window.side, right * window.side))
    wide = y0, low, y1, high
    layers = listed(sorted({stroke.layer for stroke in strokes}))
    return Defect(
        message=Sentence.of(
            "{outlines} on {named} {layers}, from {least} to {most}, {lie} across the edge of the frame's extent",
            outlines="an outline" if len(strokes) == 1 else Quantity.of(len(strokes), f"{len(strokes)} outlines"),
            named="layer" if len({stroke.layer for stroke in strokes}) == 1 else "layers",
            layers=Name(layers),
            least=place(*least),
            most=place(*most),
            lie="lies" if len(strokes) == 1 else "lie",
        ),
        source=strokes[0].source,
        at=(float(lines[0][0, 0]), float(lines[0][0, 1])),
        cure=Sentence.of(
            "widen it to {wide}, which counts from the frame's origin, or narrow it to leave out what is another's",
            wide=Name(told(wide, drawing)),
        ),
        of_frame=("extent", rounded(wide, drawing)),
        drawn=tuple(tuple((float(y), float(v)) for y, v in line) for line in lines),
    )

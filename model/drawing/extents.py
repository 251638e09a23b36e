"""Which part of a drawing is one frame's where the plan names no extent and several frames share the drawing."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Source
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.units import MM_PER_UNIT

from ..boat.defect import Defect
from .drawn import Drawing, Point
from .frame_shapes import LayerUse

_ROUND = 50.0  # mm that are left round what is a frame's, as far as its neighbours let them

Extent = tuple[float, float, float, float]


def own_extent(
    drawing: Drawing, layers: Mapping[str, LayerUse], origin: Point, others: Sequence[Point]
) -> Extent | None:
    """The window (u0, v0, u1, v1), mm from `origin`, of what lies nearest to it and not to the origins of `others`.

    None where that does not part what is drawn: where a part reaches over to another origin's side, or one has none.
    """
    boxes = part_boxes(drawing, layers)
    origins = np.array(sorted({origin, *others}))
    if not len(boxes) or len(origins) < 2:
        return None
    corners = boxes[:, [0, 1, 2, 1, 0, 3, 2, 3]].reshape(-1, 4, 2)
    nearest = np.hypot(*(corners[:, :, None, :] - origins).transpose(3, 0, 1, 2)).argmin(axis=2)
    if np.ptp(nearest, axis=1).any() or len(set(nearest[:, 0].tolist())) < len(origins):
        return None
    mine = nearest[:, 0] == origins.tolist().index(list(origin))
    low, high = boxes[mine, :2].min(axis=0), boxes[mine, 2:].max(axis=0)
    apart = np.maximum(boxes[~mine, :2] - high, low - boxes[~mine, 2:]).max(axis=1).min()
    room = min(_ROUND, float(apart) / 2)
    u0, v0, u1, v1 = np.concatenate([low - room, high + room]) - np.tile(origin, 2)
    return float(u0), float(v0), float(u1), float(v1)


def part_boxes(drawing: Drawing, layers: Mapping[str, LayerUse]) -> NDArray[np.float64]:
    """(n, 4) u0, v0, u1, v1 of every outline and line on layers of parts, drawing axes, mm."""
    lines = [
        *((drawn.layer, drawn.outline.points) for drawn in drawing.outlines),
        *((chain.layer, np.array(chain.points)) for chain in drawing.chains),
    ]
    of_parts = [points for layer, points in lines if layer in layers and layers[layer].makes == "part"]
    return np.array([[*points.min(axis=0), *points.max(axis=0)] for points in of_parts]).reshape(-1, 4)


def without_extent(drawing: Drawing, frame: str, others: Sequence[str], extent: Extent, source: Source) -> Defect:
    """What is said of a frame whose extent had to be worked out."""
    return Defect(
        message=Sentence.of(
            "frame {frame} has no extent, and {drawing} holds frames about the origins of {others} too: what lies "
            "nearest its own origin is taken for it",
            frame=Name(frame),
            drawing=Name(drawing.shown),
            others=Name(", ".join(f"F{number}" for number in others)),
        ),
        source=source,
        cure=Sentence.of("give it {extent}, which counts from its origin", extent=Name(told(extent, drawing))),
        of_frame=("extent", rounded(extent, drawing)),
    )


def told(extent: Extent, drawing: Drawing) -> str:
    """ "extent = [-900, -200, 900, 900]": in the plan's unit, rounded outwards."""
    return (
        f"extent = [{', '.join(f'{value / MM_PER_UNIT[drawing.plan_unit]:g}' for value in rounded(extent, drawing))}]"
    )


def rounded(extent: Extent, drawing: Drawing) -> tuple[float, ...]:
    """The extent, mm, rounded outwards to figures of the plan's unit that are short to write."""
    scale = MM_PER_UNIT[drawing.plan_unit]
    step = 1.0 if scale < 5 else 0.1
    rounds = (math.floor, math.floor, math.ceil, math.ceil)
    values = (way(length / scale / step) * step for way, length in zip(rounds, extent, strict=True))
    return tuple((round(value, 1) + 0.0) * scale for value in values)

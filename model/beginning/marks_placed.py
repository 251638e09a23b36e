"""Where the marks of a frame stand: in the wood of its parts, or beside it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from .content import FoundMark
from .layer_evidence import FrameOutlines

_ROUND_FRAME = 60.0  # mm round a frame's outlines that its dowels stand in
_EDGE = 0.5  # mm; a dowel's centre is no deeper in wood


def marks_by_layer(frames: Sequence[FrameOutlines]) -> dict[str, list[tuple[int, FoundMark]]]:
    """The marks of each layer, each with the index of its frame, counted from that one's origin."""
    out: dict[str, list[tuple[int, FoundMark]]] = defaultdict(list)
    for n, outlines in enumerate(frames):
        found = outlines.frame.found
        left, low, right, high = found.box
        for mark in found.content.marks:
            u, v = mark.at
            if left - _ROUND_FRAME <= u <= right + _ROUND_FRAME and low - _ROUND_FRAME <= v <= high + _ROUND_FRAME:
                out[mark.layer].append((n, replace(mark, at=(u - found.origin[0], v - found.origin[1]))))
    return dict(out)


def inside(
    frames: Sequence[FrameOutlines], marks: Sequence[tuple[int, FoundMark]], layers: Sequence[str]
) -> NDArray[np.bool_]:
    """(n,) bool: which marks stand in an outline on these layers, more than a hair from its edge."""
    out = np.zeros(len(marks), dtype=bool)
    for n, outlines in enumerate(frames):
        mine = [k for k, (frame, _) in enumerate(marks) if frame == n]
        if mine:
            wood = shapely.buffer(outlines.wood(layers), -_EDGE)
            shapely.prepare(wood)
            out[mine] = shapely.contains_xy(wood, *np.transpose([marks[k][1].at for k in mine]))
    return out

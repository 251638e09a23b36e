"""The layers on which the cores of frames are drawn."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from .faces_told import face_named
from .layer_evidence import FrameOutlines

_CORE = re.compile(r"(?<![^\W_])(?:core|kern|[aâ]me|alma|anima)(?![^\W_])", re.I)
"""Words for the core in some tongues; from memory."""


def core_layers(frames: Sequence[FrameOutlines]) -> tuple[str, ...]:
    """The layer with most wood in most frames; then those of frames without any of it, as of a transom of one board.

    In each frame those that are called the core go before others, and those that are called by a face come last.
    """
    woods = [_wood(outlines) for outlines in frames]
    firsts = [max(sorted(wood), key=lambda layer: (_rank(layer), wood[layer]), default="") for wood in woods]
    most = Counter(filter(None, firsts))
    main = max(sorted(most), key=lambda layer: most[layer], default="")
    beside = {layer for wood in woods if main in wood for layer in wood}
    return (main, *sorted(set(firsts) - beside - {main, ""}))


def _rank(layer: str) -> int:
    return 0 if face_named(layer) else 2 if _CORE.search(layer.replace("_", " ")) else 1


def _wood(outlines: FrameOutlines) -> Counter[str]:
    wood: Counter[str] = Counter()
    for region, layer in zip(outlines.regions, outlines.layers, strict=True):
        wood[layer] += region.area
    return wood

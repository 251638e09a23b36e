"""Which outlines are holes in others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
import shapely

from .figure import Figure


def holes_of(figures: Sequence[Figure], named: Sequence[bool]) -> tuple[dict[int, int], set[int]]:
    """For each figure that is a hole the figure it is in; and those that merely surround others, as a border does.

    An outline without a label of a part or of a pocket, wholly inside another of its layer and clear of its edge, is a
    hole of the smallest such; inside a hole it is none. One without a label that is no hole and
    holds named outlines is a border.
    """
    parts = [i for i, figure in enumerate(figures) if figure.makes != "batten" and not figure.region.is_empty]
    if len(parts) < 2:
        return {}, set()
    regions = np.array([figures[i].region for i in parts])
    outer, inner = shapely.STRtree(regions).query(regions, predicate="contains_properly")
    around: dict[int, list[int]] = defaultdict(list)
    for a, b in zip(outer.tolist(), inner.tolist(), strict=True):
        if figures[parts[a]].layer == figures[parts[b]].layer:
            around[parts[b]].append(parts[a])
    holes: dict[int, int] = {}
    for index in sorted(around, key=lambda i: -figures[i].region.area):
        parent = min(around[index], key=lambda i: figures[i].region.area)
        if not named[index] and parent not in holes:
            holes[index] = parent
    borders = {a for b, outside in around.items() if named[b] for a in outside if not named[a] and a not in holes}
    # a hole in a border is an outline that lacks its label
    return {hole: parent for hole, parent in holes.items() if parent not in borders}, borders

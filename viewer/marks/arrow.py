"""An arrow on a plane: its shaft and its head."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatArrow:
    """The `shaft`, which ends within the head, and the `head` with its point first."""

    shaft: tuple[Point, ...]
    head: shapely.Polygon


def arrow(path: Sequence[Point], head: float, slim: float = 0.36, *, least: float = 0.0) -> FlatArrow | None:
    """An arrow along a path, its head so long, half as broad as `slim` times that; None along a path of no length.

    One shorter than `least` is drawn that long, its tip where it is.
    """
    points = np.array(path, dtype=np.float64)
    points = points[np.append(np.any(np.diff(points, axis=0), axis=1), True)]
    if len(points) < 2:
        return None
    way = points[-1] - points[-2]
    length = float(np.hypot(*way))
    way = way / length
    tip = points[-1]
    points = tip + (points - tip) * max(1.0, least / float(np.sum(np.hypot(*np.diff(points, axis=0).T))))
    shaft = [*points[:-1], tip - way * min(head, length) * 0.85]
    return FlatArrow(shaft=tuple((float(x), float(y)) for x, y in shaft), head=arrow_head(tip, way, head, slim))


def arrow_head(tip: ArrayLike, way: ArrayLike, length: float, slim: float) -> shapely.Polygon:
    """The head of an arrow with its point at `tip`, going along the unit vector `way`."""
    end, forward = np.asarray(tip, dtype=np.float64), np.asarray(way, dtype=np.float64)
    back, aside = forward * length, np.array([-forward[1], forward[0]]) * length * slim
    return shapely.Polygon([end, end - back + aside, end - 0.8 * back, end - back - aside])

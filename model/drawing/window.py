"""A frame's window of a drawing, and the way from drawing axes (u, v) to the frame's own (y, v)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.tolerances import COINCIDENT

Seen = Literal["from aft", "from forward"]
Where = Literal["inside", "outside", "across"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawingWindow:
    """`origin` (u, v) of centreline x datum line, mm; `side` is 1 where u runs to port, -1 where to starboard.

    `box` is the window in the frame's own (y, v), None for the whole drawing.
    """

    origin: tuple[float, float]
    side: float
    box: shapely.Polygon | None

    @classmethod
    def of(
        cls, *, seen: Seen, origin: tuple[float, float], extent: tuple[float, float, float, float] | None
    ) -> DrawingWindow:
        """The window of a drawing seen `from aft` (y = -u) or `from forward` (y = u).

        `extent` (u0, v0, u1, v1), mm, counts from `origin`; its corners may come in any order.
        """
        side = -1.0 if seen == "from aft" else 1.0
        box = None
        if extent is not None:
            u0, v0, u1, v1 = extent
            y0, y1 = sorted((u0 * side, u1 * side))
            box = shapely.box(y0, min(v0, v1), y1, max(v0, v1))
        return cls(origin=origin, side=side, box=box)

    def points(self, drawn: ArrayLike) -> NDArray[np.float64]:
        """Points (n, 2) in drawing axes in the frame's own (y, v)."""
        return np.asarray((np.asarray(drawn, dtype=np.float64) - self.origin) * (self.side, 1.0))

    def point(self, drawn: tuple[float, float]) -> tuple[float, float]:
        """A point in drawing axes in the frame's own (y, v)."""
        return (drawn[0] - self.origin[0]) * self.side, drawn[1] - self.origin[1]

    def holds(self, y: float, v: float, radius: float = 0.0) -> Where:
        """Where a point or circle (y, v) lies; on the edge is inside."""
        if self.box is None:
            return "inside"
        left, low, right, high = self.box.bounds
        inside = min(y - left, right - y, v - low, high - v)
        if inside >= radius - COINCIDENT:
            return "inside"
        if inside < 0 and shapely.distance(shapely.Point(y, v), self.box) >= radius - COINCIDENT:
            return "outside"
        return "across"

    def holds_line(self, line: NDArray[np.float64]) -> Where:
        """Where a line through these points (n, 2), in (y, v), lies; on the edge is inside."""
        if self.box is None:
            return "inside"
        left, low, right, high = self.box.bounds
        least, most = line.min(axis=0), line.max(axis=0)
        slack = COINCIDENT
        if (
            least[0] >= left - slack
            and least[1] >= low - slack
            and most[0] <= right + slack
            and most[1] <= high + slack
        ):
            return "inside"
        if least[0] >= right or least[1] >= high or most[0] <= left or most[1] <= low:
            return "outside"
        return "across" if shapely.intersects(shapely.LineString(line), self.box) else "outside"

"""How a frame lies in its drawing: the way from its own (y, v), mm, back to the drawing's coordinates and unit."""

from __future__ import annotations

from dataclasses import dataclass

from scrieve.shared.units import MM_PER_UNIT

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingView:
    """`origin` (u, v) in `unit`s, `side` -1 where port is to the left; `half`: only the port half is drawn.

    `shown` is the drawing as the plan names it.
    """

    shown: str = ""
    unit: str = "mm"
    origin: Point = (0.0, 0.0)
    side: float = 1.0
    half: bool = False

    @property
    def scale(self) -> float:
        """mm in one unit of the drawing."""
        return MM_PER_UNIT[self.unit]

    def point(self, at: Point) -> Point:
        """A point of the frame (y, v), mm, in the drawing's own coordinates and units."""
        return self.origin[0] + self.side * at[0] / self.scale + 0.0, self.origin[1] + at[1] / self.scale + 0.0

    def back(self, point: Point) -> Point:
        """The frame's (y, v), mm, of a point in the drawing."""
        return (point[0] - self.origin[0]) * self.side * self.scale, (point[1] - self.origin[1]) * self.scale

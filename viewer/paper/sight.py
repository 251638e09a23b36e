"""From a frame's plane to paper: as the plan's drawings see it, at a scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

Point = tuple[float, float]
Seen = Literal["from aft", "from forward"]

SCALES = (10.0, 5.0, 2.5, 2.0, 1.0, *(1 / n for n in (2, 2.5, 4, 5, 7.5, 10, 15, 20, 25, 50, 100)))
"""Scales of drawings, largest first: those of ISO 5455 and, between them, what a rule for draughtsmen has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """`middle` (y, v) of the frame lies at `at` on paper, mm; `scale` mm of paper a mm of boat.

    `side` is -1 where port is on the left, as `seen` from aft, and 1 where it is on the right.
    """

    middle: Point
    at: Point
    scale: float
    side: float

    @classmethod
    def of(cls, bounds: tuple[float, float, float, float], at: Point, scale: float, seen: Seen) -> Sight:
        """The sight that has the middle of these bounds (y, v) at a place on paper."""
        left, low, right, high = bounds
        middle = ((left + right) / 2, (low + high) / 2)
        return cls(middle=middle, at=at, scale=scale, side=-1.0 if seen == "from aft" else 1.0)

    def point(self, y: float, v: float) -> Point:
        """Where a point of the frame is on paper."""
        return (
            self.at[0] + self.side * self.scale * (y - self.middle[0]),
            self.at[1] - self.scale * (v - self.middle[1]),
        )

    def shape(self, shape: shapely.Geometry) -> shapely.Geometry:
        """A shape of the frame on paper."""

        def move(points: NDArray[np.float64]) -> NDArray[np.float64]:
            return (points - self.middle) * (self.side * self.scale, -self.scale) + self.at

        return shapely.transform(shape, move)


def fitting(width: float, height: float, room: tuple[float, float]) -> float:
    """The largest scale of the list at which so much of a boat fits into so much paper, mm; the least if none does."""
    return next((s for s in SCALES if width * s <= room[0] and height * s <= room[1]), SCALES[-1])


def scale_words(scale: float) -> str:
    """ "1:10", "2.5:1"."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{round(1 / scale, 3):g}"

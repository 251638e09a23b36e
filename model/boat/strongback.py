"""The strongback: two level rails; the plane of their bearing faces is the datum plane, z = 0."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Strongback:
    """Rails from `start` to `end` along x, `inside_width` apart, `width` by `depth`, mm.

    Under the boat in an upright build (z from -depth to 0), above it in an inverted one (0 to depth).
    """

    inside_width: float
    width: float
    depth: float
    start: float
    end: float
    build: Literal["upright", "inverted"]

    @property
    def down(self) -> float:
        """-1 where the rails lie below the datum plane, +1 where above: the way a leg bears, along z."""
        return -1.0 if self.build == "upright" else 1.0

    def rail(self, side: Literal["port", "starboard"]) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Least and greatest corner of a rail, hull axes, mm."""
        inner, outer = self.inside_width / 2, self.inside_width / 2 + self.width
        y = (inner, outer) if side == "port" else (-outer, -inner)
        z = (-self.depth, 0.0) if self.down < 0 else (0.0, self.depth)
        return (self.start, y[0], z[0]), (self.end, y[1], z[1])

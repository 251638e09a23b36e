"""Maps of the plane: how an object's own axes lie in the drawing, through blocks, mirror images and units."""

from __future__ import annotations

import math
from typing import NamedTuple

_EVEN = 1e-10  # share of the scale; below it the two scales of a block are one


class PlaneMap(NamedTuple):
    """(x, y) to (a x + b y + e, c x + d y + f)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @classmethod
    def scaled(cls, factor: float) -> PlaneMap:
        """Both axes longer by `factor`."""
        return cls(a=factor, d=factor)

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point comes to lie."""
        return self.a * x + self.b * y + self.e, self.c * x + self.d * y + self.f

    def vector(self, x: float, y: float) -> tuple[float, float]:
        """What becomes of a vector."""
        return self.a * x + self.b * y, self.c * x + self.d * y

    def of(self, inner: PlaneMap) -> PlaneMap:
        """`inner` first, then this one."""
        a, c = self.vector(inner.a, inner.c)
        b, d = self.vector(inner.b, inner.d)
        e, f = self.point(inner.e, inner.f)
        return PlaneMap(a, b, c, d, e, f)

    def flipped(self) -> PlaneMap:
        """The same for an object whose own axes are seen from behind (extrusion 0, 0, -1): x runs backwards."""
        return PlaneMap(-self.a, self.b, -self.c, self.d, self.e, self.f)

    @property
    def turn(self) -> int:
        """1 where circles stay circles and keep their sense, -1 where they are mirrored, 0 where they do not stay."""
        if math.hypot(self.a - self.d, self.b + self.c) <= _EVEN * math.hypot(self.a, self.c):
            return 1
        if math.hypot(self.a + self.d, self.b - self.c) <= _EVEN * math.hypot(self.a, self.c):
            return -1
        return 0

    @property
    def mirrors(self) -> bool:
        """Whether letters read backwards where they come to lie."""
        return self.a * self.d < self.b * self.c

    @property
    def scale(self) -> float:
        """The greater of the lengths of the mapped unit vectors."""
        return max(math.hypot(self.a, self.c), math.hypot(self.b, self.d))

    @property
    def flat(self) -> bool:
        """Whether it presses the plane into a line, or is no map of numbers at all."""
        return not abs(self.a * self.d - self.b * self.c) > _EVEN * self.scale * self.scale


def insert_map(
    *,
    at: tuple[float, float],
    scale: tuple[float, float],
    rotation: float,
    base: tuple[float, float],
) -> PlaneMap:
    """The map of a block's own axes: `base` comes to lie at `at`, scaled, then turned by `rotation` radians."""
    c, s = math.cos(rotation), math.sin(rotation)
    a, b, cc, d = c * scale[0], -s * scale[1], s * scale[0], c * scale[1]
    return PlaneMap(a, b, cc, d, at[0] - a * base[0] - b * base[1], at[1] - cc * base[0] - d * base[1])

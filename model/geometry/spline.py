"""The natural cubic spline: the shape of a thin batten held at points, at small slopes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NaturalSpline:
    """Through `values` (n,) or (n, k) at the strictly growing `knots` (n,); straight where n is 2.

    Outside the knots it goes on straight, as a batten with a free end does.
    """

    knots: NDArray[np.float64]
    values: NDArray[np.float64]
    bends: NDArray[np.float64]

    @classmethod
    def through(cls, knots: ArrayLike, values: ArrayLike) -> NaturalSpline:
        """The spline; raises ValueError for fewer than two knots or knots that do not grow."""
        x = np.asarray(knots, dtype=np.float64)
        y = np.asarray(values, dtype=np.float64)
        if len(x) < 2 or len(x) != len(y) or not np.all(np.diff(x) > 0):
            raise ValueError(f"a spline wants two or more growing knots, a value each (got {x.tolist()})")
        return cls(knots=x, values=y, bends=_bends(x, y))

    def __call__(self, at: ArrayLike) -> NDArray[np.float64]:
        """Values at `at` (m,): (m,) or (m, k)."""
        return self._pieces(at)[0]

    def slope(self, at: ArrayLike) -> NDArray[np.float64]:
        """First derivatives at `at` (m,): (m,) or (m, k)."""
        return self._pieces(at)[1]

    def second(self, at: ArrayLike) -> NDArray[np.float64]:
        """Second derivatives at `at` (m,): (m,) or (m, k); zero outside the knots."""
        return self._pieces(at)[2]

    def _pieces(self, at: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        t = np.asarray(at, dtype=np.float64)
        inside = np.clip(t, self.knots[0], self.knots[-1])
        i = np.clip(np.searchsorted(self.knots, inside, side="right") - 1, 0, len(self.knots) - 2)
        h = self.knots[i + 1] - self.knots[i]
        a, b = (self.knots[i + 1] - inside) / h, (inside - self.knots[i]) / h
        past, outside = t - inside, t != inside
        if self.values.ndim > 1:
            h, a, b, past, outside = (q[..., None] for q in (h, a, b, past, outside))
        y0, y1, m0, m1 = self.values[i], self.values[i + 1], self.bends[i], self.bends[i + 1]
        value = a * y0 + b * y1 + ((a**3 - a) * m0 + (b**3 - b) * m1) * h * h / 6
        slope = (y1 - y0) / h + ((3 * b * b - 1) * m1 - (3 * a * a - 1) * m0) * h / 6
        second = np.where(outside, 0.0, a * m0 + b * m1)
        return value + slope * past, slope, second


def _bends(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Second derivatives at the knots, zero at both ends (a tridiagonal system, solved in one sweep)."""
    out = np.zeros_like(y)
    n = len(x)
    if n < 3:
        return out
    h = np.diff(x)
    steps = np.diff(y, axis=0) / (h if y.ndim == 1 else h[:, None])
    beside, middle, wanted = h[1:-1] / 6, (h[:-1] + h[1:]) / 3, np.diff(steps, axis=0)
    # each row is greatest on its diagonal: plain elimination along it is as exact as any
    for i in range(1, n - 2):
        share = beside[i - 1] / middle[i - 1]
        middle[i] -= share * beside[i - 1]
        wanted[i] -= share * wanted[i - 1]
    wanted[-1] /= middle[-1]
    for i in range(n - 4, -1, -1):
        wanted[i] = (wanted[i] - beside[i] * wanted[i + 1]) / middle[i]
    out[1:-1] = wanted
    return out

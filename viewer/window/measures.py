"""A measured distance in words."""

from __future__ import annotations

import numpy as np

from scrieve.shared.wording import formatted, mm

from .selection import MeasuredPoint


def distance(a: MeasuredPoint, b: MeasuredPoint) -> tuple[float, tuple[float, float, float]]:
    """mm from a to b as the boat is set up, and along x, y and z."""
    x, y, z = np.subtract(b.at, a.at)
    return float(np.sqrt(x * x + y * y + z * z)), (float(x), float(y), float(z))


def measure_words(a: MeasuredPoint, b: MeasuredPoint) -> str:
    """ "123.45 mm", and below it how much of that is along each axis."""
    return f"{mm(distance(a, b)[0])}\n{along_words(a, b)}"


def along_words(a: MeasuredPoint, b: MeasuredPoint) -> str:
    """ "x +12.00  y -3.50  z +0.00"."""
    return "  ".join(
        f"{axis} {'' if value < 0.0 else '+'}{formatted(value)}"
        for axis, value in zip("xyz", distance(a, b)[1], strict=True)
    )

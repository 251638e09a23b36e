"""How many decimals a number is told with, so that what was measured and its limit never read alike."""

from __future__ import annotations

USUAL = 2
"""Decimals of a length in mm, or of anything else that a finding measures."""

MOST = 7
"""Decimals; numbers that these do not tell apart are one (see `tolerances.COINCIDENT`)."""


def decimals(value: float, beside: float | None = None, *, least: int = USUAL) -> int:
    """The decimals, `least` or more, at which two numbers that stand beside one another are written differently.

    `least` where nothing stands beside it, and for two that are one number.
    """
    if beside is None:
        return least
    return next((n for n in range(least, MOST + 1) if written(value, n) != written(beside, n)), least)


def written(value: float, places: int) -> str:
    """The number with so many decimals, without a minus nought."""
    return f"{round(value, places) + 0.0:.{places}f}"

"""Defects: what a drawing holds that cannot be taken as it stands. They become findings of `outline`."""

from __future__ import annotations

from dataclasses import dataclass

from scrieve.shared.findings import Level, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """One defect, with its place (y, v) in the frame, mm, once that is known (until then drawing axes).

    `drawn` are the lines that it is about, (y, v) of their corners each, where it is about any that no part is made of.
    """

    message: str
    source: Source
    level: Level = Level.ERROR
    at: tuple[float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    cure: str = ""
    check: str = "outline"
    drawn: tuple[tuple[tuple[float, float], ...], ...] = ()

"""Defects: what a drawing holds that cannot be taken as it stands. They become findings of `outline`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Level, Measure, Source

Point: TypeAlias = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """One defect, with its place (y, v) in the frame, mm, once that is known (until then drawing axes).

    `span` goes between the two ends of what it measures. `drawn` are the lines that it is about, (y, v) of their
    corners each; `lines` others, with what stands beside each. `edits` are the cure, those of drawings in (y, v), mm;
    `of_frame` is a key that its frame in the plan is to have, and its lengths, mm.
    """

    message: str
    source: Source
    level: Level = Level.ERROR
    at: Point | None = None
    measure: Measure | None = None
    cure: str = ""
    check: str = "outline"
    span: tuple[Point, Point] | None = None
    drawn: tuple[tuple[Point, ...], ...] = ()
    lines: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    edits: tuple[Edit, ...] = ()
    of_frame: tuple[str, tuple[float, ...]] | None = None

"""Findings: what is wrong, or worth knowing, about the boat. Plain frozen values, no formatting."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Level(StrEnum):
    """How bad a finding is; the names are those of SARIF 2.1.0 (OASIS standard, section 3.27.10)."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the worst level, growing as it gets milder."""
        return list(Level).index(self)


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Source:
    """Where something came from: a file relative to the plan's folder, a line of it or a DXF handle."""

    file: str
    line: int = 0
    handle: str = ""

    def __str__(self) -> str:
        if self.line:
            return f"{self.file}:{self.line}"
        return f"{self.file}, object {self.handle}" if self.handle else self.file


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One finding of one check.

    `at` is a point in hull axes, mm. `measured` and `limit` are in `unit`; where nothing is measured
    all three are left out. `message` is one sentence of what is wrong, `cure` one of what would mend
    it, in numbers where there are any. `waived` holds the reason when the plan waives the finding.
    """

    check: str
    level: Level
    message: str
    frame: str = ""
    parts: tuple[str, ...] = ()
    at: tuple[float, float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    cure: str = ""
    source: Source | None = None
    waived: str = ""

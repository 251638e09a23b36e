"""Findings: what is wrong, or worth knowing, about the boat. Plain frozen values, no formatting."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal, TypeAlias

from .edits import Edit
from .marks import Mark


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
    """Where something came from: a file relative to the plan's folder, a line of it or a DXF handle.

    What is known besides of an object of a drawing tells no two apart: its `layer`, the `others` that it is drawn with
    (pieces of one outline, holes, a label, a head round its shank), and whether it is `bound`: in a block, or of lines
    that it shares with its neighbours, so that its corners cannot be moved alone.
    """

    file: str
    line: int = 0
    handle: str = ""
    layer: str = field(default="", compare=False)
    others: tuple[str, ...] = field(default=(), compare=False)
    bound: bool = field(default=False, compare=False)

    def __str__(self) -> str:
        if self.line:
            return f"{self.file}:{self.line}"
        return f"{self.file}, object {self.handle}" if self.handle else self.file


Kind: TypeAlias = Literal["frame", "part", "screw", "dowel", "batten", "rail", "board", "sheet"]


_BESIDE_THE_BOAT = frozenset({"rail", "board", "sheet"})


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Subject:
    """What a finding is about: one thing of the boat by kind, frame ("" where it belongs to none) and name."""

    kind: Kind
    name: str
    frame: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """What was measured, the `limit` it was held against, and whether that is the most or the least that is right.

    `words` is a template of how it is told beside a picture, with {value} and {limit}, where the plain form
    "4.00 mm, 0.50 allowed" or "4.00 mm, 10.0 wanted" does not do. Words that leave out {value} tell all: no number is.
    """

    value: float
    limit: float | None = None
    unit: str = "mm"
    sense: Literal["most", "least"] = "most"
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One finding of one check.

    `at` is a point in hull axes, mm. `message` is one sentence of what is wrong, `cure` one of what would mend
    it, in numbers where there are any. `waived` holds the reason when the plan waives the finding.
    `subjects` are what it is about, the worst first; `evidence` is what was found, for every display to draw: the
    first span in it is what is measured. `edits` are the cure, as far as it is a plain change of the plan's files.
    `because` is the finding that it follows from: it goes when that is mended, and is held beneath it.
    """

    check: str
    level: Level
    message: str
    frame: str = ""
    at: tuple[float, float, float] | None = None
    cure: str = ""
    source: Source | None = None
    waived: str = ""
    subjects: tuple[Subject, ...] = ()
    measure: Measure | None = None
    evidence: tuple[Mark, ...] = ()
    edits: tuple[Edit, ...] = ()
    because: Finding | None = None

    @property
    def parts(self) -> tuple[str, ...]:
        """The names of what it is about, sorted; of things of the boat, not of rails, board or sheets.

        What is said of its own frame alone names nothing more.
        """
        named = {each.name for each in self.subjects if each.kind not in _BESIDE_THE_BOAT}
        return () if named == {f"F{self.frame}"} and len(self.subjects) == 1 else tuple(sorted(named))

    @property
    def measured(self) -> float | None:
        """What was measured, in `unit`; None where nothing was."""
        return self._number.value if self._number else None

    @property
    def limit(self) -> float | None:
        """What that was held against, in `unit`; None where nothing was."""
        return self._number.limit if self._number else None

    @property
    def unit(self) -> str:
        """Of `measured` and `limit`; empty for counts, and where nothing was measured."""
        return self._number.unit if self._number else ""

    @property
    def _number(self) -> Measure | None:
        known = self.measure
        return known if known is not None and (not known.words or "{value}" in known.words) else None

"""What pictures are taken of: a boat with what is known of it, and how large words are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps import Step
from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding, Level

from ..marks.measured import measure_alone
from ..paper.sight import Seen
from ..reports.style import plain
from ..scene.sides import Side

Many = Literal["steps", "findings"]

SIDE_WORDS: dict[Side, str] = {
    "quarter": "from the port quarter",
    "bow": "from the port bow",
    "starboard-quarter": "from the starboard quarter",
    "starboard-bow": "from the starboard bow",
    "port": "from port",
    "starboard": "from starboard",
    "aft": "from aft",
    "forward": "from forward",
    "above": "from above",
    "below": "from below",
}

VERB = "scrieve picture"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PicturedBoat:
    """A boat. `findings` and `steps` are empty where no picture needs them; both are numbered from 1."""

    assembly: Assembly
    seen: Seen
    findings: tuple[Finding, ...] = ()
    steps: tuple[Step, ...] = ()

    @property
    def marked(self) -> list[tuple[int, Finding]]:
        """Those worth a mark, by number: errors and warnings that are not waived."""
        return [(n, f) for n, f in enumerate(self.findings, start=1) if f.level is not Level.NOTE and not f.waived]

    def on_page(self, asked: Asked) -> list[tuple[int, Step | Finding]]:
        """What a page holds, by number: steps, or errors and warnings, waived or not; of one frame, if it is named."""
        number = None if asked.frame is None else asked.frame.number
        if asked.many == "steps":
            return [(step.number, step) for step in self.steps if number in (None, step.frame)]
        if asked.many == "findings":
            numbered = enumerate(self.findings, start=1)
            return [(n, f) for n, f in numbered if f.level is not Level.NOTE and number in (None, f.frame)]
        return []


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked for: a `frame`, a `step`, a `finding` by number, a page of `many`; else the whole boat.

    With a `frame` a page has those of the frame alone; `moving` shows them one after the other instead. `bare` leaves
    words and marks away. `size` is in points.
    """

    frame: Frame | None = None
    step: Step | None = None
    finding: int = 0
    many: Many | None = None
    moving: bool = False
    side: Side | None = None
    size: tuple[int, int] | None = None
    bare: bool = False


def letters(size: Sequence[int]) -> float:
    """points; the size of common words in a picture of this size."""
    return max(10.0, min(size[0] / 105, size[1] / 62))


def brief(finding: Finding) -> str:
    """A finding in a few words: "notch-foul 1.50 mm"."""
    return plain(f"{finding.check} {measure_alone(finding.measure)}".rstrip())


def misused(what: str) -> UseError:
    """The error of a single mistake in how the verb is called."""
    return UseError.at(what, path=VERB)

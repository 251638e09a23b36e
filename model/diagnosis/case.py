"""What hypotheses are made from and what they are: a boat with her findings, and a slip that would explain them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Source, Subject

from ..boat.assembly import Assembly
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.screw import Screw
from ..plan.plan import Plan

_RESTLESS = 6  # frames looked at; a wrong one troubles those on both sides


@dataclass(frozen=True, kw_only=True, eq=False)
class Case:
    """A boat, the plan that she is set up from, and her errors and warnings that stand."""

    boat: Assembly
    plan: Plan
    findings: tuple[Finding, ...]

    def of(self, *checks: str) -> tuple[Finding, ...]:
        """The findings of these checks."""
        return tuple(finding for finding in self.findings if finding.check in checks)

    def about(self, is_meant: Callable[[Subject], bool], *checks: str) -> tuple[Finding, ...]:
        """The findings with such a subject; of these checks, where any are named."""
        return tuple(
            finding
            for finding in self.findings
            if (not checks or finding.check in checks) and any(is_meant(each) for each in finding.subjects)
        )

    def in_frames(self, *numbers: str) -> tuple[Finding, ...]:
        """The findings of these frames."""
        return tuple(finding for finding in self.findings if finding.frame in numbers)

    @cached_property
    def frames(self) -> dict[str, Frame]:
        """The frames by number."""
        return {frame.number: frame for frame in self.boat.frames}

    @cached_property
    def parts(self) -> dict[str, Part]:
        """The parts by name."""
        return {part.name: part for part in self.boat.parts()}

    @cached_property
    def screws(self) -> dict[str, Screw]:
        """The screws by name."""
        return {screw.name: screw for frame in self.boat.frames for screw in frame.screws}

    @cached_property
    def restless(self) -> dict[str, tuple[Finding, ...]]:
        """The frames where battens do not lie well, those with most findings first: what is found of each so."""
        counts: dict[str, list[Finding]] = {}
        for finding in self.of("fair", "bend", "notch-foul", "notch-slack", "notch-missing"):
            if finding.frame:
                counts.setdefault(finding.frame, []).append(finding)
        most = sorted(counts, key=lambda number: -len(counts[number]))[:_RESTLESS]
        return {number: tuple(counts[number]) for number in most}

    def index_of(self, number: str) -> int:
        """The place of a frame in the plan."""
        return next(n for n, spec in enumerate(self.plan.frames) if spec.number == number)


@dataclass(frozen=True, kw_only=True, eq=False)
class Hypothesis:
    """A slip: what it `says`, the `cure` and the `edits` that undo it, and the findings that must go then, its `trace`.

    `fewest` of these make it worth a trial. Frames that are `alike` may trade their findings, as where they are
    exchanged. With `loose` another value of the same key may do as well, and is then told too.
    What it sets is `read_off` curves: the likeliest value, to be looked at before it is set.
    `root` is the finding that tells the slip already, if one does. What is tried may be only `like` the cure: the edits
    are then not told. Checks that it `brings` may speak anew in its frame. What is `evident` needs no trial.
    """

    says: str
    cure: str
    edits: tuple[Edit, ...]
    trace: tuple[Finding, ...]
    fewest: int = 4
    frame: str = ""
    alike: frozenset[str] = frozenset()
    loose: bool = False
    read_off: bool = False
    root: Finding | None = None
    like: bool = False
    brings: frozenset[str] = frozenset()
    evident: bool = False
    source: Source
    subjects: tuple[Subject, ...] = ()


Propose: TypeAlias = Callable[[Case], Iterator[Hypothesis]]

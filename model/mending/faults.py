"""What is wrong with a boat, so that it can be told of another state of the same boat what went and what came.

A thing is known by the object that draws it, not by its name, which changes with labels and with what is counted over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scrieve.shared.findings import Finding, Level, Source, Subject
from scrieve.shared.sentences import form

from ..boat.assembly import Assembly
from ..boat.evidence import subject
from ..boat.part import Part
from ..boat.screw import Dowel, Screw

_SAME, _AS_BAD = 0.01, 0.25
"""mm, or of another measure, by which nothing is worse than it was; of what a warning is over, such a share besides."""

_SIDE = re.compile(r"\b(?:port|starboard) ")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Faults:
    """Findings by what they are about, `alike` those of one check about the same, the worst first."""

    alike: Mapping[object, tuple[Finding, ...]]
    drawn: Mapping[Subject, Source]

    @classmethod
    def of(cls, boat: Assembly, findings: Iterable[Finding]) -> Faults:
        """Those of a boat."""
        drawn: dict[Subject, Source] = {}
        for frame in boat.frames:
            things: tuple[Part | Screw | Dowel, ...] = (*frame.parts, *frame.screws, *frame.dowels)
            drawn |= {subject(thing): thing.source for thing in things if thing.source.handle}
        alike: dict[object, list[Finding]] = {}
        for finding in findings:
            alike.setdefault(_identity(finding, drawn), []).append(finding)
        worst = {key: tuple(sorted(each, key=_weight, reverse=True)) for key, each in alike.items()}
        return cls(alike=worst, drawn=drawn)

    def new(self, before: Faults) -> list[Finding]:
        """The findings that were not there before, or are worse than they were."""
        return [
            finding
            for key, findings in self.alike.items()
            for n, finding in enumerate(findings)
            if n >= len(known := before.alike.get(key, ())) or _heavier(finding, known[n])
        ]

    def about(self, finding: Finding) -> tuple[Finding, ...]:
        """Those that are alike a finding."""
        return self.alike.get(_identity(finding, self.drawn), ())

    def lacks(self, finding: Finding, before: Faults) -> bool:
        """Whether less is found of what a finding is about than before, when it was found."""
        was, now = before.about(finding), self.alike.get(_identity(finding, before.drawn), ())
        return len(now) < len(was) or any(
            one.level.rank > other.level.rank for one, other in zip(now, was, strict=False)
        )

    def __len__(self) -> int:
        return sum(map(len, self.alike.values()))


def _identity(finding: Finding, drawn: Mapping[Subject, Source]) -> object:
    about = [each for each in finding.subjects if each.kind != "frame"]
    known = [drawn.get(each) for each in about]
    things = sorted(
        (source.file, source.handle) if source else (each.kind, _SIDE.sub("", each.name))
        for each, source in zip(about, known, strict=True)
    )
    return finding.check, "" if any(known) else finding.frame, tuple(things) or form(finding.message)


def _weight(finding: Finding) -> tuple[int, float]:
    """How bad a finding is: its level, and how far it is past its limit."""
    known = finding.measure
    over = 0.0 if known is None else known.value - (known.limit or 0.0)
    return -finding.level.rank, -over if known is not None and known.sense == "least" else over


def _heavier(finding: Finding, before: Finding) -> bool:
    (level, over), (level_before, over_before) = _weight(finding), _weight(before)
    play = _SAME if finding.level is Level.ERROR else max(_SAME, _AS_BAD * abs(over_before))
    return level > level_before or (level == level_before and over > over_before + play)

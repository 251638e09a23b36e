"""Folding: notes that say the same of many places become one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from scrieve.shared.findings import Finding, Level

FEWEST = 3
"""So many notes of one shape are folded; two are still quicker read than understood as a fold."""

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_CHANGING = re.compile(rf"({_NUMBER.pattern}|\b(?:port|starboard)\b)")
_MARKS = 0xE000
"""Where Unicode's characters for private use begin: they stand for names while messages are compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Findings that read alike: `findings` has one, or `FEWEST` and more notes in their given order."""

    findings: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The one to show in full."""
        return self.findings[0]

    @property
    def message(self) -> str:
        """The first one's sentence; a number that is not the same in all of them stands as its range."""
        pieces = [_pieces(finding) for finding in self.findings]
        said = []
        for column in zip(*pieces, strict=True):
            first = column[0]
            spread = sorted(set(column), key=float) if _NUMBER.fullmatch(first) else [first]
            said.append(first if len(spread) == 1 else f"{spread[0]} to {spread[-1]}")
        return _named("".join(said), self.first)

    @property
    def frames(self) -> dict[str, int]:
        """How many there are of each frame, in the order met."""
        return dict(Counter(finding.frame for finding in self.findings))

    @property
    def frame(self) -> str | None:
        """The one frame they are all of ("" for the whole boat), None if there are several."""
        frames = self.frames
        return self.first.frame if len(frames) == 1 else None

    @property
    def cure(self) -> str:
        """The cure, if it is the same for all."""
        return self.first.cure if len({finding.cure for finding in self.findings}) == 1 else ""


def folded(findings: Iterable[Finding]) -> list[Fold]:
    """The findings, notes of one shape together at the place of the first; warnings and errors never fold."""
    groups: dict[object, list[Finding]] = {}
    for index, finding in enumerate(findings):
        alike = finding.level is Level.NOTE and not finding.waived
        groups.setdefault((finding.check, shape(finding)) if alike else index, []).append(finding)
    out = []
    for group in groups.values():
        if len(group) >= FEWEST:
            out.append(Fold(findings=tuple(group)))
        else:
            out.extend(Fold(findings=(finding,)) for finding in group)
    return out


def shape(finding: Finding) -> str:
    """The message without what changes from place to place: parts' names, frame, side of the boat, numbers."""
    return "".join("~" if _CHANGING.fullmatch(piece) else piece for piece in _pieces(finding))


def _pieces(finding: Finding) -> list[str]:
    """The message, a mark in place of every name in it, cut where it names a number or a side."""
    text = finding.message
    for mark, name in _marks(finding):
        text = text.replace(name, mark)
    return _CHANGING.split(text)


def _named(text: str, finding: Finding) -> str:
    """Text with this finding's names put back in place of their marks."""
    for mark, name in _marks(finding):
        text = text.replace(mark, name)
    return text


def _marks(finding: Finding) -> list[tuple[str, str]]:
    """A character and the name it stands for, longest first: parts with and without their frame, the frame."""
    names = [name for part in finding.parts for name in (part, part.partition(" ")[2] or part)]
    names += [f"F{finding.frame}", f"frame {finding.frame}"] if finding.frame else []
    marks = [(chr(_MARKS + index), name) for index, name in enumerate(names)]
    return sorted(marks, key=lambda pair: -len(pair[1]))

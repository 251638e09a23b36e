"""Folding: notes that say the same of many places become one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scrieve.shared.findings import Finding, Level

FEWEST = 3
"""So many notes of one shape are folded; two are still quicker read than understood as a fold."""

NUMBER = re.compile(r"(?<![\w.,/:#-])(?<!No\. )(?<!\bx )-?\d+(?:\.\d+)?(?![\w/:]|[.,-]\d| x )")
"""A number by itself: no part of a fraction, a date, a file, a name or the size of a screw."""

_UNITS = r"(?:mm|%|D|degrees|times)(?!\.?\w| \()"
_COUNTED = r"(?:[a-z]+ )?(?:corners|findings|frames|joints|marks|more|objects|openings|outlines|screws|texts)\b"
_CHANGING = re.compile(
    rf'"[^"]*"|\blayer .+?(?= (?:of|that|is|are) |[:,(]|$)'
    rf"|({NUMBER.pattern}(?= {_UNITS}| {_COUNTED})|(?<=\()\d+(?=\))|\b(?:port|starboard)\b)"
)
"""Its group is what may differ between notes that fold: sides, and what is measured or counted, of which alone a
range is true. What is quoted and the names of layers are passed over.
"""

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
        """The first one's sentence; a quantity that is not the same in all of them stands as its range."""
        columns = zip(*(_pieces(finding) for finding in self.findings), strict=True)
        return _named("".join(_spread(column) for column in columns), self.first)

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
    pieces = _pieces(finding)
    pieces[1::2] = ["#" if _is_number(piece) else "~" for piece in pieces[1::2]]
    return "".join(pieces)


def _pieces(finding: Finding) -> list[str]:
    """The message, a mark in place of every name in it; every second piece is a quantity or a side."""
    text = finding.message
    for mark, name in _marks(finding):
        text = re.sub(rf"(?<![\w-]){re.escape(name)}(?!\w|[.-]\w)", mark, text)
    cuts = [(0, 0), *(match.span(1) for match in _CHANGING.finditer(text) if match[1]), (len(text), len(text))]
    pieces = [[text[start:end], text[end:after]] for (start, end), (after, _) in pairwise(cuts)]
    return [piece for pair in pieces for piece in pair][1:]


def _is_number(piece: str) -> bool:
    return piece.lstrip("-")[:1].isdigit()


def _spread(column: Sequence[str]) -> str:
    """What stands at one place in several sentences: the same, all that there is, or the least and the greatest."""
    said = list(dict.fromkeys(column))
    if len(said) > 1 and _is_number(said[0]):
        return " to ".join(dict.fromkeys((min(said, key=float), max(said, key=float))))
    return " or ".join(said)


def _named(text: str, finding: Finding) -> str:
    """Text with this finding's names put back in place of their marks."""
    for mark, name in _marks(finding):
        text = text.replace(mark, name)
    return text


def _marks(finding: Finding) -> list[tuple[str, str]]:
    """A character and the name it stands for, longest first: the frame, parts with and without their frame."""
    names = [f"F{finding.frame}", f"frame {finding.frame}"] if finding.frame else []
    names += [name for part in finding.parts for name in (part, part.partition(" ")[2] or part)]
    marks = [(chr(_MARKS + index), name) for index, name in enumerate(names)]
    return sorted(marks, key=lambda pair: -len(pair[1]))

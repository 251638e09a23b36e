"""Folding: findings that say the same of many places become one. Sentences are compared by template and values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import takewhile

from scrieve.shared.findings import Finding, Level
from scrieve.shared.names import within_frame
from scrieve.shared.plain_text import plain
from scrieve.shared.sentences import Name, Quantity, Sentence, form
from scrieve.shared.wording import joined, listed, plates

FEWEST = {Level.NOTE: 3, Level.WARNING: 8, Level.ERROR: 8}
"""So many of one form are folded: fewer notes are quicker read, and fewer faults mended each by its own cure."""

_MOST = 3  # names that stand beside one another, where they differ; of more it is said how many


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Findings that read alike: `findings` has one, or as many as FEWEST of their level says, in their given order."""

    findings: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The one to show in full."""
        return self.findings[0]

    @property
    def message(self) -> str:
        """The first one's sentence; a quantity that is not the same in all of them stands as its range.

        Other names than those of the things that each is about stand beside one another.
        """
        own = [_own_names(finding) for finding in self.findings]
        return _spread([finding.message for finding in self.findings], own)

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


def folded(findings: Iterable[Finding], levels: Collection[Level] = tuple(Level)) -> list[Fold]:
    """The findings, those of one form together at the place of the first; only those of `levels` fold."""
    groups: dict[object, list[Finding]] = {}
    for index, finding in enumerate(findings):
        alike = finding.level in levels and not finding.waived
        key = (finding.check, finding.level, form(finding.message)) if alike else index
        groups.setdefault(key, []).append(finding)
    out = []
    for group in groups.values():
        if len(group) >= FEWEST[group[0].level]:
            out.append(Fold(findings=tuple(group)))
        else:
            out.extend(Fold(findings=(finding,)) for finding in group)
    return out


def in_a_line(fold: Fold) -> str:
    """Frame, check and sentence, and how many there are of these; no frame where they are of several."""
    where = f"F{plain(fold.frame)} " if fold.frame else ""
    many = f" ({len(fold.findings)} of these)" if len(fold.findings) > 1 else ""
    return f"{where}{plain(fold.first.check)}: {plain(fold.message)}{many}"


def _own_names(finding: Finding) -> frozenset[str]:
    """What a finding may call the things that it is about, alone and together."""
    names = [subject.name for subject in finding.subjects]
    short = [within_frame(name, finding.frame) for name in names]
    together = [said for given in (names, short) if given for said in (listed(given), plates(given))]
    return frozenset((finding.frame, f"F{finding.frame}", *names, *short, *together))


def _spread(said: Sequence[str], own: Sequence[frozenset[str]]) -> str:
    """Sentences of one form as one."""
    first, *_ = said
    kinds = list(dict.fromkeys(said))
    if len(kinds) == 1:
        return first
    if isinstance(first, Sentence):
        columns = {key: [text.values[key] for text in said if isinstance(text, Sentence)] for key in first.values}
        return first.template.format_map({key: _spread(column, own) for key, column in columns.items()})
    if isinstance(first, Quantity):
        numbers = [text for text in said if isinstance(text, Quantity)]
        return _range(min(numbers, key=_value), max(numbers, key=_value))
    if all(name in names for name, names in zip(said, own, strict=True)):
        return first
    more = kinds[_MOST:]
    return joined([*kinds[:_MOST], *([Name(f"{len(more)} more")] if more else [])], " or ")


def _value(number: Quantity) -> float:
    return number.value


def _range(least: str, most: str) -> str:
    """ "its 4 joints" and "its 8 joints" as "its 4 to 8 joints": words that both begin or end with stand once.

    Numbers that read alike are one, whatever stands between them.
    """
    if least == most:
        return least
    a, b = least.split(" "), most.split(" ")
    start, end = _alike(a[:-1], b[:-1]), _alike(a[:0:-1], b[:0:-1])
    return " ".join([*a[: len(a) - end], "to", *b[start:]])


def _alike(one: Iterable[str], other: Iterable[str]) -> int:
    """How many words both begin with."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))

"""What is wrong with an outline or a label takes more with it: its own cure clears what is found about the place."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding

from ..case import Case, Hypothesis

_ABOUT = 100.0  # mm round the lines of an outline; what a part that is not there leaves open lies no further


def propose(case: Case) -> Iterator[Hypothesis]:
    """The cure that each finding on an outline or a label offers, where more is found about it."""
    for root in case.of("outline", "label"):
        if not root.frame or not root.edits or any(isinstance(edit, SetKey) for edit in root.edits):
            continue
        yield Hypothesis(
            says=root.message,
            cure=root.cure,
            edits=root.edits,
            trace=tuple(each for each in case.findings if each is root or _about(each, root)),
            fewest=2,
            frame=root.frame,
            source=root.source or case.boat.source,
            root=root,
        )


def _about(finding: Finding, root: Finding) -> bool:
    """Whether a finding of the same frame lies about the lines of another."""
    lines = [point for mark in root.evidence for point in mark.points]
    if finding.frame != root.frame or finding.at is None or not lines:
        return False
    low, high = np.min(lines, axis=0) - _ABOUT, np.max(lines, axis=0) + _ABOUT
    return bool(np.all(low <= finding.at) and np.all(finding.at <= high))

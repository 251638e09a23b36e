"""The cutter is smaller than the plan says: the corners are drawn for another."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import trimmed

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The cutter of the smallest radius that corners are drawn with, where many are drawn too narrow."""
    now = case.plan.cutter.diameter if case.plan.cutter else 0.0
    trace = case.of("corner")
    widths = sorted(2 * each.measured for each in trace if each.measured)
    if not widths or not now:
        return
    # one corner that is too narrow of itself does not make the cutter
    width = round(widths[len(widths) // 10], 3)
    if width >= now:
        return
    yield Hypothesis(
        says=Sentence.of(
            "the corners are drawn for a cutter of {width} mm, the plan says {now} mm",
            width=trimmed(width, 3),
            now=trimmed(now, 3),
        ),
        cure=Sentence.of(
            "set the diameter of [cutter] to {width}, if that is the one at hand", width=trimmed(width, 3)
        ),
        edits=case.plan.keys.set(("cutter",), "diameter", width),
        trace=trace,
        source=case.plan.source_of("cutter", "diameter"),
    )

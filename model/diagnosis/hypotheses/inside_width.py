"""The rails stand further apart, or closer, than the plan says: all legs miss them alike."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import trimmed

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The width at which most locating edges lie against a rail."""
    rails, trace = case.plan.strongback, case.of("leg-side")
    off = [each.measured for each in trace if each.measured]
    if rails is None or not off:
        return
    for way in (1.0, -1.0):
        width = round(rails.inside_width + way * 2 * median(off), 2)
        if width <= 0.0:
            continue
        yield Hypothesis(
            says=Sentence.of(
                "the legs are drawn for rails {width} mm apart, the plan says {said} mm",
                width=trimmed(width),
                said=trimmed(rails.inside_width),
            ),
            cure=Sentence.of("set inside_width of [strongback] to {width}", width=trimmed(width)),
            edits=case.plan.keys.set(("strongback",), "inside_width", width),
            trace=trace,
            source=case.plan.source_of("strongback", "inside_width"),
        )

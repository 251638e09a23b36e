"""The boat is built the other way up than the plan says."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Sentence

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The other way up, where legs and rails do not meet all along the boat."""
    other = "inverted" if case.plan.build == "upright" else "upright"
    rails = case.about(lambda each: each.kind == "rail")
    legs = case.of("leg-bottom", "leg-side", "leg-pair")
    trace = tuple({id(each): each for each in (*legs, *rails)}.values())
    if len({finding.frame for finding in trace}) * 2 < len(case.boat.frames):
        return
    yield Hypothesis(
        says=Sentence.of("the boat is built {other}, the plan says {said}", other=other, said=case.plan.build),
        cure=Sentence.of('set build = "{other}"', other=other),
        edits=case.plan.keys.set(("plan",), "build", other),
        trace=trace,
        source=case.plan.source_of("plan", "build"),
    )

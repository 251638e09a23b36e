"""The edges of a batten are eased by another radius than the plan says."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import trimmed

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The radius of the other battens, and that of the cutter which leaves the corners of the notches."""
    others = sorted({batten.arris for batten in case.plan.battens.values()}, reverse=True)
    if case.plan.cutter:
        others.append(case.plan.cutter.diameter / 2)
    for kind, batten in case.plan.battens.items():
        own = {each.name for each in case.boat.battens if each.kind == kind}
        trace = case.about(lambda each, own=own: each.name in own, "notch-foul")  # type: ignore[misc]
        for arris in dict.fromkeys(each for each in others if batten.arris < each <= min(batten.section) / 2):
            yield Hypothesis(
                says=Sentence.of(
                    "the edges of the {kind} are eased by {arris} mm, the plan says {said} mm",
                    kind=Name(kind),
                    arris=trimmed(arris),
                    said=trimmed(batten.arris),
                ),
                cure=Sentence.of("set arris of battens.{kind} to {arris}", kind=Name(kind), arris=trimmed(arris)),
                edits=case.plan.keys.set(("battens", kind), "arris", arris),
                trace=trace,
                source=case.plan.source_of("battens", kind),
            )

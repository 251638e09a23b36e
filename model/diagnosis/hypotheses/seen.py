"""The drawings are seen from the other side than the plan says: port and starboard are exchanged in all of them."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Sentence

from ..case import Case, Hypothesis

_MOST = 0.8  # of the labels that name a side; a boat has them right but for a slip


def propose(case: Case) -> Iterator[Hypothesis]:
    """The other side, where most labels contradict the one that the plan says."""
    sided = [part for part in case.boat.parts() if part.label.casefold().startswith(("port ", "starboard "))]
    wrong = [part for part in sided if part.label.casefold().startswith("port ") == (part.shape.centroid.x < 0.0)]
    if len(wrong) < _MOST * max(len(sided), 1):
        return
    other = "from forward" if case.plan.seen == "from aft" else "from aft"
    frames = {part.frame for part in wrong}
    yield Hypothesis(
        says=Sentence.of("the drawings are seen {other}, the plan says {said}", other=other, said=case.plan.seen),
        cure=Sentence.of(
            'set seen = "{other}"; if they are seen {said}, port and starboard are exchanged in all labels',
            other=other,
            said=case.plan.seen,
        ),
        edits=case.plan.keys.set(("plan",), "seen", other),
        trace=tuple(finding for finding in case.of("label") if finding.frame in frames),
        fewest=2,
        source=case.plan.source_of("plan", "seen"),
    )

"""The dowels are of another size than the plan says: they are drawn so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import trimmed

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The size that most dowels are drawn with."""
    drawn = Counter(round(each.diameter, 3) for frame in case.boat.frames for each in frame.dowels if not each.proposed)
    size = max(drawn, key=lambda each: (drawn[each], each), default=0.0)
    said = case.plan.dowels.diameter
    if not size or size == said:
        return
    yield Hypothesis(
        says=Sentence.of(
            "the dowels are drawn {size} mm across, the plan says {said} mm", size=trimmed(size), said=trimmed(said)
        ),
        cure=Sentence.of("set diameter of [dowels] to {size}", size=trimmed(size)),
        edits=case.plan.keys.set(("dowels",), "diameter", size),
        trace=case.of("dowel", "board"),
        fewest=2,
        source=case.plan.source_of("dowels", "diameter"),
    )

"""A batten runs on other sides of the boat than the plan says."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_SIDES = ("both", "centre", "port", "starboard")
_WORDS = {"both": "on both sides", "centre": "on the centreline", "port": "to port", "starboard": "to starboard"}


def propose(case: Case) -> Iterator[Hypothesis]:
    """The other sides of a batten, where notches are left empty and its sections are refused."""
    empty = case.of("notch-empty")
    refused = {kind: _refused(case, kind) for kind in case.plan.battens}
    for kind, spec in case.plan.battens.items():
        if any(refused.values()) and not refused[kind]:
            continue
        trace = tuple({id(each): each for each in (*empty, *refused[kind])}.values())
        for sides in _SIDES:
            if sides != spec.sides:
                yield Hypothesis(
                    says=Sentence.of(
                        "the {kind} runs {there}, the plan says {here}",
                        kind=Name(kind),
                        there=_WORDS[sides],
                        here=_WORDS[spec.sides],
                    ),
                    cure=Sentence.of('set sides = "{sides}" of battens.{kind}', sides=sides, kind=Name(kind)),
                    edits=case.plan.keys.set(("battens", kind), "sides", sides),
                    trace=trace,
                    source=case.plan.source_of("battens", kind, "sides"),
                )


def _refused(case: Case, kind: str) -> tuple[Finding, ...]:
    """What is wrong with how a batten is drawn: with its sections, or with the sides that the plan says."""
    names, key = {f"{side} {kind}".strip() for side in ("", "port", "starboard")}, ("battens", kind, "sides")
    return tuple(
        each
        for each in case.of("outline")
        if any(isinstance(edit, SetKey) and edit.key == key for edit in each.edits)
        or any(subject.kind == "batten" and subject.name in names for subject in each.subjects)
    )

"""Two frames have each other's station, or each other's drawing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..case import Case, Hypothesis
from ..running import Runs, effort

_EASIER = 1.5  # times; how much easier all battens must run with the two exchanged to be worth a trial
_PAIRS = 2  # pairs tried; of four frames the right one need not be the best


def propose(case: Case) -> Iterator[Hypothesis]:
    """The pairs with which all battens would run easier, by station and by drawing."""
    restless = case.restless
    standing = {frame.number: frame.placement for frame in case.boat.frames}
    pairs = [pair for pair in combinations(standing, 2) if restless.keys() & set(pair)]
    runs = Runs.of(case.boat)
    if not pairs or not runs:
        return
    stations = {number: place.station for number, place in standing.items()}
    swapped = [
        {a: replace(standing[a], station=stations[b]), b: replace(standing[b], station=stations[a])} for a, b in pairs
    ]
    now, *after = effort(case.boat, runs, [{}, *swapped])
    best = sorted(zip(after, pairs, strict=True))[:_PAIRS]
    for easier, (a, b) in best:
        if now < _EASIER * easier:
            continue
        at_odds = [each for each in case.of("station", "label", "cut-sheet") if _concerns(each, {a, b})]
        trace = (*(each for number in (a, b) for each in restless.get(number, ())), *at_odds)
        specs = [case.plan.frames[case.index_of(number)] for number in (a, b)]
        for word in _words(case, {a, b}):
            keys = ("station",) if word == "station" else ("drawing", "origin", "extent", "mirror")
            edits: list[Edit] = []
            for own, other in (specs, specs[::-1]):
                for key in keys:
                    value = getattr(other, key)
                    if value != getattr(own, key) and value is not None:
                        edits += case.plan.keys.set(("frames", case.index_of(own.number)), key, value)
            if len(edits) < 2:
                continue
            yield Hypothesis(
                says=Sentence.of("{a} and {b} have each other's {word}", a=Name(f"F{a}"), b=Name(f"F{b}"), word=word),
                cure=Sentence.of(
                    "exchange {word} {first} of {a} and {second} of {b}",
                    a=Name(f"F{a}"),
                    b=Name(f"F{b}"),
                    word=word,
                    first=_told(getattr(specs[0], word)),
                    second=_told(getattr(specs[1], word)),
                ),
                edits=tuple(edits),
                trace=trace,
                fewest=2,
                alike=frozenset((a, b)),
                source=case.plan.source_of("frames", case.index_of(a), word),
            )


def _words(case: Case, frames: set[str]) -> tuple[str, ...]:
    """What may be exchanged: labels or cut sheets that contradict the drawings say which."""
    named = case.of("cut-sheet", "label")
    if any(_concerns(finding, frames) for finding in named):
        return ("drawing",)
    labelled = any(case.plan.label_reader.alone(part.label).frame for part in case.boat.parts())
    return ("station",) if case.boat.sheets or labelled else ("station", "drawing")


def _concerns(finding: Finding, frames: set[str]) -> bool:
    return finding.frame in frames or bool(frames & {each.frame for each in finding.subjects})


def _told(value: object) -> str:
    return Quantity.of(value, f"{value:g}") if isinstance(value, float) else Name(value)

"""A frame leans the other way than the plan says, or leans where the plan has it upright."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import numpy as np

from scrieve.shared.edits import Edit
from scrieve.shared.errors import ScrieveError
from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Sentence

from ...plan.plan import STEEPEST
from ...review import found
from ..case import Case, Hypothesis
from ..running import ENOUGH, Runs, effort

_TRIED = 10.0  # degrees; from how much better battens lie in a frame leaning so it is told how much it should
_FIT = ("notch-foul", "notch-slack")


def propose(case: Case) -> Iterator[Hypothesis]:
    """The rake turned round, or a few degrees off; of an upright end frame the rake with which battens would fit."""
    numbers = [frame.number for frame in case.boat.frames]
    for number in case.restless:
        spec = case.plan.frames[case.index_of(number)]
        if spec.rake:
            yield _leaning(case, number, -spec.rake)
        if number in (numbers[0], numbers[-1]):
            if spec.rake and len(_trace(case, number)) >= Hypothesis.fewest:
                yield _leaning(case, number, _nearest(case, number, spec.rake), fitted=True)
            elif not spec.rake and number == next(iter(case.restless)):
                for rake in _fitting(case, number):
                    yield _leaning(case, number, rake, fitted=True)


def _leaning(case: Case, number: str, rake: float, *, fitted: bool = False) -> Hypothesis:
    index = case.index_of(number)
    said = case.plan.frames[index].rake
    return Hypothesis(
        says=Sentence.of(
            "F{frame} leans {way} by {about}{rake} degrees, the plan {said}",
            frame=Name(number),
            way="aft" if rake > 0 else "forward",
            about="about " if fitted else "",
            rake=f"{abs(rake):g}",
            said=f"says rake = {said:g}" if said else "has it upright",
        ),
        cure=Sentence.of(
            "set rake of F{frame} to {rake}{look}",
            look=", or as its drawing was made" if fitted else "",
            frame=Name(number),
            rake=f"{rake:g}",
        ),
        edits=_set(case, index, rake),
        trace=_trace(case, number),
        frame=number,
        loose=fitted,
        source=case.plan.source_of("frames", index, "rake"),
    )


def _set(case: Case, index: int, rake: float) -> tuple[Edit, ...]:
    return case.plan.keys.set(("frames", index), "rake", Decimal(f"{rake:g}"))


def _trace(case: Case, number: str) -> tuple[Finding, ...]:
    return tuple(each for each in case.in_frames(number) if each.check != "cut-sheet")


def _nearest(case: Case, number: str, said: float) -> float:
    """The rake a few degrees more or less than the one that is said with which battens lie best."""
    ways = {way: _off(case, number, said + 2.0 * way) for way in (1.0, -1.0)}
    way = min(ways, key=lambda each: ways[each])
    off = {more: ways[way] if more == 2.0 else _off(case, number, said + way * more) for more in (1.0, 2.0, 3.0)}
    best = [said + way * more for more in off if off[more] == min(off.values())]
    return best[len(best) // 2]


def _fitting(case: Case, number: str) -> Iterator[float]:
    """Whole degrees with which long battens run easiest, and from how far they are off now and leaning either way."""
    fair = _easiest(case, number)
    if fair:
        yield fair
    now = _off(case, number, 0.0)
    ways = {way: _off(case, number, way) for way in (_TRIED, -_TRIED)}
    way = min(ways, key=lambda each: ways[each])
    if not ways[way] < now:
        return
    # off grows evenly to both sides of the right angle, which lies short of what was tried or past it
    for degrees in {round(way * now / (now + ways[way])): None, round(way * now / (now - ways[way])): None}:
        if 0 < abs(degrees) <= STEEPEST and degrees != fair:
            yield float(degrees)


def _easiest(case: Case, number: str) -> float:
    """The rake in whole degrees with which battens through many frames run easiest; 0 where there are none."""
    runs = [run for run in Runs.of(case.boat) if len(run.frames) >= ENOUGH]
    if not runs:
        return 0.0
    degrees, place = np.arange(-STEEPEST, STEEPEST + 1.0), case.frames[number].placement
    taken = effort(case.boat, runs, [{number: replace(place, rake=float(np.radians(each)))} for each in degrees])
    return float(degrees[int(np.argmin(taken))])


def _off(case: Case, number: str, rake: float) -> float:
    """How far battens are off in a frame leaning so, all together, mm."""
    index = case.index_of(number)
    try:
        edits = _set(case, index, rake) if rake != case.plan.frames[index].rake else ()
        boat = case.boat.edited(edits) if case.boat.edited and edits else case.boat
    except ScrieveError:
        return float("inf")
    return sum(each.measured or 0.0 for each in found(boat, _FIT) if each.frame == number)

"""A frame leans the other way than the plan says, or leans where the plan has it upright."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.errors import ScrieveError
from scrieve.shared.sentences import Name, Sentence

from ...plan.plan import STEEPEST
from ...review import found
from ..case import Case, Hypothesis

_TRIED = 10  # degrees; from how much better battens lie in a frame leaning so it is told how much it should
_FIT = ("notch-foul", "notch-slack")


def propose(case: Case) -> Iterator[Hypothesis]:
    """The rake turned round; and of an end frame in which battens do not fit, the rake with which they would."""
    numbers = [frame.number for frame in case.boat.frames]
    for number in case.restless:
        spec = case.plan.frames[case.index_of(number)]
        if spec.rake:
            yield _leaning(case, number, -spec.rake)
        elif number in (numbers[0], numbers[-1]) and number == next(iter(case.restless)):
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
        # a whole number of degrees is written as it is, a length would go by the plan's unit
        edits=case.plan.keys.set(("frames", index), "rake", int(rake) if rake == int(rake) else str(rake)),
        trace=tuple(each for each in case.in_frames(number) if each.check != "cut-sheet"),
        frame=number,
        loose=fitted,
        source=case.plan.source_of("frames", index, "rake"),
    )


def _fitting(case: Case, number: str) -> Iterator[float]:
    """Whole degrees, from how far battens are off now and would be with the frame leaning either way."""
    now = _off(case, number, 0)
    ways = {way: _off(case, number, way) for way in (_TRIED, -_TRIED)}
    way = min(ways, key=lambda each: ways[each])
    if now is None or not ways[way] < now:
        return
    # off grows evenly to both sides of the right angle, which lies short of what was tried or past it
    for degrees in {round(way * now / (now + ways[way])): None, round(way * now / (now - ways[way])): None}:
        if 0 < abs(degrees) <= STEEPEST:
            yield float(degrees)


def _off(case: Case, number: str, rake: int) -> float:
    """How far battens are off in a frame leaning so, all together, mm."""
    try:
        edits = case.plan.keys.set(("frames", case.index_of(number)), "rake", rake)
        boat = case.boat.edited(edits) if case.boat.edited and rake else case.boat
    except ScrieveError:
        return float("inf")
    return sum(each.measured or 0.0 for each in found(boat, _FIT) if each.frame == number)

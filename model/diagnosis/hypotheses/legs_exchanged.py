"""The legs of two frames are exchanged: each is cut for the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

import numpy as np

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Subject
from scrieve.shared.sentences import Sentence

from ...boat.editing import reshaped
from ...boat.frame import Frame
from ...boat.part import Part
from ..case import Case, Hypothesis

_CHECKS = ("leg-bottom", "leg-side", "leg-pair", "joint-gap", "foul", "cut-sheet")
_PAIRS = 2  # of frames tried


def propose(case: Case) -> Iterator[Hypothesis]:
    """The pairs of frames of whose legs most is found, each leg drawn as the other frame's."""
    legs = {part.name: part.frame for part in case.boat.parts() if part.role == "leg"}
    found = case.about(lambda each: each.name in legs, *_CHECKS)
    concerned = {number: [each for each in found if _is_of(each.subjects, legs, number)] for number in case.frames}
    pairs = [pair for pair in combinations(case.boat.frames, 2) if all(concerned[frame.number] for frame in pair)]
    pairs.sort(key=lambda pair: -sum(len(concerned[frame.number]) for frame in pair))
    for one, other in pairs[:_PAIRS]:
        edits = (*_drawn_as(one, other), *_drawn_as(other, one))
        trace = {id(each): each for frame in (one, other) for each in concerned[frame.number]}
        yield Hypothesis(
            says=Sentence.of("{one} and {other} have each other's legs", one=one, other=other),
            cure=Sentence.of("exchange the legs of {one} and {other} in their drawings", one=one, other=other),
            edits=edits,
            trace=tuple(trace.values()),
            fewest=3,
            alike=frozenset((one.number, other.number)),
            source=one.source,
        )


def _is_of(subjects: Iterable[Subject], legs: Mapping[str, str], number: str) -> bool:
    return any(legs.get(each.name) == number for each in subjects)


def _drawn_as(frame: Frame, other: Frame) -> Iterator[Edit]:
    """The legs of a frame with their corners where those of the other are; nothing where they are of other forms."""
    theirs = {(part.label, part.face): part for part in other.parts if part.role == "leg"}
    own = {(part.label, part.face): part for part in frame.parts if part.role == "leg"}
    if own.keys() != theirs.keys():
        return
    for key, part in own.items():
        here, there = _corners(part), _corners(theirs[key])
        if len(here) == len(there):
            yield from reshaped(frame, part, zip(here, there, strict=True))


def _corners(part: Part) -> list[tuple[float, float]]:
    """The corners from the lowest on, on the way round."""
    points = part.drawn.points
    first = int(np.lexsort((points[:, 0], np.round(points[:, 1], 3)))[0])
    return [(float(y), float(v)) for y, v in np.roll(points, -first, axis=0)]

"""Moves of screws that stand too close: where each would have to go, in words and as edits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import joined, listed, place, plain

from ...boat.editing import move, remove
from ...boat.evidence import subjects
from ...boat.frame import Frame
from ...boat.screw import Screw

Floats = NDArray[np.float64]


class Drawn(NamedTuple):
    """What one object of a drawing makes: screws that move together, images to the other side."""

    members: tuple[tuple[Frame, Screw], ...]

    @property
    def lead(self) -> tuple[Frame, Screw]:
        """The one that is drawn where it stands."""
        return self.members[0]

    @property
    def along(self) -> tuple[str, ...]:
        """The names of the others."""
        return tuple(sorted({screw.name for _, screw in self.members} - {self.lead[1].name}))

    def displaced(self, by: Floats) -> list[Floats]:
        """Where each comes to stand, (n, 2) each, when the first moves by `by` (n, 2)."""
        first = sideways(self.lead[1])
        return [np.asarray(s.at) + by * (first * sideways(s), 1.0) for _, s in self.members]


class NewPlace(NamedTuple):
    """Where a screw should go, (y, v) of its frame, mm, with all that is `drawn` with it.

    `after`: once these have left that place.
    """

    screw: Screw
    at: tuple[float, float]
    drawn: Drawn
    after: tuple[Screw, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Moves:
    """The common solution. `out` are screws to leave out, as there is no place for them and they foul as they stand.

    For those `given_up`, of which there are too many, no place was looked for.
    """

    moves: tuple[NewPlace, ...] = ()
    out: Mapping[Screw, Drawn] = field(default_factory=dict)
    given_up: frozenset[Screw] = frozenset()

    @cached_property
    def _by_screw(self) -> dict[Screw, NewPlace]:
        return {move.screw: move for move in self.moves}

    def of(self, screws: Iterable[Screw]) -> tuple[NewPlace, ...]:
        """The moves of these screws, in the order given."""
        return tuple(self._by_screw[screw] for screw in screws if screw in self._by_screw)

    def edits_of(self, screws: Sequence[Screw]) -> tuple[Edit, ...]:
        """What to change in the drawings: what has to leave first, their moves; where none has a place the one out."""
        found = self.of(screws)
        edits: list[Edit] = []
        for place_ in found:
            edits += self.edits_of(place_.after)
            frame, lead = place_.drawn.lead
            at, after = self._by_screw[lead].at, bool(place_.after)
            edits += move(frame, lead, at, along=place_.drawn.along, after=after, sure=True)
        if not found:
            gone = next((self.out[screw] for screw in reversed(screws) if screw in self.out), None)
            edits += () if gone is None else remove(*gone.lead, along=gone.along)
        return tuple(dict.fromkeys(edits))

    def said_of(self, screws: Sequence[Screw], how: str, name: str = "") -> str:
        """The moves of these screws in words, `how` before the first place; empty if none of them moves."""
        found = self.of(screws)
        if not found:
            return ""
        first = Sentence.of("move {it} {how}to {place}", it=name or found[0].screw, how=how, place=place(*found[0].at))
        more = [Sentence.of("{screw} to {place}", screw=each.screw, place=place(*each.at)) for each in found[1:]]
        said = joined([first, *more], ", and ", ", and ")
        if any(each.after for each in found):
            said = Sentence.of("{said}, once the other screws have moved", said=said)
        named = {each.screw for each in found}
        beside = sorted(s.name for each in found for _, s in each.drawn.members if s not in named and s.source.handle)
        if not beside:
            return said
        return Sentence.of("{said}; drawn as one with it, {beside} goes along", said=said, beside=listed(beside))

    def leaves_out(self, screw: Screw) -> bool:
        """Whether this screw should be left out."""
        return screw in self.out


def crowding_notes(check: str, frame: Frame, moves: Moves, screws: Iterable[Screw]) -> Iterator[Finding]:
    """What this check says of those of its screws in a frame for which no place was looked for."""
    count = len(moves.given_up.intersection(screws))
    if count:
        yield Finding(
            check=check,
            level=Level.NOTE,
            message=Sentence.of(
                "places for {count} screws of {frame} that stand too close were not looked for: too crowded",
                count=plain(count),
                frame=frame,
            ),
            frame=frame.number,
            cure="lay the screws out afresh, and check again",
            source=frame.source,
            subjects=subjects(frame),
        )


def sideways(screw: Screw) -> float:
    """1 for a screw that moves as the one that is drawn, -1 along y for its image on the other side."""
    return -1.0 if screw.image else 1.0

"""Ways: how a thing comes to its place, and what bars the way."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias, TypeVar

from ..boat.batten import Batten
from ..boat.part import Part

How: TypeAlias = Literal["drop", "slide", "lower", "spring", "thread"]
Triple: TypeAlias = tuple[float, float, float]


_Thing = TypeVar("_Thing", Part, Batten)

_LEVEL = 1.0
"""mm; things that lie so near one another are at one height: port goes before starboard."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Way:
    """A straight way into place.

    `toward` is the unit vector of the last travel into place: (y, v, w) of the frame for its parts, hull
    axes for frames and battens. `reach` is how far back along it the path was looked at, mm: there the
    thing is clear of everything that stands already. What slides is dropped beside its place first.
    """

    how: How
    toward: Triple
    reach: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trapped:
    """A thing, by name, that no straight way brings to its place when it is its turn.

    `parts` are the names of what it is made of, `by` of what bars it. `at` is where, hull axes, mm, `frame`
    the number of the frame that is at. `cure` says what would let it in, empty where that cannot be told.
    `toward` is the unit vector, hull axes, of the way in that comes nearest to one, None where none does.
    """

    thing: str
    parts: tuple[str, ...]
    by: tuple[str, ...]
    at: Triple
    frame: str
    cure: str = ""
    toward: Triple | None = None


def in_trade_order(things: Iterable[_Thing], height: Callable[[_Thing], float]) -> list[_Thing]:
    """From low to high, at one height port before starboard, then by name."""
    levels: list[list[_Thing]] = []
    for thing in sorted(things, key=height):
        if not levels or height(thing) - height(levels[-1][0]) > _LEVEL:
            levels.append([])
        levels[-1].append(thing)
    across = ("port", "centre", "starboard")
    return [each for level in levels for each in sorted(level, key=lambda each: (across.index(each.side), each.name))]

"""Names beside holes: a place for each where it covers nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely

from scrieve.model.geometry.plane import disc

from ..marks.placing import PlacedWords, Places, Point, around

LETTERS = 6.0
"""mm; height of the names."""

WIDE = 0.9
"""width of a letter for its height: a little more than that of any usual font."""

CLEAR = 2.0
"""mm between a name and anything else."""

_CLOSE = 1.1  # times CLEAR, from a hole to a name close beside it
_BOARD = shapely.box(-1e6, -1e6, 1e6, 1e6)  # names may stand beside the board as well


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedName:
    """A name in its `place`; `key` says that it stands for a longer one, for which there was no room."""

    words: str
    place: PlacedWords
    key: bool = False


def placed(
    holes: Sequence[tuple[Point, float]], words: Sequence[str], lines: Iterable[shapely.Geometry]
) -> list[PlacedName]:
    """A name for each hole (middle, diameter), in their order, clear of holes, `lines` and each other.

    Those that fit close beside their hole come first, then those that a line leads to. Where not even that can
    be had, a key stands beside the hole, *1, *2 and so on; only if there is no room for this either, it covers
    something.
    """
    places = Places(page=_BOARD, clear=CLEAR)
    places.take(*(disc(at, diameter) for at, diameter in holes), *lines)
    found = {n: place for n, hole in enumerate(holes) if (place := places.first(_close(words[n], hole)))}
    for n, (at, diameter) in enumerate(holes):
        if n not in found and (place := places.beside(_size(words[n]), at, rim=diameter / 2 + CLEAR / 2)):
            found[n] = place
    names = {n: PlacedName(words=words[n], place=place) for n, place in found.items()}
    for key, n in enumerate((n for n in range(len(holes)) if n not in found), start=1):
        at, diameter = holes[n]
        close = _close(f"*{key}", holes[n])
        place = places.first(close) or places.beside(_size(f"*{key}"), at, rim=diameter / 2 + CLEAR / 2)
        names[n] = PlacedName(words=f"*{key}", place=place or places.first_or_best(close), key=True)
    return [names[n] for n in range(len(holes))]


def _size(words: str) -> tuple[float, float]:
    return WIDE * LETTERS * len(words), LETTERS


def _close(words: str, hole: tuple[Point, float]) -> list[shapely.Polygon]:
    """Boxes for a name close round a hole, those on the side away from the centreline first."""
    at, diameter = hole
    outward = (1.0 if at[0] >= 0.0 else -1.0, 0.0)
    return around(_size(words), at, [diameter / 2 + _CLOSE * CLEAR], toward=outward, count=16)

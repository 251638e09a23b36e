"""Names beside holes: a place for each where it covers nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

LETTERS = 6.0
"""mm; height of the names."""

WIDE = 0.9
"""width of a letter for its height: a little more than that of any usual font."""

CLEAR = 2.0
"""mm between a name and anything else."""

_STEPS = 6  # outward, in which a place is looked for
_ROUND_ABOUT = 16  # directions in each

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Name:
    """A name in its place: `box` (left, low, right, high), mm; `lead` a line to its hole where that is further off.

    `key` says that it stands for a longer one, for which there was no room.
    """

    words: str
    box: Box
    lead: tuple[Point, Point] | None
    key: bool = False


def placed(holes: Sequence[tuple[Point, float]], words: Sequence[str], lines: Iterable[shapely.Geometry]) -> list[Name]:
    """A name for each hole (middle, diameter), in their order, clear of holes, `lines` and each other.

    Those that fit close beside their hole come first, then those that a line leads to. Where not even that can
    be had, a key stands beside the hole, *1, *2 and so on; only if there is no room for this either, it covers
    something.
    """
    discs = [shapely.Point(at).buffer(diameter / 2) for at, diameter in holes]
    taken = [*discs, *lines]
    found: dict[int, Name] = {}
    for steps in (range(1), range(1, _STEPS)):
        for number, hole in enumerate(holes):
            if number not in found:
                name = _place(words[number], hole, steps, taken, own=number)
                if name is not None:
                    found[number] = name
                    taken += _takes(name)
    keys = [number for number in range(len(holes)) if number not in found]
    for key, number in enumerate(keys, start=1):
        name = _place(f"*{key}", holes[number], range(_STEPS), taken, own=number)
        name = name or _place(f"*{key}", holes[number], range(1), (), own=-1)
        assert name is not None, "nothing is in the way of it"
        found[number] = Name(words=name.words, box=name.box, lead=name.lead, key=True)
        taken += _takes(name)
    return [found[number] for number in range(len(holes))]


def _takes(name: Name) -> list[shapely.Geometry]:
    return [shapely.box(*name.box), *([shapely.LineString(name.lead)] if name.lead else [])]


def _place(
    words: str, hole: tuple[Point, float], steps: range, taken: Sequence[shapely.Geometry], *, own: int
) -> Name | None:
    """The nearest place of a name that meets nothing that is taken but the hole's `own`; None if there is none."""
    at, diameter = hole
    boxes = _boxes(words, at, diameter / 2, steps)
    leads = [None if n < _ROUND_ABOUT and 0 in steps else _lead(at, diameter / 2, box) for n, box in enumerate(boxes)]
    left, low, right, high = np.array(boxes).T
    room = shapely.box(left - CLEAR, low - CLEAR, right + CLEAR, high + CLEAR)
    wanted = [
        shape if lead is None else shapely.union(shape, shapely.LineString(lead))
        for shape, lead in zip(room, leads, strict=True)
    ]
    pairs = shapely.STRtree(taken).query(wanted, predicate="intersects") if len(taken) else np.empty((2, 0), dtype=int)
    blocked = {int(n) for n, other in pairs.T if other != own}
    best = next((n for n in range(len(boxes)) if n not in blocked), None)
    return None if best is None else Name(words=words, box=boxes[best], lead=leads[best])


def _boxes(words: str, at: Point, radius: float, steps: range) -> list[Box]:
    """Boxes for a name round a hole, those on the side away from the centreline first, nearer before further."""
    half = np.array([WIDE * LETTERS * len(words) / 2, LETTERS / 2])
    angles = 2 * np.pi * np.arange(_ROUND_ABOUT) / _ROUND_ABOUT
    outward = 0.0 if at[0] >= 0 else np.pi
    turned = np.abs((angles - outward + np.pi) % (2 * np.pi) - np.pi)
    boxes = []
    for step in steps:
        off = radius + 1.1 * CLEAR + step * (LETTERS + CLEAR)
        for angle in angles[np.argsort(np.round(turned, 6), kind="stable")]:
            way: NDArray[np.float64] = np.array([np.cos(angle), np.sin(angle)])
            middle = at + way * off + way * half / np.max(np.abs(way))
            (left, low), (right, high) = middle - half, middle + half
            boxes.append((float(left), float(low), float(right), float(high)))
    return boxes


def _lead(at: Point, radius: float, box: Box) -> tuple[Point, Point]:
    """A line from just off the rim of a hole to the nearest place of a box."""
    to = np.clip(at, box[:2], box[2:])
    way = (to - at) / np.hypot(*(to - at))
    start = at + way * (radius + CLEAR / 2)
    return (float(start[0]), float(start[1])), (float(to[0]), float(to[1]))

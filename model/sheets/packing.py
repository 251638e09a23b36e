"""Rectangles on sheets: by turns of a quarter, side by side, on as few sheets as a simple rule finds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Size = tuple[float, float]

_PLACES = 4  # decimals of mm to which measures are compared, so that rounding decides nothing


class PackedPlace(NamedTuple):
    """Where a rectangle lies: the sheet's number from 0, its lower left corner, whether turned by a quarter."""

    sheet: int
    at: tuple[float, float]
    turned: bool


_Key = tuple[float, ...]
_ORDERS: tuple[Callable[[Size], _Key], ...] = (
    lambda size: (-max(size), -min(size)),
    lambda size: (-size[0] * size[1], -max(size)),
    lambda size: (-min(size), -max(size)),
    lambda size: (-(size[0] + size[1]), -max(size)),
)
"""Which rectangles come first, each way is tried."""


def packed(sizes: Sequence[Size], room: Size) -> list[PackedPlace]:
    """Where each rectangle lies, none over another, on sheets of `room`, mm; a touch apart from none.

    Each must fit a sheet by itself, as it is or turned. Of the ways tried the one comes out that takes
    the fewest sheets, and of those the one that leaves the most of the last sheet whole. The same sizes
    in another order come to lie alike, but for equal ones, which stay in order.
    """
    best: list[PackedPlace] | None = None
    least: tuple[float, ...] = ()
    for order in _ORDERS:
        for rule in (_short_side, _low):
            spots = _packed(sizes, room, order, rule)
            cost = _cost(sizes, spots)
            if best is None or cost < least:
                best, least = spots, cost
    return best or []


def _cost(sizes: Sequence[Size], spots: Sequence[PackedPlace]) -> tuple[float, ...]:
    """Sheets, then how far along the last of them reaches."""
    last = max((spot.sheet for spot in spots), default=0)
    reach = max((s.at[0] + sizes[n][s.turned] for n, s in enumerate(spots) if s.sheet == last), default=0.0)
    return last, round(reach, _PLACES)


def _packed(
    sizes: Sequence[Size], room: Size, order: Callable[[Size], _Key], rule: Callable[[Floats, Floats], list[Floats]]
) -> list[PackedPlace]:
    spots: list[PackedPlace | None] = [None] * len(sizes)
    sheets: list[Floats] = []
    rounded = [(_up(width), _up(height)) for width, height in sizes]
    for index in sorted(range(len(sizes)), key=lambda n: (*order(rounded[n]), n)):
        width, height = rounded[index]
        number, choice = 0, None
        while choice is None:
            if number == len(sheets):
                sheets.append(np.array([[0.0, 0.0, *room]]))
                choice = _chosen(sheets[number], width, height, rule)
                if choice is None:
                    raise ValueError(
                        f"a rectangle of {width:g} x {height:g} fits no sheet of {room[0]:g} x {room[1]:g}"
                    )
                break
            choice = _chosen(sheets[number], width, height, rule)
            number += choice is None
        x, y, turned = choice
        spots[index] = PackedPlace(number, (x, y), turned)
        wide, high = (height, width) if turned else (width, height)
        sheets[number] = _without(sheets[number], np.array([x, y, x + wide, y + high]))
    return [spot for spot in spots if spot is not None]


def _up(value: float) -> float:
    """A measure rounded up, what is left of a computation aside."""
    scale = 10.0**_PLACES
    return ceil(round(value * scale, 2)) / scale


def _short_side(free: Floats, size: Floats) -> list[Floats]:
    """Where least is left over beside the rectangle, the shorter way first; then low, then left."""
    left = np.round(free[:, 2:] - free[:, :2] - size, _PLACES)
    return [free[:, 1], free[:, 0], left.max(axis=1), left.min(axis=1)]


def _low(free: Floats, size: Floats) -> list[Floats]:
    """As near the left end as can be, then low."""
    return [free[:, 1], np.round(free[:, 0] + size[0], _PLACES)]


def _chosen(
    free: Floats, width: float, height: float, rule: Callable[[Floats, Floats], list[Floats]]
) -> tuple[float, float, bool] | None:
    """The free room that the rule takes, by its lower left corner, and whether to turn; None where it fits none."""
    found: list[tuple[tuple[float, ...], float, float, bool]] = []
    for turned, size in ((False, np.array([width, height])), (True, np.array([height, width]))):
        fits = free[np.all(free[:, 2:] - free[:, :2] >= size - 10**-_PLACES, axis=1)]
        if len(fits):
            keys = rule(fits, size)
            first = int(np.lexsort(keys)[0])
            rank = tuple(float(key[first]) for key in reversed(keys))
            found.append((rank, float(fits[first, 0]), float(fits[first, 1]), turned))
    if not found:
        return None
    _, x, y, turned = min(found, key=lambda each: (each[0], each[3]))
    return x, y, turned


def _without(free: Floats, taken: Floats) -> Floats:
    """The largest free rooms (left, low, right, high) once one has been taken; they overlap one another."""
    meets = np.all(free[:, :2] < taken[2:], axis=1) & np.all(free[:, 2:] > taken[:2], axis=1)
    pieces: list[Floats] = [free[~meets]]
    for side, edge in ((2, taken[0]), (3, taken[1]), (0, taken[2]), (1, taken[3])):
        cut = free[meets].copy()
        cut[:, side] = edge
        pieces.append(cut[np.all(cut[:, 2:] - cut[:, :2] > 10**-_PLACES, axis=1)])
    return _largest(np.concatenate(pieces))


def _largest(rooms: Floats) -> Floats:
    """Those that lie in no other."""
    rooms = np.unique(np.round(rooms, _PLACES), axis=0)
    inside = np.all(rooms[:, None, :2] >= rooms[None, :, :2], axis=2)
    inside &= np.all(rooms[:, None, 2:] <= rooms[None, :, 2:], axis=2)
    np.fill_diagonal(inside, False)
    return np.asarray(rooms[~inside.any(axis=1)])

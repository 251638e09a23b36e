"""How fair a curve runs through points: how far each lies off the fairest curve through the others.

The fairest curve is the one whose rate of turning changes most evenly: of all smooth curves through the
points the one with the least integral of the square of its fourth derivative, which is the load, spread
along it, that would hold a batten to it. A point off it is held by a load of its own. A batten left free
at a frame is no such measure: it flattens there, and at its ends, on the fairest hull.

What the fairest curve through few points misses of a fair curve is estimated from how hard those points
alone are to pass, so that frames set far apart do not look unfair (Golomb and Weinberger's bound on an
interpolated value, with the energy of the points in place of the unknown curve's). And where a straight
or even run may go over into a bend between two frames, as runs of a hull do, that is fair as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.tolerances import exceeds

Values: TypeAlias = NDArray[np.float64]
_Which: TypeAlias = tuple[int, int]
_Rivals: TypeAlias = list[tuple[int, float]]

FEWEST = 7
"""points that a point is judged by, itself among them; with fewer too little is left to tell a bump from a bend by.

Nor are there more: a hull is not of one sort from end to end.
"""

_ORDER = 4  # of the derivative kept small
_DOUBT = np.array((6.0, 3.5, 2.0, 1.5, 2.0, 3.5, 6.0))
"""times the standard error, for a point by its place among the seven.

No more was missed of parabolas, cubics, exponentials, logarithms, sines and circles of 50 to 500 mm depth
through 7 to 24 points 350 to 700 mm apart, evenly set or not (measured: 5.9, 3.5, 2.2 and 1.1).
"""
_TIGHTER = 2.0  # times the tightest turn that the frames show, which is a mean of what lies between them
_PER_BAY = 4  # places in a bay where a run may go over into another bend
_SURE = 0.2  # share of the limit; doubt within it leaves the limit as it is
_RIVAL = 4.0  # times the energy left; a point that explains as much within this may be the one that is off
_SAME = 1e-12  # mm2; energies closer are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Stray:
    """A point off the fair curve: its `index`, and how far off it is for sure, `off` (y, z), mm.

    `whole` is the same with what may be no fault, along an axis where nothing is sure. `rivals` are the
    points, with their distances off, one of which might be out of place in its stead.
    """

    index: int
    off: tuple[float, float]
    whole: tuple[float, float]
    rivals: tuple[tuple[int, float], ...]

    @property
    def distance(self) -> float:
        """mm."""
        return float(np.hypot(*self.off))


def strays(x: Values, points: Values, limit: float) -> tuple[Stray, ...]:
    """The points (n, 2) at the growing `x` (n,) that lie more than `limit` off the fair curve, mm, worst first.

    Each is judged without those before it. None of fewer than FEWEST points; never more than a third.
    """
    left = np.arange(len(x))
    found: list[Stray] = []
    while len(left) >= FEWEST and len(found) < len(x) // 3:
        off, _, _, certain, rivals = _judged(x[left], points[left], limit)
        worst = int(np.argmax(np.hypot(*certain.T)))
        if not exceeds(float(np.hypot(*certain[worst])), limit):
            break
        by = np.where(certain[worst] != 0.0, off[worst], 0.0)
        others = sorted({int(left[i]): d for axis in (0, 1) for i, d in rivals.get((worst, axis), [])}.items())
        found.append(
            Stray(
                index=int(left[worst]),
                off=(float(by[0]), float(by[1])),
                whole=(float(off[worst, 0]), float(off[worst, 1])),
                rivals=tuple(others),
            )
        )
        left = np.delete(left, worst)
    return tuple(found)


def doubled_back(x: Values, points: Values, limit: float) -> int | None:
    """The point (n, 2) at which a curve turns the other way than at both its neighbours, the worst; None if at none.

    That is a bump whatever fair curve was meant. Each of the three must lie off the line between the
    points beside it: itself by more than `limit` mm, its neighbours by more than half of that.
    """
    if len(x) < 5:
        return None
    share = ((x[1:-1] - x[:-2]) / (x[2:] - x[:-2]))[:, None]
    bulge = points[1:-1] - (1 - share) * points[:-2] - share * points[2:]
    size = np.hypot(*bulge.T)
    ways = bulge / np.maximum(size, _SAME)[:, None]
    against = -np.maximum(np.sum(ways[1:-1] * bulge[:-2], axis=1), np.sum(ways[1:-1] * bulge[2:], axis=1))
    back = np.where((size[1:-1] > limit) & (against > limit / 2), size[1:-1], 0.0)
    worst = int(np.argmax(back))
    return worst + 2 if back[worst] > 0 else None


def can_be_told(x: Values, points: Values, limit: float) -> Values:
    """(n,) mm: how far off the fair curve each point must lie to be told for sure from a fair curve's.

    Infinite for few points and at both ends, where a run going over into a bend looks just the same.
    """
    told = np.full(len(x), np.inf)
    if len(x) >= FEWEST:
        _, doubt, spare, _, _ = _judged(x, points, limit)
        size = np.hypot(*doubt.T)
        plain = limit + size + np.maximum(size - _SURE * limit, 0.0)
        told[1:-1] = np.maximum(plain, np.hypot(*spare.T) + size)[1:-1]
    return told


def stiffness(x: Values, order: int) -> Values:
    """(m, n, n): what loads hold the fairest curve of this order to values at `x` (m, n), up to a scale.

    values @ stiffness @ values is the curve's energy. Curves of less than the order are free of load.
    """
    t = 2 * (x - x[:, :1]) / (x[:, -1:] - x[:, :1]) - 1
    loads = np.linalg.qr(t[:, :, None] ** np.arange(order), mode="complete").Q[:, :, order:]
    kernel = (-1.0) ** order * np.abs(t[:, :, None] - t[:, None, :]) ** (2 * order - 1)
    across = np.swapaxes(loads, 1, 2)
    return np.asarray(loads @ np.linalg.inv(across @ kernel @ loads) @ across)


def _judged(x: Values, points: Values, limit: float) -> tuple[Values, Values, Values, Values, Mapping[_Which, _Rivals]]:
    """Every point against the others of its window: four (n, 2) along y and z apart, mm; rivals by point and axis.

    How far it lies off; how much of that a fair curve may be; how much might be laid to a run that goes over
    into a bend, or to a neighbour; what is left, and can be laid to neither.
    """
    count = len(x)
    rows = np.arange(count - FEWEST + 1)[:, None] + np.arange(FEWEST)
    held = stiffness(x[rows], _ORDER)
    values = points[rows]
    loads = held @ values
    stiff = np.diagonal(held, axis1=1, axis2=2)[:, :, None]
    off = loads / stiff
    # what the curve through all but this point would take to bend
    without = np.maximum(np.sum(values * loads, axis=1, keepdims=True) - loads * off, 0.0)
    doubt = _DOUBT[:, None] * np.sqrt(without / (FEWEST - _ORDER - 1) / stiff)
    runs = _runs(x[rows])
    run_loads = runs @ held
    run_stiff = np.sum(run_loads * runs, axis=2)
    # how much like a point's being off is a run going over at the worst place, or a neighbour's being off
    like = np.max(run_loads**2 / run_stiff[:, :, None], axis=1)[:, :, None] / stiff
    beside = held**2 / (stiff * np.swapaxes(stiff, 1, 2)) * (1.0 - np.eye(FEWEST))
    like = np.maximum(like, np.max(beside, axis=1)[:, :, None])
    spare = (np.sqrt(_RIVAL) + 1.0) * np.sqrt(without / stiff / np.maximum(1.0 - like, _SAME))
    own = np.clip(np.arange(count) - FEWEST // 2, 0, count - FEWEST)
    place = np.arange(count) - own
    certain = np.zeros((count, 2))
    rivals: dict[_Which, _Rivals] = {}
    for row in range(len(rows)):
        for axis in (0, 1):
            told = _told(off[row, :, axis], doubt[row, :, axis], without[row, :, axis], limit)
            if told is None or own[row + told[0]] != row:
                continue
            index = row + told[0]
            laid = _laid_to_run(x[rows[row]], values[row], axis, told[0], run_loads[row], run_stiff[row])
            whole = float(values[row, :, axis] @ loads[row, :, axis])
            if whole - laid >= _RIVAL * without[row, told[0], axis] + _SAME:
                certain[index, axis] = told[1]
                rivals[index, axis] = [(row + i, distance) for i, distance in told[2]]
    return off[own, place], doubt[own, place], spare[own, place], certain, rivals


def _runs(x: Values) -> Values:
    """(m, c, n): curves at `x` (m, n), straight up to one of c places and evenly bent by 1 a mm from there on."""
    bays = x.shape[1] - 1
    at = np.arange(1, _PER_BAY * bays) / _PER_BAY
    low = np.minimum(at.astype(int), bays - 1)
    places = x[:, low] + (at - low) * (x[:, low + 1] - x[:, low])
    return np.asarray(np.maximum(x[:, None, :] - places[:, :, None], 0.0) ** 2 / 2)


def _laid_to_run(x: Values, points: Values, axis: int, index: int, run_loads: Values, run_stiff: Values) -> float:
    """How much of the energy along one axis goes at most with one run into a bend about as tight as the others' own.

    The others are all points but that at `index`.
    """
    knots, others = np.delete(x, index), np.delete(points, index, axis=0)
    slopes = np.diff(others, axis=0) / np.diff(knots)[:, None]
    bends = 2 * np.diff(slopes, axis=0) / (knots[2:] - knots[:-2])[:, None]
    most = _TIGHTER * float(np.max(np.hypot(*bends.T)))
    pull = run_loads @ points[:, axis]
    bend = np.clip(pull / run_stiff, -most, most)
    return float(np.max(2 * bend * pull - bend**2 * run_stiff))


def _told(off: Values, doubt: Values, without: Values, limit: float) -> tuple[int, float, _Rivals] | None:
    """Which point of a window is off, by how much beyond doubt, and which others might be; None if none need be.

    It is the one that leaves the least energy when taken out or, among those that leave about as
    little, the one that is least off.
    """
    best = int(np.argmin(without))
    sure = doubt[best] <= _SURE * limit
    rivals = np.flatnonzero(without < without[best] * (1.0 if sure else _RIVAL) + _SAME)
    if len(rivals) > 1 and np.any(np.abs(off[rivals]) <= limit):
        return None
    chosen = int(rivals[np.argmin(np.abs(off[rivals]))])
    beyond = float(np.abs(off[chosen]) - max(doubt[chosen] - _SURE * limit, 0.0))
    if beyond <= 0:
        return None
    return chosen, beyond, [(int(i), float(abs(off[i]))) for i in rivals if i != chosen]

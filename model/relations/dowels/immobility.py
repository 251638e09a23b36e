"""First-order immobility of parts in the plane: whether the contacts leave a part any motion at all.

A contact without friction pushes the part along the normal and cannot pull. It stops a motion if the
motion moves the part into it. A motion of a part is (3,): how fast it turns, counter-clockwise seen
from forward, times the part's `size`, and how fast the point `about` slides along y and along v.
Its contacts are wrenches (n, 3) in the same terms, so that wrench @ motion is how fast the part
leaves the contact. The part is held if every motion runs into some contact: if the wrenches span
all of space with positive weights (Reuleaux 1876; Lynch & Park, Modern Robotics, 2017, chapter 12).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.budget import Budget
from scrieve.shared.tolerances import STOPPED

from .linear_program import greatest

Floats = NDArray[np.float64]

LEAST = 4
"""Contacts without which no part is held in the plane (Reuleaux 1876)."""

FEW = 24  # contacts of which every three are tried; of more, only as many as matter
_ALL_THE_WAY = 1.0 - 1e-6  # of the greatest motion that was looked for
_NONE = 1e-12  # of vectors of about 1: no direction


def wrenches(pushes: Floats, about: Floats, size: float) -> Floats:
    """(n, 3): the wrenches of pushes (n, 4), each a point y, v and a unit way y, v; mm."""
    arms, ways = pushes[:, :2] - about, pushes[:, 2:]
    return np.column_stack([(arms[:, 0] * ways[:, 1] - arms[:, 1] * ways[:, 0]) / size, ways])


def firmness(wrenches: Floats) -> tuple[float, Floats]:
    """How firmly wrenches (n, 3) hold, and the motion (3,) of length 1 that they stop least.

    The number is how fast, at least, any motion of length 1 runs into some contact: the radius of the
    greatest ball about the origin in the hull of the wrenches (Ferrari & Canny, 1992). Where it is
    nought or less, that motion is free and leaves every contact as fast; where there is no contact at all
    it is a slide to port.
    """
    if len(wrenches) <= FEW:
        return _firmness_of_few(wrenches)
    looked_at = wrenches[:LEAST]
    while True:  # those stop the motion that they stop least, or one of the others stops it more and is looked at too
        firm, motion = _firmness_of_few(looked_at)
        left = wrenches @ motion
        worst = int(np.argmin(left))
        if left[worst] >= -firm - _NONE:
            return firm, motion
        looked_at = np.concatenate([looked_at, wrenches[worst : worst + 1]])


def _firmness_of_few(wrenches: Floats) -> tuple[float, Floats]:
    """The same by trying every motion that three or two of them leave."""
    if not len(wrenches):
        return -1.0, np.array([0.0, 1.0, 0.0])
    firm, motion = _least_stopped(wrenches, _along_faces(wrenches))
    return (firm, motion) if firm > 0.0 else _least_stopped(wrenches, _away(wrenches, motion))


def _least_stopped(wrenches: Floats, motions: Floats) -> tuple[float, Floats]:
    left = np.min(motions @ wrenches.T, axis=1)
    best = int(np.argmax(left))
    return -float(left[best]), motions[best]


def _along_faces(wrenches: Floats) -> Floats:
    """(m, 3) unit vectors, the motion that is stopped least among them if any is stopped at all.

    While the origin lies inside the hull that motion is square to a face of it, which three wrenches span;
    else some two contacts are kept while moving, and the motion is square to both. Where all wrenches lie
    in one line, one that is square to it is free.
    """
    threes, twos = _chosen(len(wrenches))
    a, b, c = wrenches[threes[:, 0]], wrenches[threes[:, 1]], wrenches[threes[:, 2]]
    units = _units(np.concatenate([_cross(b - a, c - a), _cross(wrenches[twos[:, 0]], wrenches[twos[:, 1]])]))
    if not len(units):
        units = np.linalg.svd(wrenches[:1])[2][-1:]
    return np.concatenate([units, -units])


def _away(wrenches: Floats, free: Floats) -> Floats:
    """(m, 3) unit vectors, the freest motion among them: that towards the point of the hull nearest to the origin.

    The point lies on a face, whose motion is the one that is known to be `free`, on an edge or in a corner.
    """
    _, twos = _chosen(len(wrenches))
    starts, runs = wrenches[twos[:, 0]], wrenches[twos[:, 1]] - wrenches[twos[:, 0]]
    lengths = np.maximum(np.sum(runs * runs, axis=1), _NONE)
    share = np.clip(-np.sum(starts * runs, axis=1) / lengths, 0.0, 1.0)
    return np.concatenate([free[None, :], _units(wrenches), _units(starts + share[:, None] * runs)])


def _units(vectors: Floats) -> Floats:
    """The vectors at length 1, those of no length left out."""
    lengths = np.sqrt(np.sum(vectors * vectors, axis=1))
    real = lengths > _NONE
    return np.asarray(vectors[real] / lengths[real, None])


def _cross(a: Floats, b: Floats) -> Floats:
    """The vector products; numpy's own takes five times as long for so few."""
    a0, a1, a2, b0, b1, b2 = *a.T, *b.T
    return np.column_stack([a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0])


@lru_cache(maxsize=64)
def _chosen(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Every three and every two of so many."""
    threes = np.array(list(combinations(range(count), 3)), dtype=np.intp).reshape(-1, 3)
    return threes, np.array(list(combinations(range(count), 2)), dtype=np.intp).reshape(-1, 2)


def could_hold(some: Floats, wrenches: Floats) -> bool:
    """Whether wrenches (n, 3) hold a part, however many there are; `some` (m, 3) of them are looked at first.

    The linear program of a free motion, solved by cutting planes: the motion that those looked at stop least
    either runs into one of the others, which is then looked at too, or is free of them all, which proves that
    no choice among the wrenches holds the part.
    """
    if len(wrenches) < LEAST:
        return False
    while True:
        firm, motion = firmness(some)
        if firm > STOPPED:
            return True
        left = wrenches @ motion
        worst = int(np.argmin(left))
        if left[worst] >= -STOPPED:
            return False
        some = np.concatenate([some, wrenches[worst : worst + 1]])


def slide(pushes: Floats) -> Floats | None:
    """The unit way (2,) in which a part slides most freely from its pushes (n, 4); None where it cannot slide."""
    ways = pushes[:, 2:]
    if not len(ways):
        return None
    across = np.column_stack([-ways[:, 1], ways[:, 0]])
    between = (ways[:, None, :] + ways[None, :, :]).reshape(-1, 2)
    lengths = np.hypot(*between.T)
    between = between[lengths > STOPPED] / lengths[lengths > STOPPED, None]
    tried = np.concatenate([between, across, -across])
    left = np.min(tried @ ways.T, axis=1)
    best = int(np.argmax(np.round(left, 9)))
    return tried[best] if left[best] >= -STOPPED else None


def free_together(rows: Floats, budget: Budget) -> Floats:
    """The freest motions of several parts that touch one another, (d, d): row i that of greatest component i.

    `rows` (n, d): a contact each, d three times the number of parts. Of all motions of which no component
    is greater than 1 and that run into no contact by more than STOPPED, the one with the greatest component
    i is found by a linear program. The parts are held together if none comes to 1. Raises TooCrowded once
    `budget` is spent.
    """
    return np.array(list(_freest(rows, budget)))


def all_the_way(motions: Iterable[Floats]) -> Iterator[bool]:
    """Whether, of the freest motions in the order of `free_together`, each goes as far as was looked for."""
    return (abs(float(motion[n])) >= _ALL_THE_WAY for n, motion in enumerate(motions))


def any_free(rows: Floats, budget: Budget) -> bool:
    """Whether several parts that touch one another can move: see `free_together`, but for the motions themselves."""
    return any(all_the_way(_freest(rows, budget)))


def _freest(rows: Floats, budget: Budget) -> Iterator[Floats]:
    unknowns = rows.shape[1]
    ends = np.concatenate([-rows, np.eye(unknowns), -np.eye(unknowns)])
    most = np.concatenate([np.full(len(rows), STOPPED), np.ones(2 * unknowns)])
    for sought in np.eye(unknowns):
        there, back = (greatest(way, ends, most, budget) for way in (sought, -sought))
        yield there if abs(there @ sought) >= abs(back @ sought) else back

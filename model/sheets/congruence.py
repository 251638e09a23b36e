"""Which outlines are one another's copies, turned or turned over: corner by corner, many at once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from .move import RigidMotion
from .stack import Complexes, Floats, Stack, Whole

_ROUNDING = 1e-6
"""mm, and share; lengths are looked up by so much more than they may differ."""

_AT_ONCE = 1_000_000
"""numbers held in memory at once."""


def alike(ones: Stack, others: Stack, within: float) -> tuple[Whole, Whole]:
    """The pairs (i, j) of outlines whose area and length let them be copies to within `within` mm."""
    most = np.asarray(2 * within * ones.counts * (1 + _ROUNDING) + _ROUNDING, dtype=np.float64)
    found = [np.zeros((2, 0), dtype=np.intp)]
    for first, second in _near(ones.lengths, others.lengths, most):
        reach = within * np.maximum(ones.lengths[first], others.lengths[second])
        near = np.abs(np.abs(ones.areas)[first] - np.abs(others.areas)[second]) <= reach
        longer = 2 * within * np.minimum(ones.counts[first], others.counts[second])
        near &= np.abs(ones.lengths[first] - others.lengths[second]) <= longer
        first, second = first[near], second[near]
        in_turn = np.lexsort((second, first))
        found.append(np.array([first[in_turn], second[in_turn]]))
    both = np.concatenate(found, axis=1)
    return both[0], both[1]


def copies(ones: Stack, others: Stack, within: float) -> list[tuple[int, int, RigidMotion]]:
    """The pairs (i, j) of outlines of as many corners that are copies to within `within` mm, and how j comes upon i.

    Points that lie no more than so far from one another lie as far out from their means, in quadratic mean, to that.
    """
    # outlines of another count of corners are put out of reach
    farthest = 2 * (max(ones.spreads.max(initial=0.0), others.spreads.max(initial=0.0)) + within + 1.0)
    here, there = (stack.spreads + farthest * stack.counts for stack in (ones, others))
    found = []
    for first, second in _near(here, there, within * (1 + _ROUNDING) + _ROUNDING):
        off, moves = apart(ones, others, (first, second))
        found += [
            (int(first[n]), int(second[n]), move)
            for n in np.flatnonzero(off <= within).tolist()
            if (move := moves[n]) is not None
        ]
    return sorted(found, key=lambda pair: pair[:2])


def _near(ones: Floats, others: Floats, reach: Floats | float) -> Iterator[tuple[Whole, Whole]]:
    """The pairs (i, j) of numbers no more than `reach` apart, so many at a time as are held at once."""
    order = np.argsort(others, kind="stable")
    begins = np.searchsorted(others[order], ones - reach, side="left")
    many = np.searchsorted(others[order], ones + reach, side="right") - begins
    for rows in np.split(np.arange(len(ones)), np.flatnonzero(np.diff(np.cumsum(many) // _AT_ONCE, prepend=0))):
        first = np.repeat(rows, many[rows])
        before = np.repeat(np.cumsum(many[rows]) - many[rows] - begins[rows], many[rows])
        yield first, order[np.arange(len(first)) - before]


def apart(ones: Stack, others: Stack, pairs: tuple[Whole, Whole]) -> tuple[Floats, list[RigidMotion | None]]:
    """For each pair how far corners and middles of arcs lie apart, mm, and the move of the other onto the one.

    Where their counts of corners differ it is inf and there is none. All outlines run counter-clockwise.
    The move is that of least squares, tried for every corner to begin with and both ways up, so what
    comes out is never less than what could be.
    """
    first, second = pairs
    out = np.full(len(first), np.inf)
    moves: list[RigidMotion | None] = [None] * len(first)
    counts = ones.counts[first]
    same = counts == others.counts[second]
    for count in sorted(set(counts[same].tolist())):
        every = np.flatnonzero(same & (counts == count))
        for chosen in np.array_split(every, 1 + len(every) * count // _AT_ONCE):
            here, middles = _rounds(ones, first[chosen], count)
            there, centres = _rounds(others, second[chosen], count)
            straight, turns = _apart(here, there)
            flipped, over_turns = _apart(here, np.roll(there.conj()[:, ::-1], 1, axis=1))
            over = flipped < straight
            out[chosen] = np.where(over, flipped, straight)
            turns = np.where(over, over_turns, turns)
            shifts = middles - turns * np.where(over, centres.conj(), centres)
            told = zip(chosen.tolist(), turns.tolist(), shifts.tolist(), over.tolist(), strict=True)
            for n, turn, shift, flip in told:
                moves[n] = RigidMotion(turn, shift, flip)
    return out, moves


def placings(one: Stack, other: Stack, within: float) -> list[RigidMotion]:
    """Every move by which the only outline of `other` comes upon that of `one`, to within so many mm."""
    count = int(one.counts[0])
    if count != other.counts[0]:
        return []
    first = np.zeros(1, dtype=np.intp)
    (here, middle), (there, centre) = _rounds(one, first, count), _rounds(other, first, count)
    found = []
    for over in (False, True):
        rounds = np.roll(there.conj()[:, ::-1], 1, axis=1) if over else there
        for begin in range(count):
            begun = np.roll(rounds, -2 * begin, axis=1)
            agree = np.sum(here * begun.conj())
            turn = complex(agree / max(abs(agree), np.finfo(float).tiny))
            if np.abs(here - turn * begun).max() <= within:
                shift = complex((middle - turn * (centre.conj() if over else centre))[0])
                found.append(RigidMotion(turn, shift, over))
    return found


def _rounds(stack: Stack, which: Whole, count: int) -> tuple[Complexes, Complexes]:
    """(k, 2 count): corners and middles of segments by turns, about their mean; and that, (k,)."""
    at = stack.starts[which][:, None] + np.arange(count)
    rounds = np.empty((len(which), 2 * count), dtype=np.complex128)
    rounds[:, ::2], rounds[:, 1::2] = stack.corners[at], stack.middles[at]
    means = rounds.mean(axis=1)
    return rounds - means[:, None], means


def _apart(here: Complexes, there: Complexes) -> tuple[Floats, Complexes]:
    """(k,) the greatest distance between rounds, `there` turned and begun where it fits best; and that turn."""
    agree = np.fft.ifft(np.fft.fft(here, axis=1) * np.fft.fft(there, axis=1).conj(), axis=1)[:, ::2]
    best = np.argmax(np.abs(agree), axis=1)
    size = agree[np.arange(len(best)), best]
    turn = size / np.maximum(np.abs(size), np.finfo(float).tiny)
    begun = (np.arange(here.shape[1]) + 2 * best[:, None]) % here.shape[1]
    moved = turn[:, None] * there
    return np.abs(np.take_along_axis(here, begun, axis=1) - moved).max(axis=1), turn

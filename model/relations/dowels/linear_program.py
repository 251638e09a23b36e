"""A small linear program, for the few unknowns that the parts of a frame have in its plane."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.budget import Budget
from scrieve.shared.errors import GeometryError

Floats = NDArray[np.float64]

_ZERO = 1e-9  # of coefficients of about 1: what elimination leaves of a number that should have gone
_MOST_TURNS = 10_000  # Bland's rule ends by itself; this only keeps a mistake here from going on for ever


def greatest(objective: Floats, rows: Floats, most: Floats, budget: Budget) -> Floats:
    """The x (n,) float64 for which `objective` @ x is greatest, of all with `rows` @ x <= `most`.

    `objective` (n,), `rows` (m, n), `most` (m,), none of it negative, so that x = 0 will do; x may be
    of either sign. The simplex method on a full table; Bland's rule (1977) keeps it from going round in
    circles; `budget` is what all its turns may cost, each as much as the table is large. Raises GeometryError
    where x has no bound, and TooCrowded.
    """
    count, unknowns = rows.shape
    # x is the difference of two numbers that are not negative; a slack for each row starts in the basis
    table = np.zeros((count + 1, 2 * unknowns + count + 1))
    table[:count, :unknowns], table[:count, unknowns : 2 * unknowns] = rows, -rows
    table[:count, 2 * unknowns : -1] = np.eye(count)
    table[:count, -1] = most
    table[-1, :unknowns], table[-1, unknowns : 2 * unknowns] = -objective, objective
    basis = np.arange(2 * unknowns, 2 * unknowns + count)
    for _ in range(_MOST_TURNS):
        worth = np.flatnonzero(table[-1, :-1] < -_ZERO)
        if not len(worth):
            break
        budget.spend(table.size)
        column = int(worth[0])
        rising = np.flatnonzero(table[:count, column] > _ZERO)
        if not len(rising):
            raise GeometryError.at("a linear program has no greatest value")
        ratios = table[rising, -1] / table[rising, column]
        ties = rising[ratios <= ratios.min() + _ZERO]
        row = int(ties[np.argmin(basis[ties])])
        table[row] /= table[row, column]
        others = np.arange(count + 1) != row
        table[others] -= np.outer(table[others, column], table[row])
        basis[row] = column
    else:
        raise GeometryError.at("a linear program does not come to an end")
    values = np.zeros(2 * unknowns + count)
    values[basis] = table[:count, -1]
    return np.asarray(values[:unknowns] - values[unknowns : 2 * unknowns])

"""The linear program: against another solver, and against answers worked by hand."""

import numpy as np
import pytest
from scipy.optimize import linprog

from scrieve.model.relations.dowels.linear_program import greatest
from scrieve.shared.budget import Budget, TooCrowded
from scrieve.shared.errors import GeometryError

PLENTY = Budget(10**12)


def test_the_corner_of_a_square():
    rows = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    got = greatest(np.array([1.0, 2.0]), rows, np.array([3.0, 4.0, 1.0, 1.0]), PLENTY)
    assert got == pytest.approx([3.0, 4.0])
    got = greatest(np.array([-1.0, 2.0]), rows, np.array([3.0, 4.0, 1.0, 1.0]), PLENTY)
    assert got == pytest.approx([-1.0, 4.0])


def test_nothing_to_gain_stays_at_the_origin():
    rows = np.array([[1.0, 1.0], [-1.0, -1.0]])
    assert greatest(np.array([1.0, 1.0]), rows, np.zeros(2), PLENTY) == pytest.approx([0.0, 0.0])


def test_what_has_no_bound_is_told():
    with pytest.raises(GeometryError, match="no greatest value"):
        greatest(np.array([1.0, 0.0]), np.array([[0.0, 1.0]]), np.array([1.0]), PLENTY)


def test_ties_do_not_go_round_in_circles():
    """Beale's example (1955), on which the largest-coefficient rule never ends; its greatest value is 1/20."""
    rows = np.array(
        [[0.25, -60.0, -1 / 25, 9.0], [0.5, -90.0, -1 / 50, 3.0], [0.0, 0.0, 1.0, 0.0], *(-np.eye(4)).tolist()]
    )
    objective = np.array([0.75, -150.0, 0.02, -6.0])
    got = greatest(objective, rows, np.array([0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0]), PLENTY)
    assert objective @ got == pytest.approx(1 / 20)


@pytest.mark.parametrize("seed", range(8))
def test_agrees_with_another_solver(seed):
    pick = np.random.default_rng(seed)
    for _ in range(25):
        unknowns, count = int(pick.integers(1, 10)), int(pick.integers(1, 25))
        rows = np.concatenate([pick.normal(size=(count, unknowns)), np.eye(unknowns), -np.eye(unknowns)])
        most = np.concatenate([pick.choice([0.0, 0.02, 1.0], size=count), np.ones(2 * unknowns)])
        objective = pick.normal(size=unknowns)
        got = greatest(objective, rows, most, PLENTY)
        other = linprog(-objective, A_ub=rows, b_ub=most, bounds=(None, None))
        assert np.all(rows @ got <= most + 1e-7)
        assert objective @ got == pytest.approx(-other.fun, abs=1e-7)


def test_what_takes_too_many_turns_is_given_up():
    rows = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    with pytest.raises(TooCrowded):
        greatest(np.array([1.0, 2.0]), rows, np.array([3.0, 4.0, 1.0, 1.0]), Budget(60))

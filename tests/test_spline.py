"""The natural cubic spline against published values and scipy."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from scrieve.model.geometry.spline import NaturalSpline

# Young & Gregory, A Survey of Numerical Mathematics vol. 1, 6.8 (YG), a public unit test (P3), and
# Burden & Faires, Numerical Analysis, 3.5, from memory (BF): see the head of the file.
REFERENCE = Path(__file__).parent / "reference" / "natural_cubic_spline_cases.csv"

KNOTS = {
    "YG": (
        [0.0, 0.2, 0.4, 0.6, 0.8, 1.0],
        [1.0, 0.961538461538461, 0.862068965517241, 0.735294117647059, 0.609756097560976, 0.5],
    ),
    "P3": ([0.0, 1.0, 2.0], [1.0, 3.0, 2.0]),
    "BF": ([1.0, 2.0, 3.0], [2.0, 3.0, 5.0]),
}


def published():
    with REFERENCE.open(encoding="utf-8") as file:
        return [tuple(row.values()) for row in csv.DictReader(line for line in file if not line.startswith("#"))]


@pytest.mark.parametrize(("case", "x", "value", "slope"), published())
def test_published_values_and_slopes(case, x, value, slope):
    spline = NaturalSpline.through(*KNOTS[case])
    assert spline(np.array([float(x)]))[0] == pytest.approx(float(value), abs=1e-13)
    assert spline.slope(np.array([float(x)]))[0] == pytest.approx(float(slope), abs=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_agrees_with_scipy_between_its_knots(seed):
    random = np.random.default_rng(seed)
    knots = np.cumsum(random.uniform(50, 900, size=random.integers(3, 25)))
    values = random.uniform(-800, 800, size=(len(knots), 2))
    ours, theirs = NaturalSpline.through(knots, values), CubicSpline(knots, values, bc_type="natural")
    x = np.linspace(knots[0], knots[-1], 301)
    np.testing.assert_allclose(ours(x), theirs(x), atol=1e-8)
    np.testing.assert_allclose(ours.slope(x), theirs(x, 1), atol=1e-10)
    np.testing.assert_allclose(ours.second(x), theirs(x, 2), atol=1e-11)


def test_goes_on_straight_past_its_ends():
    spline = NaturalSpline.through([0.0, 1.0, 3.0], [0.0, 2.0, 1.0])
    for end, steps in ((0.0, [-1.0, -2.0]), (3.0, [1.0, 2.0])):
        at = np.array([end])
        value, slope = spline(at)[0], spline.slope(at)[0]
        np.testing.assert_allclose(spline(end + np.array(steps)), value + slope * np.array(steps), atol=1e-12)
        assert not spline.second(end + np.array(steps)).any()


def test_straight_through_two_knots():
    spline = NaturalSpline.through([100.0, 300.0], [[0.0, 10.0], [20.0, 10.0]])
    np.testing.assert_allclose(spline([150.0, 500.0]), [[5.0, 10.0], [40.0, 10.0]], atol=1e-12)


@pytest.mark.parametrize("knots", [[1.0], [0.0, 0.0], [0.0, 2.0, 1.0], [0.0, float("nan")]])
def test_refuses_knots_that_do_not_grow(knots):
    with pytest.raises(ValueError, match="growing knots"):
        NaturalSpline.through(knots, [0.0] * len(knots))

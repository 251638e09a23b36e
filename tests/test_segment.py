"""Distance between straight shafts."""

import csv
from pathlib import Path

import making
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from scrieve.model.geometry.segment import closest_points

REFERENCE = Path(__file__).parent / "reference"


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


HARD = rows("segment_segment_distance_hard_cases.csv")
CAPSULES = rows("capsule_capsule_distance.csv")


def ends(row, name):
    return [float(row[f"{name}{axis}"]) for axis in "xyz"]


@pytest.mark.parametrize("row", HARD, ids=lambda row: row["case"])
def test_nearly_parallel_segments(row):
    """D. Eberly, Robust Computation of Distance Between Line Segments; `exact` by 60-digit arithmetic."""
    p0, p1, q0, q1 = (ends(row, name) for name in ("p0", "p1", "q0", "q1"))
    exact = float(row["exact"].split()[0])
    for a0, a1, b0, b1 in ((p0, p1, q0, q1), (p1, p0, q0, q1), (q0, q1, p0, p1), (q1, q0, p1, p0)):
        (got,) = making.segment_gap(a0, a1, b0, b1)
        assert got == pytest.approx(exact, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("row", CAPSULES, ids=lambda row: row["case"])
def test_capsules(row):
    """FCL's test of two capsules; one of its published values is wrong and is marked so in the file."""
    move = np.array([float(row[axis]) for axis in ("tx", "ty", "tz")])
    turn = np.radians(float(row["rot_about_y_deg"]))
    axis = np.array([np.sin(turn), 0.0, np.cos(turn)])
    (distance,) = making.segment_gap([0, 0, -5], [0, 0, 5], move - 5 * axis, move + 5 * axis)
    assert distance - 10 == pytest.approx(float(row["correct"]), abs=1e-9)


coordinate = st.floats(-100, 100).map(lambda x: round(x, 3))
point = st.tuples(coordinate, coordinate, coordinate)


@given(point, point, point, point)
def test_it_is_the_least_distance_there_is(p0, p1, q0, q1):
    """Against a general bounded minimiser (scipy), started in the middle and in the corners."""
    p0, p1, q0, q1 = map(np.array, (p0, p1, q0, q1))

    def square(share):
        return float(np.sum((p0 + share[0] * (p1 - p0) - q0 - share[1] * (q1 - q0)) ** 2))

    found = min(
        minimize(square, start, bounds=[(0, 1), (0, 1)]).fun for start in ((0.5, 0.5), (0, 0), (0, 1), (1, 0), (1, 1))
    )
    (got,) = making.segment_gap(p0, p1, q0, q1)
    assert got <= np.sqrt(found) + 1e-6
    on_p, on_q = closest_points(p0, p1, q0, q1)
    for at, start, end in ((on_p[0], p0, p1), (on_q[0], q0, q1)):
        along = np.linalg.norm(at - start) + np.linalg.norm(end - at)
        assert along == pytest.approx(np.linalg.norm(end - start), abs=1e-6)
    assert np.linalg.norm(on_p - on_q) == pytest.approx(got)


@given(point, point, point, point)
def test_it_is_symmetric(p0, p1, q0, q1):
    there, back = making.segment_gap(p0, p1, q0, q1), making.segment_gap(q1, q0, p0, p1)
    assert there == pytest.approx(back, abs=1e-9)


def test_degenerate_and_parallel_segments():
    assert making.segment_gap([0, 0, 0], [0, 0, 0], [3, 4, 0], [3, 4, 0]) == pytest.approx([5.0])
    assert making.segment_gap([0, 0, 0], [10, 0, 0], [3, 4, 0], [3, 4, 0]) == pytest.approx([4.0])
    assert making.segment_gap([0, 0, 0], [10, 0, 0], [2, 2, 0], [8, 2, 0]) == pytest.approx([2.0])
    assert making.segment_gap([0, 0, 0], [10, 0, 0], [13, 4, 0], [20, 4, 0]) == pytest.approx([5.0])
    assert making.segment_gap([0, 0, 0], [10, 0, 0], [5, -5, 0], [5, 5, 0]) == pytest.approx([0.0])


def test_many_at_once():
    p0 = np.zeros((3, 3))
    p1 = np.tile([10.0, 0.0, 0.0], (3, 1))
    q0 = np.array([[0, 1, 0], [0, 2, 0], [15, 0, 0]], dtype=float)
    q1 = np.add(q0, [0, 0, 5.0])
    assert making.segment_gap(p0, p1, q0, q1) == pytest.approx([1.0, 2.0, 5.0])

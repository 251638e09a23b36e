"""Fairness: against the natural spline's energy, on curves known to be fair, with one point put off by a known size."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from lines_making import hull
from test_offsets import reference

from scrieve.model.geometry.spline import NaturalSpline
from scrieve.model.relations.battens.fairness import FEWEST, Stray, can_be_told, doubled_back, stiffness, strays

LIMIT = 3.0
STATIONS = np.array([190.0, 800, 1450, 2100, 2700, 3150, 3450])


def set_out(count: int, pick: np.random.Generator, *, even: bool) -> np.ndarray:
    """Stations some 350 to 700 mm apart."""
    span = pick.uniform(350, 700) * (count - 1)
    x = np.linspace(0, span, count)
    if not even:
        x[1:-1] += pick.uniform(-0.3, 0.3, count - 2) * span / (count - 1)
    return x


def fair_curves(x: np.ndarray, pick: np.random.Generator) -> dict[str, np.ndarray]:
    """Curves in closed form, 50 to 500 mm deep, that nobody would call unfair."""
    t = x / x[-1]
    deep, low = pick.uniform(50, 500), pick.uniform(0.2, 0.8)
    radius = pick.uniform(0.8, 3) * x[-1]
    return {
        "parabola": 4 * deep * (t - low) ** 2,
        "cubic": 4 * deep * (t - low) ** 3,
        "exponential": deep * np.exp(2.5 * (t - 1)),
        "circle": np.sqrt(radius**2 - (x - low * x[-1]) ** 2),
        "sine": deep * np.sin(np.pi * (t * pick.uniform(0.6, 1.1) + pick.uniform(0, 0.3))),
        "logarithm": deep * np.log(1 + 5 * t),
    }


def drawn_fair(counts: range, seed: int) -> Iterator[tuple[str, np.ndarray, np.ndarray]]:
    """Fair curves through so many stations, even and uneven: name, x (n,), (y, z) (n, 2)."""
    pick = np.random.default_rng(seed)
    for count in counts:
        for even in (True, False):
            x = set_out(count, pick, even=even)
            for name, y in fair_curves(x, pick).items():
                yield f"{name} through {count}", x, np.column_stack([y, 0.2 * x])


def off_by(points: np.ndarray, index: int, by: float) -> np.ndarray:
    moved = points.copy()
    moved[index, 0] += by
    return moved


def bending_energy(x: np.ndarray, y: np.ndarray) -> float:
    """The integral of the square of a natural spline's second derivative, which runs straight between the knots."""
    bends = NaturalSpline.through(x, y).bends
    return float(np.sum(np.diff(x) * (bends[:-1] ** 2 + bends[:-1] * bends[1:] + bends[1:] ** 2)) / 3)


@pytest.mark.parametrize("seed", range(5))
def test_of_the_second_order_it_is_the_batten_s_own_bending_energy(seed: int) -> None:
    # physics: a batten held at points bends into the natural cubic spline, its energy the integral of EI y''^2 / 2
    pick = np.random.default_rng(seed)
    x = set_out(int(pick.integers(4, 12)), pick, even=False)
    held = stiffness(x[None], 2)[0]
    energies, ours = [], []
    for _ in range(4):
        y = pick.uniform(-200, 200, len(x))
        energies.append(bending_energy(x, y))
        ours.append(y @ held @ y)
    np.testing.assert_allclose(np.array(ours) / ours[0], np.array(energies) / energies[0], rtol=1e-9)
    y = pick.uniform(-200, 200, len(x))
    i = int(pick.integers(len(x)))
    free = NaturalSpline.through(np.delete(x, i), np.delete(y, i))(x[i : i + 1])[0]
    assert (held @ y)[i] / held[i, i] == pytest.approx(y[i] - free, abs=1e-6)  # the batten let go at one frame


@pytest.mark.parametrize("order", [2, 3, 4])
def test_curves_of_less_than_the_order_take_no_load(order: int) -> None:
    held = stiffness(STATIONS[None], order)[0]
    for power in range(order):
        y = ((STATIONS - 2000) / 1000) ** power
        np.testing.assert_allclose(held @ y, 0.0, atol=1e-9 * np.abs(held).max())


def test_fair_curves_are_silent() -> None:
    for name, x, points in drawn_fair(range(4, 25), seed=1):
        assert strays(x, points, LIMIT) == (), name
        assert doubled_back(x, points, LIMIT) is None, name


def test_hulls_drawn_by_formulas_are_silent_however_few_their_frames() -> None:
    pick = np.random.default_rng(5)
    for _ in range(60):
        deadrise, count = float(pick.choice([3, 8, 12, 18, 25])), int(pick.choice([13, 21, 31]))
        columns = hull(deadrise=deadrise, count=count, double=True)
        table = np.array(columns["stations"], dtype=float)
        x = set_out(int(pick.integers(FEWEST, 13)), pick, even=False)
        x = 60 + x * 0.85 * table[-1] / x[-1]
        for edge in ("chine", "upper_chine", "sheer"):
            points = np.column_stack([columns[f"{edge}.half_breadth"], columns[f"{edge}.height"]])
            assert strays(x, NaturalSpline.through(table, points)(x), LIMIT) == (), (edge, x)


def told(by: float, *, seed: int) -> tuple[int, int, int]:
    """Of points put off `by` where that can be told: how many there are, are found alone, and give anything else."""
    count = found = wrong = 0
    for _, x, points in drawn_fair(range(FEWEST, 25, 2), seed):
        enough = can_be_told(x, points, LIMIT)
        for index in np.flatnonzero(enough <= 1.25 * LIMIT).tolist():
            said = [stray.index for stray in strays(x, off_by(points, index, by * (-1) ** index), LIMIT)]
            count += 1
            found += said == [index]
            wrong += said not in ([], [index])
    return count, found, wrong


def test_a_point_off_by_a_quarter_more_than_the_limit_is_found_wherever_it_can_be_told() -> None:
    count, found, wrong = told(1.25 * LIMIT, seed=2)
    assert count > 1000
    assert (found, wrong) == (count, 0)


def test_a_point_off_by_a_fifth_less_is_not() -> None:
    count, found, wrong = told(0.8 * LIMIT, seed=2)
    assert count > 1000
    assert (found, wrong) == (0, 0)


def test_what_can_be_told_holds_where_it_is_more_than_the_limit() -> None:
    checked = 0
    for _, x, points in drawn_fair(range(7, 14), seed=3):
        enough = can_be_told(x, points, LIMIT)
        for index in np.flatnonzero((enough > 1.25 * LIMIT) & (enough < 60)).tolist():
            for way in (1.01, -1.01, 1.5, -1.5):
                assert [s.index for s in strays(x, off_by(points, index, way * enough[index]), LIMIT)] == [index]
                checked += 1
    assert checked > 20


def table() -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """The open 12 m table, mm: stations, and (y, z) of its edges."""
    columns = reference(1000.0)
    edges = {
        name: np.column_stack([columns[f"{name}.half_breadth"], columns[f"{name}.height"]])
        for name in ("chine", "sheer")
    }
    edges["keel"] = np.column_stack([np.zeros(len(columns["stations"])), columns["keel"]])
    return np.array(columns["stations"]) * 1.0, edges


def test_the_open_12_m_table_is_fair_but_for_its_bow() -> None:
    x, edges = table()
    for edge in edges.values():
        assert strays(x[:18], edge[:18], LIMIT) == ()
    # from x = 10304 on the slopes of its chine run -0.302, -0.400, -0.356, -0.477: no batten does that
    assert {stray.index for stray in strays(x, edges["chine"], LIMIT)} & {18, 19, 20}
    assert {stray.index for stray in strays(x, edges["sheer"], LIMIT)} & {18, 19, 20}


def test_the_odd_cell_of_the_open_table_is_found() -> None:
    x, edges = table()
    odd = edges["chine"].copy()
    odd[0, 1] = 884.0  # as the source has it at the transom, where the bottom says 493
    (stray,) = strays(x[:18], odd[:18], LIMIT)
    assert stray.index == 0
    assert stray.distance == pytest.approx(391, abs=10)


def test_one_slip_in_the_open_table_is_found_where_it_can_be_told() -> None:
    x, edges = table()
    count = 0
    for edge in edges.values():
        enough = can_be_told(x[:18], edge[:18], LIMIT)
        for index in np.flatnonzero(enough <= 1.25 * LIMIT).tolist():
            slip = off_by(edge[:18], index, 10.0)
            assert [s.index for s in strays(x[:18], slip, LIMIT)] == [index]
            count += 1
    assert count >= 15


def skiff(by: float = 0.0) -> np.ndarray:
    y = 200 + 400 * np.sin(np.pi * (STATIONS / 4600 + 0.2))
    points = np.column_stack([y, 300 + STATIONS**2 / 4e4])
    points[4, 1] += by
    return points


def found(x: np.ndarray, points: np.ndarray) -> Stray:
    (stray,) = strays(x, points, LIMIT)
    return stray


def test_it_is_the_same_mirrored_moved_turned_end_for_end_and_scaled() -> None:
    stray = found(STATIONS, skiff(by=7.0))
    assert stray.index == 4
    mirrored = found(STATIONS, skiff(by=7.0) * (-1.0, 1.0))
    assert (mirrored.index, mirrored.distance) == (4, pytest.approx(stray.distance, abs=1e-9))
    moved = found(STATIONS + 12345.0, skiff(by=7.0) + np.array((500.0, -300.0)))
    assert (moved.index, moved.distance) == (4, pytest.approx(stray.distance, abs=1e-6))
    back = found(-STATIONS[::-1], skiff(by=7.0)[::-1])
    assert (back.index, back.distance) == (2, pytest.approx(stray.distance, abs=1e-6))
    (larger,) = strays(10 * STATIONS, 10 * skiff(by=7.0), 10 * LIMIT)
    assert larger.distance == pytest.approx(10 * stray.distance, abs=1e-6)


def test_moving_the_point_to_where_it_should_be_takes_energy_out_of_the_batten_and_mends_it() -> None:
    points = skiff(by=9.0)
    stray = found(STATIONS, points)
    cured = points.copy()
    cured[stray.index] -= stray.off
    assert strays(STATIONS, cured, LIMIT) == ()
    before, after = (sum(bending_energy(STATIONS, p[:, axis]) for axis in (0, 1)) for p in (points, cured))
    assert after < before


def test_two_slips_far_apart_are_both_found() -> None:
    x = np.linspace(0, 9000, 20)
    points = np.column_stack([x**2 / 2e5, 0 * x])
    points[[4, 15], 1] += (5.0, -6.0)
    assert [stray.index for stray in strays(x, points, LIMIT)] == [15, 4]


def test_fewer_than_seven_points_tell_nothing() -> None:
    x = np.linspace(0, 2000, 6)
    points = np.array([(0.0, 0), (0, 50), (0, 0), (0, 50), (0, 0), (0, 50)])
    assert strays(x, points, LIMIT) == ()
    assert np.all(np.isinf(can_be_told(x, points, LIMIT)))


def test_a_curve_that_turns_the_other_way_at_one_point_doubles_back() -> None:
    x = np.linspace(0, 2000, 5)
    bend = np.array([(0.0, 0), (0, 40), (0, 48), (0, 40), (0, 0)])
    assert doubled_back(x, bend, LIMIT) is None
    bump = bend.copy()
    bump[2, 1] = 36.99  # 3.01 mm inside the line between its neighbours
    assert doubled_back(x, bump, LIMIT) == 2
    bump[2, 1] = 37.01
    assert doubled_back(x, bump, LIMIT) is None

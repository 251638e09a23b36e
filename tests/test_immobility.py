"""Immobility of the first order: published contact sets, closed forms, another solver, and rigid moves."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from scrieve.model.relations.dowels import immobility
from scrieve.model.relations.dowels.immobility import LEAST, could_hold, firmness, free_together, slide, wrenches
from scrieve.shared.budget import Budget
from scrieve.shared.tolerances import STOPPED

PLENTY = Budget(10**12)
REFERENCE = Path(__file__).parent / "reference" / "form_closure_planar_cases.csv"


def is_held(wrenches):
    """Whether they hold a part: a motion that only wedges past a contact, by STOPPED or less, is free."""
    return len(wrenches) >= LEAST and firmness(wrenches)[0] > STOPPED


def published():
    """Wrenches by case, and whether they are published as form closure.

    LP1: Lynch & Park, Modern Robotics (2017), Example 12.7. FC1, FC2: contacts of a public course exercise.
    """
    with REFERENCE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    cases = {}
    for row in rows:
        a, b, c = (float(row[name]) for name in ("m_or_x", "fx_or_y", "fy_or_angle_deg"))
        cases.setdefault((row["case"], row["form_closure"] == "1"), []).append((a, b, c))
    out = []
    for (name, held), numbers in sorted(cases.items()):
        table = np.array(numbers)
        if name.startswith("FC"):
            angles = np.radians(table[:, 2])
            table = wrenches(
                np.column_stack([table[:, :2], np.cos(angles), np.sin(angles)]), np.zeros(2), float(np.hypot(1.5, 1.0))
            )
        out.append(pytest.param(table, held, id=name))
    assert len(out) == 3
    return out


def closed(table):
    """Form closure by another solver: full rank, and weights of 1 or more under which the wrenches sum to nothing."""
    if len(table) == 0 or np.linalg.matrix_rank(table) < table.shape[1]:
        return False
    return linprog(np.ones(len(table)), A_eq=table.T, b_eq=np.zeros(table.shape[1]), bounds=(1, None)).status == 0


def pushes_at_random(pick, count):
    angles = pick.uniform(0, 2 * np.pi, count)
    return np.column_stack([pick.uniform(-1, 1, (count, 2)), np.cos(angles), np.sin(angles)])


@pytest.mark.parametrize(("table", "held"), published())
def test_published_contacts(table, held):
    assert is_held(table) is held
    assert closed(table) is held
    assert bool(np.abs(np.diagonal(free_together(table, PLENTY))).max() < 1 - 1e-6) is held


def test_three_contacts_never_hold_and_every_one_of_four_is_wanted():
    """Reuleaux (1876): four contacts at least are wanted to hold a figure in the plane."""
    pick = np.random.default_rng(1)
    held = 0
    for _ in range(300):
        table = wrenches(pushes_at_random(pick, 4), np.zeros(2), 1.0)
        for left_out in range(4):
            three = np.delete(table, left_out, axis=0)
            assert firmness(three)[0] < 1e-9
            assert not is_held(three)
        held += is_held(table)
    assert held > 0


def test_a_square_held_at_the_middles_of_its_sides_turns_and_one_held_off_them_both_ways_does_not():
    middles = np.array([(1, 0, -1, 0), (0, 1, 0, -1), (-1, 0, 1, 0), (0, -1, 0, 1)], dtype=float)
    assert not is_held(wrenches(middles, np.zeros(2), 1.0))
    assert slide(middles) is None
    along = np.array([(0, 0.5, 0, 0), (-0.5, 0, 0, 0), (0, -0.5, 0, 0), (0.5, 0, 0, 0)])
    one_way = middles + along
    assert not is_held(wrenches(one_way, np.zeros(2), 1.0))  # like a pinwheel: it turns one way
    assert is_held(wrenches(np.concatenate([one_way, middles - along]), np.zeros(2), 1.0))


def test_firmness_is_the_radius_of_the_ball_in_the_hull():
    """Closed forms: the inscribed ball of a regular octahedron of radius 1 has 1/sqrt 3, of a tetrahedron 1/3."""
    octahedron = np.concatenate([np.eye(3), -np.eye(3)])
    tetrahedron = np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]) / np.sqrt(3)
    assert firmness(octahedron)[0] == pytest.approx(1 / np.sqrt(3))
    assert firmness(tetrahedron)[0] == pytest.approx(1 / 3)
    assert firmness(tetrahedron + np.array([0.0, 0.0, 0.2]))[0] == pytest.approx(
        min(1 / 3 - 0.2 / np.sqrt(3), 1 / 3 + 0.2 / np.sqrt(3))
    )


@pytest.mark.parametrize("seed", range(6))
def test_agrees_with_another_solver(seed):
    pick = np.random.default_rng(seed)
    seen = {True: 0, False: 0}
    for _ in range(60):
        table = wrenches(pushes_at_random(pick, int(pick.integers(0, 10))), np.zeros(2), 1.0)
        firm, motion = firmness(table)
        assert (firm > 1e-9) is closed(table)
        assert np.linalg.norm(motion) == pytest.approx(1.0)
        if firm <= 0:
            assert np.all(table @ motion >= -1e-9)
        else:
            assert np.min(table @ motion) == pytest.approx(-firm)
        seen[bool(firm > 1e-9)] += 1
    assert min(seen.values()) >= 5


def test_a_part_alone_and_in_a_group_are_judged_alike():
    """The two ways differ by the measure of a motion alone: by a factor of up to sqrt 3 in how much is stopped."""
    pick = np.random.default_rng(5)
    judged = 0
    for _ in range(120):
        table = wrenches(pushes_at_random(pick, int(pick.integers(4, 9))), np.zeros(2), 1.0)
        firm = firmness(table)[0]
        together = bool(np.abs(np.diagonal(free_together(table, PLENTY))).max() < 1 - 1e-6)
        if firm > STOPPED:
            assert together
        if firm < STOPPED / np.sqrt(3):
            assert not together
        judged += together
    assert 20 < judged < 100


def test_moved_turned_and_mirrored_contacts_are_judged_alike():
    pick = np.random.default_rng(3)
    for _ in range(60):
        pushes = pushes_at_random(pick, 6) * (200, 200, 1, 1)
        firm = firmness(wrenches(pushes, np.zeros(2), 150.0))[0]
        angle, offset = pick.uniform(0, 6), pick.uniform(-5000, 5000, 2)
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        moved = np.column_stack([pushes[:, :2] @ turn + offset, pushes[:, 2:] @ turn])
        assert firmness(wrenches(moved, offset, 150.0))[0] == pytest.approx(firm, abs=1e-9)
        mirrored = pushes * (-1, 1, -1, 1)
        assert firmness(wrenches(mirrored, np.zeros(2), 150.0))[0] == pytest.approx(firm, abs=1e-12)
        order = pick.permutation(len(pushes))
        assert firmness(wrenches(pushes[order], np.zeros(2), 150.0))[0] == pytest.approx(firm, abs=1e-12)


def test_a_wedge_holds_once_it_is_steep_enough():
    """Two walls that close by the angle a, pushed at both ends, and a stop: the slide out runs in at sin a."""

    def wedge(angle):
        c, s = np.cos(angle), np.sin(angle)
        rows = [(-1, 1, s, -c), (1, 1, s, -c), (-1, -1, s, c), (1, -1, s, c), (1, 0, -1, 0)]
        return wrenches(np.array(rows, dtype=float), np.zeros(2), 1.0)

    assert not is_held(wedge(0.8 * STOPPED))
    assert is_held(wedge(2 * STOPPED))


def test_slides_by_hand():
    floor = np.array([(0, 0, 0, 1)], dtype=float)
    assert slide(floor) == pytest.approx([0, 1])
    corner = np.array([(0, 0, 0, 1), (0, 0, 1, 0)], dtype=float)
    assert slide(corner) == pytest.approx([np.sqrt(0.5), np.sqrt(0.5)])
    slot = np.array([(0, 0, 0, 1), (0, 1, 0, -1)], dtype=float)
    assert np.abs(slide(slot)) == pytest.approx([1, 0])
    pocket = np.array([(0, 0, 0, 1), (0, 1, 0, -1), (0, 0, 1, 0)], dtype=float)
    assert slide(pocket) == pytest.approx([1, 0])
    assert slide(np.concatenate([pocket, [(0, 0, -1, 0)]])) is None


def test_contacts_in_one_line_or_none_leave_a_motion():
    for table in (np.empty((0, 3)), np.array([[0.0, 0.0, 1.0]]), np.array([[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])):
        firm, motion = firmness(table)
        assert firm <= 0
        assert np.all(table @ motion >= -1e-12)
        assert np.linalg.norm(motion) == pytest.approx(1.0)


def test_what_all_contacts_together_do_not_hold_is_told_from_what_they_do():
    """Against the greatest ball in the hull of all of them, from the first four and from none to begin with."""
    pick = np.random.default_rng(5)
    seen = set()
    for _ in range(200):
        table = pick.normal(size=(int(pick.integers(4, 14)), 3)) + pick.normal(size=3) * pick.uniform(0.0, 1.5)
        for some in (table[:4], table[:0]):
            assert could_hold(some, table) is is_held(table)
        seen.add(is_held(table))
    assert seen == {True, False}


def test_many_contacts_hold_as_firmly_as_all_motions_that_three_of_them_leave_say(monkeypatch):
    pick = np.random.default_rng(6)
    tables = [pick.normal(size=(40, 3)) + pick.normal(size=3) * pick.uniform(0.0, 2.0) for _ in range(60)]
    quick = [firmness(table)[0] for table in tables]
    monkeypatch.setattr(immobility, "FEW", 40)
    assert quick == pytest.approx([firmness(table)[0] for table in tables], abs=1e-12)
    assert min(quick) < 0 < max(quick)

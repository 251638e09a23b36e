"""The eye: turning, sliding, nearing and flights keep what they have to keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.viewer.scene.eye import flight, nearer, slid, turned
from scrieve.viewer.scene.sides import SIDES, View, view_from

BOX = (0.0, 3000.0, -800.0, 800.0, -100.0, 900.0)
ANGLE = float(np.radians(24.0))
VIEWS = [view_from(side, BOX, 1.5) for side in SIDES]

shares = st.floats(-1.0, 1.0, allow_nan=False)
views = st.sampled_from(VIEWS)


def arm(view: View):
    return np.subtract(view.position, view.target)


def is_square(view: View) -> bool:
    return bool(
        np.isclose(np.linalg.norm(view.up), 1.0) and abs(np.dot(view.up, arm(view))) < 1e-6 * np.linalg.norm(arm(view))
    )


@given(views, st.lists(st.tuples(shares, shares), max_size=6))
@settings(max_examples=60)
def test_turning_keeps_place_and_distance_and_the_boat_level(view, turns):
    for about, over in turns:
        now = turned(view, about=about, over=over)
        assert now.target == pytest.approx(view.target)
        assert np.linalg.norm(arm(now)) == pytest.approx(np.linalg.norm(arm(view)))
        assert is_square(now)
        right, _, _ = now.axes()
        assert abs(right[2]) < 1e-6
        assert now.up[2] > 0 or abs(np.dot(arm(now) / np.linalg.norm(arm(now)), (0, 0, 1))) > 0.999
        view = now


@given(views, shares)
@settings(max_examples=40)
def test_a_turn_about_the_vertical_is_undone_by_its_contrary(view, about):
    back = turned(turned(view, about=about, over=0.0), about=-about, over=0.0)
    assert back.position == pytest.approx(view.position, abs=1e-6)
    assert back.up == pytest.approx(view.up, abs=1e-9)


@given(views, shares, shares)
@settings(max_examples=40)
def test_sliding_moves_the_target_by_shares_of_the_picture(view, right, up):
    now = slid(view, right=right, up=up, angle=ANGLE)
    ((x, y),) = now.seen([view.target], 1.0)
    assert x == pytest.approx(0.5 - right, abs=1e-9)
    assert y == pytest.approx(0.5 + up, abs=1e-9)


@given(views, st.floats(0.3, 3.0), shares, shares)
@settings(max_examples=40)
def test_nearing_a_place_keeps_it_where_it_is_in_the_picture(view, factor, a, b):
    place = np.array(view.target) + 300 * a * view.axes()[0] + 200 * b * view.axes()[1]
    before = view.seen([place], 1.5)
    now = nearer(view, factor, tuple(place))
    assert now.seen([place], 1.5) == pytest.approx(before)
    assert np.linalg.norm(place - now.position) == pytest.approx(factor * np.linalg.norm(place - view.position))


def test_nearing_ends_before_the_eye_is_where_it_looks():
    view = VIEWS[0]
    for _ in range(200):
        view = nearer(view, 0.5)
    assert np.linalg.norm(arm(view)) == pytest.approx(5.0)


@given(views, views, st.floats(0.0, 1.0))
@settings(max_examples=80)
def test_a_flight_begins_and_ends_where_it_should_and_stays_between(here, there, share):
    assert flight(here, there, 0.0).position == pytest.approx(here.position, abs=1e-6)
    assert flight(here, there, 1.0).position == pytest.approx(there.position, abs=1e-6)
    assert flight(here, there, 1.0).up == pytest.approx(there.up, abs=1e-9)
    now = flight(here, there, share)
    assert is_square(now)
    lengths = sorted((np.linalg.norm(arm(here)), np.linalg.norm(arm(there))))
    assert lengths[0] - 1e-6 <= np.linalg.norm(arm(now)) <= lengths[1] + 1e-6

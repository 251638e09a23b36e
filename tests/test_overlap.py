"""How deep two outlines overlap in the plane."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.geometry.overlap import deepest, overlaps
from scrieve.shared.tolerances import COINCIDENT, SAGITTA, SLIVER

BOARD = shapely.box(0, 0, 100, 20)


def moved(shape, angle, y, v):
    c, s = np.cos(angle), np.sin(angle)
    return shapely.transform(shape, lambda xy: xy @ np.array([[c, s], [-s, c]]) + (y, v))


@pytest.mark.parametrize("depth", [0.05, 0.1, 0.62, 3.0, 15.0])
def test_a_strip_is_as_deep_as_it_is_wide(depth):
    found = deepest(BOARD, shapely.box(-10, 20 - depth, 110, 60))
    assert found.depth == pytest.approx(depth, abs=COINCIDENT)
    assert np.abs(found.way) == pytest.approx((0.0, 1.0), abs=1e-9)
    assert found.region.contains(shapely.Point(found.at))


@pytest.mark.parametrize("depth", [0.0, -0.1, 0.5 * SLIVER])
def test_touching_or_by_less_than_a_sliver_is_none(depth):
    assert deepest(BOARD, shapely.box(-10, 20 - depth, 110, 60)) is None


def test_touching_at_a_point_and_lying_apart_are_none():
    assert overlaps(BOARD, shapely.box(100, 20, 120, 40)) == []
    assert overlaps(BOARD, shapely.box(200, 0, 300, 20)) == []


def test_a_disc_in_the_open_is_as_deep_as_its_diameter():
    disc = shapely.Point(50, 10).buffer(4, quad_segs=64)
    assert deepest(BOARD, disc).depth == pytest.approx(8.0 * np.cos(np.pi / 256), abs=COINCIDENT)


def test_the_way_is_that_of_least_width_not_of_the_tightest_rectangle():
    """A corner 3 mm over an edge: a right-angled triangle 3 mm high, 4.24 mm from either short side."""
    found = deepest(shapely.box(-50, -50, 50, 0), shapely.Polygon([(0, -3), (60, 57), (-60, 57)]))
    assert found.way == pytest.approx((0.0, 1.0))
    assert found.depth == pytest.approx(6 * (np.sqrt(2) - 1), abs=COINCIDENT)


def test_two_places_are_two_overlaps_and_the_deeper_is_chosen():
    comb = shapely.union_all([shapely.box(10, 19, 20, 60), shapely.box(60, 17, 70, 60), shapely.box(0, 50, 100, 60)])
    depths = [found.depth for found in overlaps(BOARD, comb)]
    assert depths == pytest.approx([1.0, 3.0], abs=COINCIDENT)
    assert deepest(BOARD, comb).at == pytest.approx((65, 18.5), abs=COINCIDENT)


def test_a_long_crooked_strip_is_no_deeper_than_it_is_wide():
    """A ring 1 mm wide and 600 mm round, not as deep as it is across."""
    disc = shapely.Point(0, 0).buffer(100, quad_segs=256)
    plate = shapely.box(-300, -300, 300, 300).difference(shapely.Point(0, 0).buffer(99, quad_segs=256))
    assert deepest(disc, plate).depth == pytest.approx(1.0, abs=2 * SAGITTA)


@settings(max_examples=60)
@given(
    st.floats(0.1, 10),
    st.floats(0, 2 * np.pi),
    st.floats(-5000, 5000),
    st.floats(-5000, 5000),
)
def test_symmetric_and_unchanged_by_a_rigid_move(depth, angle, y, v):
    other = shapely.box(30, 20 - depth, 60, 60)
    there, back = deepest(BOARD, other), deepest(other, BOARD)
    assert there.depth == pytest.approx(back.depth, abs=1e-9)
    far = deepest(moved(BOARD, angle, y, v), moved(other, angle, y, v))
    assert far.depth == pytest.approx(there.depth, abs=COINCIDENT)
    assert far.depth == pytest.approx(depth, abs=COINCIDENT)
    turned = moved(shapely.Point(there.way), angle, 0, 0).coords[0]
    assert abs(np.dot(turned, far.way)) == pytest.approx(1.0, abs=1e-6)


@settings(max_examples=60)
@given(st.floats(0, 2 * np.pi), st.floats(-5000, 5000), st.floats(-5000, 5000))
def test_an_exact_fit_is_no_overlap_however_it_lies(angle, y, v):
    """Two halves of one board, moved 5 m and turned: exact arithmetic would say they touch."""
    left, right = shapely.box(0, 0, 37, 20), shapely.box(37, 0, 100, 20)
    assert deepest(moved(left, angle, y, v), moved(right, angle, y, v)) is None

"""The greatest circle in a polygon: closed forms, GEOS beside it, and what must not change it."""

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scrieve.model.geometry.inscribed import inscribed_circle
from scrieve.shared.tolerances import COINCIDENT

ROOT2 = np.sqrt(2)


def moved(shape, angle, y, v):
    c, s = np.cos(angle), np.sin(angle)
    return shapely.transform(shape, lambda xy: xy @ np.array([[c, s], [-s, c]]) + (y, v))


def regular(count, radius):
    turns = 2 * np.pi * np.arange(count) / count
    return shapely.Polygon(radius * np.column_stack([np.cos(turns), np.sin(turns)]))


def disc(y, v, radius, corners=48):
    return shapely.Point(y, v).buffer(radius, quad_segs=corners // 4)


def star(radii):
    """A polygon seen whole from the origin, with inward corners wherever a radius is less than its neighbours."""
    turns = 2 * np.pi * np.arange(len(radii)) / len(radii)
    return shapely.Polygon(np.array(radii)[:, None] * np.column_stack([np.cos(turns), np.sin(turns)]))


stars = st.lists(st.floats(3, 30), min_size=3, max_size=24).map(star)
rigid = st.tuples(st.floats(0, 2 * np.pi), st.floats(-5000, 5000), st.floats(-5000, 5000))

# in the elbow of a strip 1 wide a circle touches the outer edges and the inner corner: r + r root 2 = root 2
ELBOW = ROOT2 / (1 + ROOT2)

CLOSED = {
    "square": (shapely.box(0, 0, 10, 10), 5.0),
    "rectangle": (shapely.box(0, 0, 100, 3), 1.5),
    "hair strip": (shapely.box(0, 0, 500, 0.03), 0.015),
    "equilateral triangle": (regular(3, 6.0), 3.0),
    "3-4-5 triangle": (shapely.Polygon([(0, 0), (3, 0), (0, 4)]), 1.0),
    "needle": (shapely.Polygon([(0, 0), (1000, 0), (1000, 0.1)]), 100 / (1000.1 + np.hypot(1000, 0.1))),
    "heptagon": (regular(7, 10.0), 10 * np.cos(np.pi / 7)),
    "300 corners": (regular(300, 100.0), 100 * np.cos(np.pi / 300)),
    "L strip": (shapely.box(0, 0, 300, 1) | shapely.box(0, 0, 1, 200), ELBOW),
    "frame": (shapely.box(0, 0, 300, 200) - shapely.box(1, 1, 299, 199), ELBOW),
    # a plate with a square hole in its middle, 30 from each side: the elbow again
    "plate with a hole": (shapely.box(0, 0, 100, 100) - shapely.box(30, 30, 70, 70), 30 * ELBOW),
}


@pytest.mark.parametrize("name", CLOSED)
@pytest.mark.parametrize("move", [(0.0, 0.0, 0.0), (0.4, 5000.0, -5000.0), (2.9, -4999.9, 123.4), (4.7123, 0.1, 5e3)])
def test_closed_forms_wherever_they_lie(name, move):
    shape, radius = CLOSED[name]
    lying = moved(shape, *move)
    found = inscribed_circle(lying)
    assert found.radius == pytest.approx(radius, abs=1e-9)
    assert lying.contains(shapely.Point(found.centre))
    assert lying.boundary.distance(shapely.Point(found.centre)) == pytest.approx(radius, abs=1e-9)


def test_half_a_disc():
    """Half the radius, less what the chords of the arc stand off it."""
    found = inscribed_circle(shapely.intersection(disc(0, 0, 10, 400), shapely.box(-20, 0, 20, 20)))
    sagitta = 10 * (1 - np.cos(np.pi / 400))
    assert 5 - sagitta <= found.radius <= 5
    assert found.centre == pytest.approx((0.0, 5.0), abs=0.5)


def test_a_ring_with_flattened_arcs_is_as_wide_as_chord_to_corner_at_most():
    ring = disc(0, 0, 100, 100) - disc(0, 0, 99, 100)
    radius = inscribed_circle(ring).radius
    # chords face chords, (100 - 99) cos apart; at a corner of the inner ring there is somewhat more room outside
    assert np.cos(np.pi / 100) / 2 - 1e-9 < radius < 0.5


@pytest.mark.parametrize(("length", "width"), [(500.0, 0.03), (100.0, 3.0), (7.0, 6.9)])
@pytest.mark.parametrize("angle", [0.0, 0.3, 1.9])
def test_in_a_strip_it_is_halfway_along(length, width, angle):
    found = inscribed_circle(moved(shapely.box(-length, -width, length, width), angle, 700.0, -40.0))
    assert found.centre == pytest.approx((700.0, -40.0), abs=1e-5)


def test_of_two_hills_the_higher():
    """Two rooms joined by a passage, one wider by 2 %, whichever comes first."""
    for left, right in ((10.0, 10.2), (10.2, 10.0)):
        rooms = shapely.union_all([shapely.box(0, 0, left, left), shapely.box(0, 4, 60, 6),
                                   shapely.box(50, 0, 50 + right, right)])  # fmt: skip
        found = inscribed_circle(rooms)
        assert found.radius == pytest.approx(5.1, abs=1e-9)
        assert found.centre[0] == pytest.approx(5.1 if left > right else 55.1, abs=0.1)


def test_the_way_round_and_the_first_corner_make_no_difference():
    shape = star([9, 4, 12, 7, 15, 3, 8, 11])
    corners = shapely.get_coordinates(shape)[:-1]
    found = {
        inscribed_circle(shapely.Polygon(np.roll(corners, turn, axis=0)[::way])) for turn in range(8) for way in (1, -1)
    }
    assert len(found) == 1


@settings(max_examples=150)
@given(stars, rigid)
def test_unchanged_by_a_rigid_move(shape, move):
    assume(shape.area > 1)
    found = inscribed_circle(shape)
    assert shape.distance(shapely.Point(found.centre)) == 0
    assert shape.boundary.distance(shapely.Point(found.centre)) == pytest.approx(found.radius, abs=1e-9)
    assert inscribed_circle(moved(shape, *move)).radius == pytest.approx(found.radius, abs=COINCIDENT)


@settings(max_examples=60)
@given(st.floats(10, 80), st.floats(0.05, 3), st.floats(-0.5, 0.5), st.integers(4, 20), st.integers(4, 20), rigid)
def test_thin_rings_and_crescents_of_flattened_arcs(radius, width, aside, outer, inner, move):
    """Many hills of almost one height: which is found may differ, how high it is may not."""
    rest = disc(0, 0, radius, 4 * outer) - disc(aside, aside / 3, radius - width, 4 * inner)
    for piece in shapely.get_parts(rest):
        found, far = inscribed_circle(piece), inscribed_circle(moved(piece, *move))
        assert piece.boundary.distance(shapely.Point(found.centre)) == pytest.approx(found.radius, abs=1e-9)
        # hills as near in height as this are all one to the search
    assert far.radius == pytest.approx(found.radius, rel=0.01)


@settings(max_examples=60)
@given(stars, st.lists(st.tuples(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.2, 6)), max_size=3))
def test_never_less_than_the_search_of_geos_and_no_more_than_its_tolerance_above(shape, holes):
    """Beside GEOS's search in squares, which is too low by up to its tolerance, with round holes and notches."""
    rest = shapely.difference(shape, shapely.union_all([disc(*hole, corners=16) for hole in holes]))
    piece = max(shapely.get_parts(rest), key=lambda part: part.area)
    assume(piece.geom_type == "Polygon" and piece.area > 5)
    beside = shapely.maximum_inscribed_circle(piece, tolerance=1e-3).length
    assert beside - 1e-9 <= inscribed_circle(piece).radius <= beside + 1e-3 + 1e-9


@settings(max_examples=100)
@given(stars, stars, rigid)
def test_a_polygon_within_another_has_no_greater_circle(one, other, move):
    turned = moved(other, move[0], move[1] / 500, move[2] / 500)
    for piece in shapely.get_parts(shapely.intersection(one, turned)):
        if piece.geom_type == "Polygon" and piece.area > 1e-3:
            least = min(inscribed_circle(one).radius, inscribed_circle(turned).radius)
            assert inscribed_circle(piece).radius <= least + COINCIDENT


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(-30, 30), st.integers(-30, 30)), min_size=3, max_size=12))
def test_a_convex_polygon_beside_all_circles_that_touch_three_of_its_edges(points):
    """The greatest of those that cross no other edge: a linear program solved by trying every corner."""
    hull = shapely.MultiPoint(points).convex_hull
    assume(hull.geom_type == "Polygon" and hull.area > 1)
    corners = shapely.get_coordinates(shapely.normalize(hull))  # clockwise
    edges = np.diff(corners, axis=0)
    outward = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.hypot(*edges.T)[:, None]
    reach = (outward * corners[:-1]).sum(axis=1)
    assert (outward @ corners.mean(axis=0) < reach).all()
    planes = np.column_stack([outward, np.ones(len(reach))])
    radii = []
    for three in map(list, combinations(range(len(reach)), 3)):
        if abs(np.linalg.det(planes[three])) > 1e-9:
            circle = np.linalg.solve(planes[three], reach[three])
            if (planes @ circle <= reach + 1e-9).all():
                radii.append(circle[2])
    assert inscribed_circle(hull).radius == pytest.approx(max(radii), abs=1e-8)

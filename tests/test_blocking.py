"""Blocked directions: against closed forms and against rays shot from every corner."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scrieve.model.sequence.blocking import TURN, blocked_arcs, contacts, free_arcs, is_free, joined
from scrieve.model.sequence.leaving import swept

DEGREE = np.pi / 180
FAR = 1e4


def degrees(arcs):
    return (np.asarray(arcs) / DEGREE).round(6).tolist()


def runs_into(moving, fixed, way):
    """Whether a corner of the one, moving off for ever, meets the other: rays, and nothing of the code under test."""
    way = np.asarray(way) * FAR
    there = [shapely.LineString([p, p + way]) for p in shapely.get_coordinates(moving)]
    back = [shapely.LineString([p, p - way]) for p in shapely.get_coordinates(fixed)]
    return any(ray.intersects(fixed) for ray in there) or any(ray.intersects(moving) for ray in back)


def star(centre, radii, turn=0.0):
    """A star-shaped polygon, its corners at these radii, one after the other."""
    angles = turn + np.arange(len(radii)) * TURN / len(radii)
    return shapely.Polygon(np.asarray(centre) + np.column_stack([np.cos(angles), np.sin(angles)]) * np.c_[radii])


# ---- closed forms


def test_two_squares_side_by_side_block_the_angle_between_their_far_corners():
    # differences of corners reach from (1, -2) to (1, 2): an arc of 2 atan 2 about port
    arcs = blocked_arcs(shapely.box(0, 0, 2, 2), shapely.box(3, 0, 5, 2))
    half = np.arctan2(2, 1)
    assert degrees(arcs) == degrees([[TURN - half, TURN + half]])


def test_a_peg_in_a_slot_leaves_only_the_way_the_slot_is_open():
    slot = shapely.Polygon([(-20, -20), (20, -20), (20, 20), (6, 20), (6, -10), (-6, -10), (-6, 20), (-20, 20)])
    free = free_arcs([blocked_arcs(shapely.box(-5, -9, 5, 20), slot)])
    # a play of 1 mm on each side over 30 mm that stand opposite one another: 1.9 degrees either way
    assert len(free) == 1
    assert degrees(free)[0] == pytest.approx([90 - np.degrees(np.arctan2(1, 29)), 90 + np.degrees(np.arctan2(1, 29))])


def test_a_dovetail_and_a_ring_leave_no_way_at_all():
    socket = shapely.Polygon([(-20, -20), (20, -20), (20, 0), (4, 0), (8, -10), (-8, -10), (-4, 0), (-20, 0)])
    tail = shapely.Polygon([(-3, 10), (-3, 0), (-7, -9), (7, -9), (3, 0), (3, 10)])
    assert degrees(blocked_arcs(tail, socket)) == [[0.0, 360.0]]
    ring = shapely.box(-20, -20, 20, 20).difference(shapely.box(-10, -10, 10, 10))
    assert degrees(blocked_arcs(shapely.box(-1, -1, 1, 1), ring)) == [[0.0, 360.0]]
    assert degrees(blocked_arcs(ring, shapely.box(-1, -1, 1, 1))) == [[0.0, 360.0]]
    assert len(free_arcs([blocked_arcs(tail, socket)])) == 0


def test_a_keystone_leaves_within_the_angle_of_its_faces():
    # faces 10 degrees off upright on both sides: every way within 10 degrees of up is free, and no other
    lean = np.tan(10 * DEGREE)
    stone = shapely.Polygon([(-10 - 20 * lean, 20), (-10, 0), (10, 0), (10 + 20 * lean, 20)])
    stone = stone.buffer(-1e-6, join_style="mitre")
    left = shapely.Polygon([(-60, 0), (-10, 0), (-10 - 20 * lean, 20), (-60, 20)])
    right = shapely.Polygon([(60, 0), (10, 0), (10 + 20 * lean, 20), (60, 20)])
    floor = shapely.box(-60, -20, 60, -1e-6)
    free = free_arcs([blocked_arcs(stone, other) for other in (left, right, floor)])
    assert degrees(free)[0] == pytest.approx([80, 100], abs=1e-3)


def test_what_is_empty_blocks_nothing():
    assert len(blocked_arcs(shapely.Polygon(), shapely.box(0, 0, 1, 1))) == 0
    assert degrees(free_arcs([])) == [[0.0, 360.0]]


def test_arcs_that_meet_are_one_also_over_the_start():
    assert degrees(joined(np.array([[350, 370], [5, 30], [100, 120], [110, 130]]) * DEGREE)) == [
        [100.0, 130.0],
        [350.0, 390.0],
    ]
    assert degrees(joined(np.array([[0, 200], [190, 365]]) * DEGREE)) == [[0.0, 360.0]]
    assert degrees(free_arcs([np.array([[350, 390], [100, 130]]) * DEGREE])) == [[130.0, 350.0], [30.0, 100.0]]


def test_a_direction_is_free_up_to_the_ends_of_an_arc():
    free = np.array([[350.0, 390.0]]) * DEGREE
    assert [is_free(a * DEGREE, free) for a in (349, 350, 0, 29.9, 30, 31, 180)] == [
        False, True, True, True, True, False, False,
    ]  # fmt: skip


# ---- against rays

radii = st.lists(st.floats(2.0, 30.0), min_size=3, max_size=9)


@settings(max_examples=150)
@given(radii, radii, st.floats(0, TURN), st.floats(-70, 70), st.floats(-70, 70))
def test_blocked_and_free_are_what_rays_from_the_corners_meet(mine, theirs, turn, y, v):
    moving, fixed = star((0.0, 0.0), mine, turn), star((y, v), theirs)
    assume(moving.is_valid and fixed.is_valid and moving.distance(fixed) > 0.05)
    blocked = blocked_arcs(moving, fixed)
    for angle in np.arange(0.013, TURN, TURN / 48):
        from_ends = np.abs((blocked - angle + np.pi) % TURN - np.pi).min()
        if from_ends > 1e-3:
            inside = bool(np.any((angle - blocked[:, 0]) % TURN < blocked[:, 1] - blocked[:, 0]))
            assert runs_into(moving, fixed, (np.cos(angle), np.sin(angle))) == inside


@settings(max_examples=60)
@given(radii, radii, st.floats(0, TURN), st.floats(-np.pi, np.pi), st.floats(-5000, 5000))
def test_a_rigid_move_turns_the_arcs_and_a_mirror_image_mirrors_them(mine, theirs, spin, turn, shift):
    moving, fixed = star((0.0, 0.0), mine), star((55.0, 20.0), theirs, spin)
    assume(moving.is_valid and fixed.is_valid and moving.distance(fixed) > 0.05)
    width = np.diff(blocked_arcs(moving, fixed)).sum()
    c, s = np.cos(turn), np.sin(turn)
    ends = blocked_arcs(moving, fixed)

    def moved(shape):
        return shapely.transform(shape, lambda p: p @ np.array([[c, s], [-s, c]]) + (shift, -shift / 3))

    def mirrored(shape):
        return shapely.transform(shape, lambda p: p * (-1.0, 1.0))

    def middle(arcs):
        return np.exp(1j * np.mean(arcs))

    turned = blocked_arcs(moved(moving), moved(fixed))
    assert np.diff(turned).sum() == pytest.approx(width, abs=1e-6)
    assert abs(middle(turned) - middle(ends) * np.exp(1j * turn)) < 1e-6
    image = blocked_arcs(mirrored(moving), mirrored(fixed))
    assert np.diff(image).sum() == pytest.approx(width, abs=1e-9)
    assert abs(middle(image) + np.conj(middle(ends))) < 1e-6
    # the other way about is the opposite way
    other = blocked_arcs(fixed, moving)
    assert np.diff(other).sum() == pytest.approx(width, abs=1e-9)
    assert abs(middle(other) + middle(ends)) < 1e-6


@settings(max_examples=60)
@given(radii, radii, st.floats(0, TURN), st.floats(0, TURN))
def test_between_two_contacts_nothing_begins_or_ends(mine, theirs, spin, angle):
    moving, fixed = star((0.0, 0.0), mine), star((55.0, 20.0), theirs, spin)
    assume(moving.is_valid and fixed.is_valid)
    way = np.array([np.cos(angle), np.sin(angle)])
    at = contacts(moving, [fixed], way)
    for start, end in pairwise(at):
        if end - start > 0.01:
            met = {
                shapely.transform(moving, lambda p, t=t: p + t * way).intersection(fixed).area > 1e-9
                for t in np.linspace(start, end, 7)[1:-1]
            }
            assert len(met) == 1
    beyond = shapely.transform(moving, lambda p: p + (at[-1] + 1.0) * way)
    assert not beyond.intersects(fixed)


@settings(max_examples=60)
@given(radii, st.floats(0, TURN), st.floats(1.0, 200.0))
def test_what_is_swept_holds_every_place_on_the_way_and_no_more(mine, angle, length):
    shape = star((3.0, 4.0), mine)
    assume(shape.is_valid)
    by = length * np.array([np.cos(angle), np.sin(angle)])
    whole = swept(shape, by)
    places = [shapely.transform(shape, lambda p, t=t: p + t * by) for t in np.linspace(0, 1, 40)]
    assert whole.buffer(1e-6).covers(shapely.union_all(places))
    # every line along the way grows by the length at each end of the shape that it leaves by, at most
    across = shapely.get_coordinates(shape) @ (np.array([-by[1], by[0]]) / length)
    leaving = np.abs(np.diff(across)).sum() / 2
    assert whole.area <= shape.area + leaving * length + 1e-6
    if np.isclose(shape.convex_hull.area, shape.area):
        assert whole.area == pytest.approx(shape.area + leaving * length)

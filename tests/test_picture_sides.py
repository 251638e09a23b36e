"""Views: everything is in the picture, and it fills what is free of it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrieve.viewer.scene.sides import LEVEL, SIDES, Margins, level_view, parallel_view, view_along, view_from

BOX = (-200.0, 4400.0, -700.0, 700.0, -145.0, 900.0)
POINT = st.tuples(*[st.floats(-5000, 5000)] * 3)
WAY = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda way: np.linalg.norm(way) > 0.05)


def corners(box: tuple[float, ...] = BOX) -> np.ndarray:
    return np.array([(x, y, z) for x in box[:2] for y in box[2:4] for z in box[4:]])


def margins(seen: np.ndarray) -> tuple[float, float, float, float]:
    """What is free left, right, above and below, as shares."""
    return seen[:, 0].min(), 1 - seen[:, 0].max(), seen[:, 1].min(), 1 - seen[:, 1].max()


@pytest.mark.parametrize("look", [view_along, parallel_view])
@given(
    points=st.lists(POINT, min_size=2, max_size=12),
    way=WAY,
    aspect=st.floats(0.4, 3.0),
    room=st.tuples(*[st.floats(0.0, 0.3)] * 4),
)
def test_everything_is_inside_the_margins_and_touches_two_of_them(look, points, way, aspect, room):
    room = Margins(left=room[0], right=room[1], top=room[2], bottom=room[3])
    points = np.array(points)
    if np.ptp(points, axis=0).max() < 10.0:
        return
    view = look(way, (0.0, 0.0, 1.0), points, aspect, room)
    free = margins(view.seen(points, aspect))
    wanted = (room.left, room.right, room.top, room.bottom)
    assert all(got >= want - 1e-6 for got, want in zip(free, wanted, strict=True))
    right, over, back = view.axes()
    if ((view.position - points) @ back).min() < 1.5:
        return  # the eye is as near as it may be
    if max(np.ptp(points @ right), np.ptp(points @ over)) < 0.1 * np.ptp(points, axis=0).max():
        return  # one behind the other: there is next to nothing to fill the picture with
    # what one direction has to spare is the same on both its sides, and one of the two directions has none
    spare = [got - want for got, want in zip(free, wanted, strict=True)]
    assert min(max(abs(spare[0]), abs(spare[1])), max(abs(spare[2]), abs(spare[3]))) < 1e-6


@pytest.mark.parametrize("side", SIDES)
def test_from_every_side_the_boat_is_in_the_picture_and_its_bow_where_one_expects_it(side):
    for look in (view_from, level_view):
        seen = look(side, BOX, 1.6).seen(corners(), 1.6)
        assert seen.min() > 0.0 and seen.max() < 1.0
        aft, bow = look(side, BOX, 1.6).seen([(0.0, 0.0, 0.0), (4000.0, 0.0, 0.0)], 1.6)
        if side in ("starboard", "above", "below"):
            assert bow[0] > aft[0] + 0.3
        elif side == "port":
            assert bow[0] < aft[0] - 0.3


def test_up_is_up_but_in_pictures_from_above_and_below():
    for side in SIDES:
        low, high = view_from(side, BOX, 1.0).seen([(2000.0, 0.0, 0.0), (2000.0, 0.0, 800.0)], 1.0)
        assert (high[1] < low[1] - 0.1) == (side not in ("above", "below"))


def test_parallel_lines_of_sight_have_one_scale():
    view = level_view("port", BOX, 1.5)
    near, far = (np.diff(view.seen([(0.0, y, 0.0), (100.0, y, 0.0)], 1.5)[:, 0]) for y in (700.0, -700.0))
    assert near == pytest.approx(far, abs=1e-12)
    assert view.height_at_target() == view.height > 0.0
    narrow = view_from("port", BOX, 1.5)
    near, far = (np.diff(narrow.seen([(0.0, y, 0.0), (100.0, y, 0.0)], 1.5)[:, 0]) for y in (700.0, -700.0))
    assert abs(near) > 1.05 * abs(far)


def test_bounds_and_the_corners_of_a_box_give_one_view():
    assert view_from("bow", BOX, 1.4) == view_from("bow", corners(), 1.4)


def test_the_level_sides_are_those_along_an_axis():
    for side in SIDES:
        back = view_from(side, BOX, 1.0).axes()[2]
        assert (np.abs(back).max() > 0.999999) == (side in LEVEL)

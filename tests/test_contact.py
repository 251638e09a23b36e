"""Contacts of dowels and joints, worked by hand on small shapes."""

import making
import numpy as np
import pytest
import shapely

from scrieve.model.geometry.outline import Outline
from scrieve.model.relations.dowels.contact import Rims, depths, dowel_pushes, joint_pushes, standing_pushes

GAP = 0.3
R = 5.0
ANGLE = Outline.of([(0, 0), (300, 0), (300, 40), (40, 40), (40, 300), (0, 300)])  # an inside corner at (40, 40)


def ways(shape, at, radius=R):
    """The ways in which a dowel pushes, sorted, as unit vectors."""
    found = dowel_pushes(np.array([at], dtype=float), np.array([radius]), Rims([shape]), GAP)
    rows = found.get((0, 0), np.empty((0, 4)))
    assert np.allclose(rows[:, :2], at)
    assert np.allclose(np.hypot(*rows[:, 2:].T), 1.0)
    return sorted((round(y, 6) + 0.0, round(v, 6) + 0.0) for y, v in rows[:, 2:].tolist())


@pytest.mark.parametrize(
    ("at", "want"),
    [
        ((150, 45), [(0, -1)]),
        ((45, 150), [(-1, 0)]),
        ((45, 45), [(-1, 0), (0, -1)]),
        ((150, -5), [(0, 1)]),
        ((150, 45 + GAP - 0.01), [(0, -1)]),
        ((150, 45 + GAP + 0.01), []),
        ((150, 45 - 0.05), [(0, -1)]),
        ((45, 45 + GAP + 0.01), [(-1, 0)]),
        ((150, 20), []),  # in the middle of the wood
        ((600, 45), []),
    ],
)
def test_a_dowel_at_straight_walls(at, want):
    assert ways(ANGLE.polygon(), at) == want


def test_a_dowel_at_an_outside_corner_pushes_along_the_way_to_it():
    off = R * np.sqrt(0.5)
    assert ways(ANGLE.polygon(), (300 + off, -off)) == [(pytest.approx(-np.sqrt(0.5)), pytest.approx(np.sqrt(0.5)))]
    far = (R + GAP + 0.01) * np.sqrt(0.5)
    assert ways(ANGLE.polygon(), (300 + far, -far)) == []


@pytest.mark.parametrize("cutter", [4.0, 8.0, 10.0, 10.3])
def test_a_rounded_inside_corner_pushes_like_a_sharp_one_as_long_as_the_dowel_comes_near_both_walls(cutter):
    shape = making.part("angle", ANGLE, cutter=cutter).shape
    off = max(R, cutter / 2 - (cutter / 2 - R) * np.sqrt(0.5)) if cutter > 2 * R else R
    got = ways(shape, (40 + off, 40 + off))
    assert len(got) == 2
    assert got == [pytest.approx((-1, 0), abs=0.05), pytest.approx((0, -1), abs=0.05)]


def test_a_wide_fillet_is_touched_in_one_point():
    shape = making.part("angle", ANGLE, cutter=40.0).shape
    off = 20.0 - 15.0 * np.sqrt(0.5)
    got = np.array(ways(shape, (40 + off, 40 + off)))
    assert np.degrees(np.arccos(np.clip(got @ got.T, -1, 1))).max() < 3.0  # 2 x 0.3 mm on the circle of 15 mm
    assert np.mean(got, axis=0) == pytest.approx(-np.sqrt([0.5, 0.5]), abs=0.02)


def test_a_dowel_in_a_hole_is_pushed_from_all_round():
    square = making.rectangle(-50, -50, 50, 50).polygon()
    drilled = shapely.Polygon(square.exterior, [Outline.circle((10.0, 5.0), R).flattened()])
    got = np.array(ways(drilled, (10.0, 5.0)))
    angles = np.sort(np.arctan2(got[:, 1], got[:, 0]))
    assert len(got) >= 4
    assert np.diff(angles, append=angles[0] + 2 * np.pi).max() < np.pi / 2


def test_an_edge_in_several_pieces_pushes_once():
    straight = Outline.of([(0, 0), (100, 0), (150, 0), (150.1, 0), (300, 0), (300, 40), (0, 40)])
    assert ways(straight.polygon(), (150, -5)) == [(0, 1)]


def test_depths_on_both_sides_of_an_edge():
    shapes = [ANGLE.polygon(), making.rectangle(1000, 0, 1100, 40).polygon()]
    places = np.array([(150.0, 45.0), (150.0, 44.9), (150.0, 46.0), (150.0, 20.0)])
    found = depths(places, np.full(4, R), shapes)
    assert found[:, 0] == pytest.approx([0.0, 0.1, -1.0, 25.0])
    assert np.all(found[:, 1] < -800)
    assert depths(np.empty((0, 2)), np.empty(0), shapes).shape == (0, 2)


def test_neighbours_push_at_both_ends_of_their_joint_and_against_one_another():
    left = making.part("left", making.rectangle(0, 0, 100, 40))
    right = making.part("right", making.rectangle(100, 10, 200, 60))
    found = {(one.label, other.label): rows for one, other, rows in joint_pushes(making.frame([left, right]))}
    assert set(found) == {("left", "right"), ("right", "left")}
    assert sorted(map(tuple, found["right", "left"].tolist())) == [(100, 10, 1, 0), (100, 40, 1, 0)]
    assert sorted(map(tuple, found["left", "right"].tolist())) == [(100, 10, -1, 0), (100, 40, -1, 0)]


def test_a_joint_that_gapes_pushes_like_a_closed_one():
    """How wide it gapes is the check joint-gap's."""
    left = making.part("left", making.rectangle(0, 0, 100, 40))
    right = making.part("right", making.rectangle(102, 0, 200, 40))
    assert len(joint_pushes(making.frame([left, right]))) == 2


def test_a_frame_without_core_or_dowels_has_no_pushes():
    assert standing_pushes(making.frame([], dowels=[making.dowel((0, 0))]), GAP) == {}
    assert standing_pushes(making.frame([making.part("floor", ANGLE)]), GAP) == {}

"""Where edges of core parts face one another, by hand-worked cases."""

import making
import numpy as np
import pytest
import shapely

from scrieve.model.geometry.outline import Outline
from scrieve.model.relations.joints.joint import joints, leg_joints


def butt(gap=0.0, *, tilt=0.0, swap=False):
    """A floor that ends `gap` short of a side, the side's edge turned by `tilt` about the floor's lower corner."""
    names = ("b floor", "a side") if swap else ("a floor", "b side")
    floor = making.part(names[0], making.rectangle(0, 0, 400, 100))
    corners = [(0, -100), (100, -100), (100, 500), (0, 500)]
    side = Outline.of([(y + 400 + gap, v) for y, v in making.turned(corners, tilt)])
    return making.frame([floor, making.part(names[1], side)])


@pytest.mark.parametrize("gap", [-4.9, -0.5, 0.0, 0.5, 1.25, 4.9])
@pytest.mark.parametrize("swap", [False, True])
def test_a_butt_joint_is_as_wide_as_it_is_drawn(gap, swap):
    (joint,) = joints(butt(gap, swap=swap))
    assert (joint.gap, joint.overlap) == pytest.approx((max(gap, 0), max(-gap, 0)), abs=1e-9)
    assert joint.length == pytest.approx(100)
    assert joint.at == pytest.approx((400 + gap / 2, 50))
    assert joint.way == pytest.approx((-1, 0) if swap else (1, 0))
    assert joint.first.name < joint.second.name


@pytest.mark.parametrize("gap", [-5.1, 5.1])
def test_parts_further_apart_than_reach_have_no_joint(gap):
    assert joints(butt(gap)) == ()


def test_a_joint_that_gapes_is_measured_at_its_wide_end():
    # closed form: two edges that meet at one end, turned by a, stand 2 l tan(a/2) apart at the other along
    # the bisector's normal; shared length measured along the bisector
    tilt = 0.01
    (joint,) = joints(butt(0.0, tilt=-tilt))
    # the floor's edge runs 100 mm, so along the bisector 100 cos(a/2), and they part by twice its rise
    assert joint.gap == pytest.approx(2 * 100 * np.sin(tilt / 2), rel=1e-6)
    assert joint.at[1] == pytest.approx(100, abs=0.5)
    swapped = joints(butt(0.0, tilt=-tilt, swap=True))[0]
    assert swapped.gap == pytest.approx(joint.gap, abs=1e-12)


def test_edges_turned_more_than_five_degrees_do_not_face_one_another():
    assert len(joints(butt(0.2, tilt=-np.radians(4.9)))) == 1
    assert joints(butt(0.2, tilt=-np.radians(5.1))) == ()


def test_corners_that_come_near_are_no_joint():
    left = making.part("a", making.rectangle(0, 0, 100, 100))
    assert joints(making.frame([left, making.part("b", making.rectangle(100, 95.1, 200, 200))])) == ()
    assert len(joints(making.frame([left, making.part("b", making.rectangle(100, 94.9, 200, 200))]))) == 1


@pytest.mark.parametrize("gap", [-1.0, 0.0, 0.7])
def test_curved_edges_that_face_one_another_are_one_joint(gap):
    # closed form: concentric arcs stand apart by the difference of their radii
    radius = 300.0
    quarter = np.tan(np.pi / 8)
    hub = making.part("hub", Outline.of([(0, 0), (radius, 0), (0, radius)], [0, quarter, 0]))
    outer = radius + gap
    ring = Outline.of(
        [(outer, 0), (outer + 80, 0), (0, outer + 80), (0, outer)],
        [0, quarter, 0, -quarter],
    )
    (joint,) = joints(making.frame([hub, making.part("ring", ring)]))
    assert (joint.gap, joint.overlap) == pytest.approx((max(gap, 0), max(-gap, 0)), abs=0.011)
    assert joint.length == pytest.approx((radius + gap / 2) * np.pi / 2, rel=1e-2)


def test_a_notch_in_a_joint_leaves_one_joint_and_an_opening_makes_two():
    board = making.part("a", making.rectangle(0, 0, 200, 400))

    def halves(low, high):
        """The other half, cut away along the joint from `low` to `high`."""
        cut = [(200, 0), (400, 0), (400, 400), (200, 400), (200, high), (260, high), (260, low), (200, low)]
        return joints(making.frame([board, making.part("b", Outline.of(cut))]))

    assert [round(joint.length) for joint in halves(180, 212)] == [368]
    assert sorted(round(joint.length) for joint in halves(80, 320)) == [80, 80]


def test_a_stepped_joint_is_one():
    lower = Outline.of([(0, 0), (300, 0), (300, 50), (250, 50), (250, 100), (0, 100)])
    upper = Outline.of([(300, 0), (500, 0), (500, 100), (250, 100), (250, 50), (300, 50)])
    (joint,) = joints(making.frame([making.part("a", lower), making.part("b", upper)]))
    assert joint.length == pytest.approx(150)
    assert (joint.gap, joint.overlap) == (0, 0)


def test_legs_are_kept_apart_from_the_joints_of_the_core():
    floor = making.part("floor", making.rectangle(-400, 100, 400, 200))
    leg = making.part("port leg", making.rectangle(280, 0, 325, 99.4), role="leg")
    outer = making.part("port leg outer", making.rectangle(280, 0, 325, 180), role="leg", face="forward")
    frame = making.frame([floor, leg, outer])
    assert joints(frame) == ()
    (joint,) = leg_joints(frame)
    assert joint.gap == pytest.approx(0.6)
    assert {joint.first, joint.second} == {floor, leg}
    assert joint.other(leg) is floor


def test_gussets_make_no_joints():
    core = making.part("floor", making.rectangle(0, 0, 400, 100))
    gusset = making.part("gusset", making.rectangle(400, 0, 500, 100), face="forward")
    assert joints(making.frame([core, gusset])) == ()


@pytest.mark.parametrize("angle", [0.0, 0.7, 2.5, -1.2])
def test_turning_and_moving_both_parts_changes_nothing(angle):
    def placed(outline):
        return outline.turned(angle).moved((731.3, -58.1))

    parts = [
        making.part("floor", placed(making.rectangle(0, 0, 400, 100))),
        making.part("side", placed(making.rectangle(400.7, -100, 500, 600))),
    ]
    (joint,) = joints(making.frame(parts))
    assert joint.gap == pytest.approx(0.7, abs=1e-9)
    assert joint.length == pytest.approx(100, abs=1e-9)
    assert joints(making.frame(parts[::-1]))[0].at == joint.at


def test_stretches_lie_on_the_edges_of_their_own_parts():
    (joint,) = joints(butt(1.0, tilt=-0.02))
    for stretch in joint.stretches:
        for part, ends in ((joint.first, stretch.first), (joint.second, stretch.second)):
            assert shapely.distance(part.shape.exterior, shapely.linestrings(ends)) < 1e-9

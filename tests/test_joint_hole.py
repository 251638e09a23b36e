"""Holes in joints, and wood in both parts of one where no edges face one another: check `joint-gap`.

A joint is a line of points (n, t), mm: n beyond the inner edge of the side, t up the floor, 100 deep. Each part has a
line of its own, so that one may lack what the other was cut for.
"""

import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline

GAP, FOUL = CHECKS["joint-gap"], CHECKS["foul"]
BUTT = [(0, 0), (0, 100)]
TONGUE = [(0, 0), (0, 38), (24, 38), (24, 52), (0, 52), (0, 100)]
FINGERS = [(40, 0), (40, 25), (0, 25), (0, 50), (40, 50), (40, 75), (0, 75), (0, 100)]
LAP = [(40, 0), (40, 50), (0, 50), (0, 100)]
BIRDSMOUTH = [(0, 0), (25, 50), (0, 100)]


def relieved(corners, radius, kind):
    """The outline of these corners, wood to the left, a relief in each inside corner along the joint."""
    points, bulges = [], []
    for n, at in enumerate(corners):
        before, after = np.subtract(corners[n - 1], at), np.subtract(corners[(n + 1) % len(corners)], at)
        inside = before[0] * after[1] - before[1] * after[0] > 1e-6
        if kind == "sharp" or not inside or not 380 < at[0] < 460:
            points.append(at)
            bulges.append(0.0)
            continue
        into, on = before / np.hypot(*before), after / np.hypot(*after)
        half = np.arccos(into @ on) / 2
        reach = {"dogbone": 2 * radius * np.cos(half), "tbone": 2 * radius, "round": radius / np.tan(half)}[kind]
        turn = {"dogbone": (np.pi - 2 * half) / 2, "tbone": np.pi / 4, "round": (np.pi - 2 * half) / 4}[kind]
        points += [tuple(at + into * reach), at if kind == "tbone" else tuple(at + on * reach)]
        bulges += [-np.tan(turn), 0.0]
    return Outline.of(points, bulges)


def boat(floor, side=None, *, relief="dogbone", gusset=True, more=(), battens=(), turn=0.0):
    """A floor and a side along their lines, a gusset over both; `more` are holes (left, bottom, right, top) of both."""
    floor_line = [(400 + n, t) for n, t in floor]
    side_line = [(400 + n, t) for n, t in (side or floor)]
    bar = relieved([(0, 0), *floor_line, (0, 100)], 3.0, relief)
    upright = relieved([*side_line[::-1], (500, 0), (500, 600), (400, 600)], 3.0, relief)
    parts = [making.part("floor", bar.turned(turn)), making.part("port side", upright.turned(turn))]
    if gusset:
        parts.append(
            making.part("gusset", making.rectangle(300, 0, 500, 200).turned(turn), face="forward", thickness=9)
        )
    parts += more
    return making.assembly([making.frame(parts)], battens=battens)


def told(*args, **more):
    return list(GAP.run(boat(*args, **more)))


def without(line, *corners):
    return [point for n, point in enumerate(line) if n not in corners]


@pytest.mark.parametrize("relief", ["sharp", "dogbone", "tbone", "round"])
@pytest.mark.parametrize("line", [BUTT, TONGUE, FINGERS, LAP, BIRDSMOUTH])
def test_sound_joints_leave_no_hole(line, relief):
    made = boat(line, relief=relief)
    if relief != "round":  # the corner of one is in the round of the other
        assert list(GAP.run(made)) == []
    assert [f for f in GAP.run(made) if "hole" in f.message] == []


@pytest.mark.parametrize("turn", [0.0, 0.7])
@pytest.mark.parametrize("relief", ["sharp", "dogbone", "tbone"])
@pytest.mark.parametrize(
    ("floor", "side", "wide"),
    [
        (BUTT, TONGUE, 14.0),  # the tongue is missing
        (without(FINGERS, 4, 5), FINGERS, 25.0),  # a finger within the joint
        ([(0, 0), *FINGERS[3:]], FINGERS, 25.0),  # the finger at its open end
        (BUTT, LAP, 40.0),  # the whole lap
        ([(31, 0), (31, 50), *LAP[2:]], LAP, 9.0),  # a lap that is short, its ledge touching
        ([*TONGUE[:2], (18, 38), (18, 52), *TONGUE[4:]], TONGUE, 6.0),  # a tongue that is short
        ([*TONGUE[:3], (24, 42), (0, 42), (0, 100)], TONGUE, 10.0),  # a tongue that is narrow
    ],
)
def test_what_is_missing_in_a_joint_is_told(floor, side, wide, relief, turn):
    (finding,) = told(floor, side, relief=relief, turn=turn)
    assert finding.parts == ("F5 floor", "F5 port side")
    assert finding.message.startswith("F5 floor and F5 port side leave a hole")
    if relief == "sharp":  # else reliefs take a corner of it
        assert finding.measured == pytest.approx(wide, abs=0.02)
    assert finding.measured > wide / 2


def test_a_missing_birdsmouth_leaves_one_hole():
    (finding,) = told(BUTT, BIRDSMOUTH)
    assert "hole" in finding.message


@pytest.mark.parametrize(("gap", "found"), [(0.4, 0), (0.625, 1), (1.5, 1), (15.0, 1)])
def test_a_tongue_that_is_short_is_told_past_the_limit(gap, found):
    short = [*TONGUE[:2], (24 - gap, 38), (24 - gap, 52), *TONGUE[4:]]
    measured = [f.measured for f in told(short, TONGUE, relief="sharp")]
    assert measured == pytest.approx([min(gap, 14.0)] * found, abs=0.02)


@pytest.mark.parametrize("relief", ["dogbone", "sharp", "round"])
@pytest.mark.parametrize("wide", [0.4, 0.625, 1.0, 3.0])
def test_a_tongue_too_wide_is_an_overlap(wide, relief):
    made = boat([(0, 0), (0, 38), (24, 38), (24, 52 + wide), (0, 52 + wide), (0, 100)], TONGUE, relief=relief)
    overlaps = [f for f in GAP.run(made) if "overlap" in f.message]
    if relief != "round":
        assert [f.measured for f in overlaps] == ([pytest.approx(wide, abs=0.02)] if wide > 0.5 else [])
    assert overlaps or wide < 0.5
    assert list(FOUL.run(made)) == []  # told once, and nothing of a tongue within the limit


def test_the_corner_of_a_tongue_in_the_round_of_its_mortise_is_told():
    # closed form: a circle in the corner that touches the round of radius r: (sqrt 2 - 1)^2 r is its radius
    (finding,) = told([*TONGUE], TONGUE, relief="round")
    assert "overlap" in finding.message
    assert finding.measured == pytest.approx(2 * (np.sqrt(2) - 1) ** 2 * 3.0, abs=0.02)


def test_a_hole_cut_through_both_parts_is_open_on_purpose():
    door_floor = [(0, 0), (0, 30), (-30, 30), (-30, 60), (0, 60), (0, 100)]
    door_side = [(0, 0), (0, 30), (30, 30), (30, 60), (0, 60), (0, 100)]
    assert told(door_floor, door_side) == []
    limber_floor, limber_side = [(-10, 0), (-10, 12), (0, 12), (0, 100)], [(10, 0), (10, 12), (0, 12), (0, 100)]
    assert told(limber_floor, limber_side) == []


def test_a_limber_in_one_part_that_no_gusset_hides_is_open_on_purpose():
    limber = [(-20, 0), (-20, 12), (0, 12), (0, 100)]
    assert told(limber, BUTT, gusset=False) == []
    assert len(told(limber, BUTT)) == 1


@pytest.mark.parametrize("side", [[(32, 0), (32, 20), (0, 20), (0, 100)], [(16, 0), (16, 20), (0, 20), (0, 100)]])
def test_a_notch_in_a_joint_with_its_batten_is_no_hole(side):
    floor = BUTT if side[0][0] == 32 else [(-16, 0), (-16, 20), (0, 20), (0, 100)]
    chine = making.straight_batten("port chine", (416 if floor is BUTT else 400, 10), long=32, short=20, arris=5.0)
    assert told(floor, side, battens=[chine]) == []

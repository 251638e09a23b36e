"""Joints too far open or too much askew to face one another, told by the gusset over them: check `joint-gap`."""

import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

GAP = CHECKS["joint-gap"]


def run(parts, battens=(), **more):
    return list(GAP.run(making.assembly([making.frame(parts, **more)], battens=battens)))


def corner(gap=0.0, *, tilt=0.0, gusset=(300, 0, 500, 200), faces=("forward",)):
    """A floor that ends `gap` short of a side, that end turned by `tilt` about its lower corner, and gussets."""
    top = 400 - 100 * np.tan(tilt)
    return [
        making.part("floor", Outline.of([(0, 0), (400, 0), (top, 100), (0, 100)])),
        making.part("port side", making.rectangle(400 + gap, -100, 500, 600)),
        *(making.part(f"gusset {face}", making.rectangle(*gusset), face=face, thickness=9) for face in faces),
    ]


@pytest.mark.parametrize("gap", [4.9, 5.1, 12.0, 60.0])
@pytest.mark.parametrize("faces", [("forward",), ("aft",), ("forward", "aft")])
def test_a_gap_is_found_however_wide(gap, faces):
    (finding,) = run(corner(gap, faces=faces))
    assert (finding.check, finding.level) == ("joint-gap", Level.ERROR)
    assert finding.measured == pytest.approx(gap, abs=1e-9)
    assert finding.parts == ("F5 floor", "F5 port side")
    assert finding.at == pytest.approx((1009, 400 + gap / 2, 50))
    assert "lengthen F5 floor" in finding.cure


@pytest.mark.parametrize("degrees", [4.9, 5.1, 6.0, 19.0])
def test_a_wedge_is_found_however_steep(degrees):
    # closed form: the floor's end leans 100 tan(a) at its top, square to the bisector that times cos(a/2), and
    # both edges are cut to what they share along the bisector
    tilt = np.radians(degrees)
    (finding,) = run(corner(tilt=tilt))
    end = 100 / np.cos(tilt)  # of the floor's edge; equal lengths from the corner lie square to the bisector
    assert finding.measured == pytest.approx(2 * end * np.sin(tilt / 2), rel=1e-6)
    assert "recut the end of F5 floor" in finding.cure


@pytest.mark.parametrize("degrees", [20.5, 45.0])
def test_past_twenty_degrees_two_parts_only_touch(degrees):
    (finding,) = run(corner(tilt=np.radians(degrees)))
    assert finding.parts == ("F5 floor", "F5 port side")
    assert "only touch under F5 gusset forward" in finding.message


def test_without_a_gusset_over_both_nothing_is_known():
    assert run(corner(12.0, faces=())) == []
    assert run(corner(12.0, gusset=(300, 0, 400, 200))) == []


def test_a_gusset_that_laps_a_part_by_a_corner_does_not_hold_it():
    assert run(corner(12.0, gusset=(300, 0, 421, 200))) == []  # 9 mm of the side
    assert len(run(corner(12.0, gusset=(300, 0, 423, 200)))) == 1


def test_a_gusset_over_one_board_or_over_a_true_joint_is_nothing():
    assert run(corner(12.0, gusset=(100, 0, 300, 100))) == []
    assert run(corner()) == []


def test_parts_held_together_through_a_third_are_not_torn():
    # a block between floor and side butts both of them
    floor, side, gusset = corner(40.0)
    block = making.part("block", making.rectangle(400, 0, 440, 60))
    assert run([floor, side, gusset, block]) == []


def test_wood_in_between_parts_what_does_not_butt():
    # the block stands 6 mm off both: two open joints, and none through it
    floor, side, gusset = corner(52.0)
    block = making.part("block", making.rectangle(406, -50, 446, 150))
    found = run([floor, side, gusset, block])
    assert [f.parts for f in found] == [("F5 block", "F5 floor"), ("F5 block", "F5 port side")]
    assert [f.measured for f in found] == pytest.approx([6.0, 6.0])


@pytest.mark.parametrize("angle", np.arange(0.1, 3.0, 0.4))
def test_a_turned_frame_with_a_batten_in_the_gap_gives_the_same(angle):
    # turned, the edges of the strip between are rounding off the edges of the wood, which must not fill it
    def outline(left, bottom, right, top):
        return making.rectangle(left, bottom, right, top).turned(angle)

    parts = [
        making.part("floor", outline(0, 0, 400, 100)),
        making.part("port side", outline(407, -100, 500, 600)),
        making.part("gusset", outline(300, 10, 500, 200), face="forward", thickness=9),
    ]
    ((y, v),) = making.turned([(410, 12)], angle)
    chine = making.straight_batten("port chine", (y, v), angle=angle, long=32, short=20, arris=0.0)
    (finding,) = run(parts, [chine])
    assert finding.measured == pytest.approx(7.0)
    assert finding.at[1:] == pytest.approx(making.turned([(403.5, 61)], angle)[0])


@pytest.mark.parametrize("height", [100.0, 40.0])
def test_a_batten_between_the_parts_fills_its_place(height):
    # two half floors with a keel batten through a slot between them, under one gusset
    left = making.part("floor, port", making.rectangle(10, 0, 400, 100))
    right = making.part("floor, starboard", making.rectangle(-400, 0, -10, 100))
    gusset = making.part("gusset", making.rectangle(-150, 0, 150, 100), face="forward", thickness=9)
    keel = making.straight_batten("keel", (0, height / 2), long=20, short=height, arris=0.0)
    found = run([left, right, gusset], [keel])
    if height == 100.0:
        assert found == []
    else:
        (finding,) = found
        assert finding.measured == pytest.approx(20)
        assert finding.at == pytest.approx((1009, 0, 70))


def mitred(gap, *more, gusset=(300, 400, 600, 600), names=("gusset",)):
    """A side with its head mitred at 45 degrees, and a deck beam cut square `gap` short of the foot of the mitre."""
    return [
        making.part("deck beam", making.rectangle(0, 500, 500 - gap, 600)),
        making.part("port side", Outline.of([(500, 0), (600, 0), (600, 600), (500, 500)])),
        *(making.part(name, making.rectangle(*gusset), face="forward", thickness=9) for name in names),
        *more,
    ]


@pytest.mark.parametrize("gap", [0.6, 12.0, 90.0])
def test_ends_that_do_not_face_one_another_stand_apart_under_the_gusset(gap):
    # nothing was said of a beam cut square 90 mm short of a mitre: 45 degrees from parallel, so no edges faced
    (finding,) = run(mitred(gap))
    assert (finding.check, finding.level) == ("joint-gap", Level.ERROR)
    assert finding.measured == pytest.approx(gap, abs=1e-9)
    assert (finding.limit, finding.unit, finding.parts) == (0.5, "mm", ("F5 deck beam", "F5 port side"))
    assert finding.at == pytest.approx((1009, 500 - gap / 2, 500))
    assert "stand apart under the gusset" in finding.message
    assert finding.cure == (
        f"bring F5 deck beam and F5 port side together: they are {gap:.2f} mm apart under F5 gusset, "
        "and their ends do not face one another"
    )


@pytest.mark.parametrize("gap", [0.0, 0.4])
def test_ends_that_only_touch_are_told(gap):
    (finding,) = run(mitred(gap))
    assert "F5 deck beam and F5 port side only touch under F5 gusset" in finding.message


def test_ends_with_nothing_over_them_are_not_apart():
    assert run(mitred(90.0, names=())) == []
    assert run(mitred(90.0, gusset=(300, 400, 505, 600))) == []  # 5 mm of the side


def test_two_gussets_over_one_place_are_one_finding_that_names_both():
    (finding,) = run(mitred(90.0, names=("gusset b", "gusset a")))
    assert "apart under F5 gusset a and F5 gusset b" in finding.cure


def test_parts_a_block_holds_together_do_not_stand_apart():
    block = making.part("block", Outline.of([(410, 500), (500, 500), (600, 600), (410, 600)]))
    assert run(mitred(90.0, block)) == []
    # the block 3 mm off the beam: that joint is open, and nothing else is
    short = making.part("block", Outline.of([(413, 500), (500, 500), (600, 600), (413, 600)]))
    (finding,) = run(mitred(90.0, short))
    assert finding.parts == ("F5 block", "F5 deck beam")
    assert finding.measured == pytest.approx(3.0)


def test_a_batten_on_the_shortest_way_stands_between():
    sheer = making.straight_batten("port sheer", (455, 500), long=32, short=20, arris=0.0)
    assert run(mitred(90.0), [sheer]) == []
    aside = making.straight_batten("port sheer", (455, 560), long=32, short=20, arris=0.0)
    assert len(run(mitred(90.0), [aside])) == 1


def test_parts_apart_are_the_same_mirrored_reordered_and_raked():
    (first,) = run(mitred(90.0))
    mirrored = [making.part(p.label, p.drawn.mirrored(), face=p.face, thickness=p.thickness) for p in mitred(90.0)]
    assert run(mitred(90.0)[::-1]) == [first]
    for parts, more in ((mitred(90.0), {"rake": 0.2}), (mirrored, {"station": -70.0})):
        (other,) = run(parts, **more)
        assert other.measured == pytest.approx(first.measured, abs=1e-9)


def test_mirrored_reordered_and_moved_boats_give_the_same():
    (first,) = run(corner(12.0, tilt=0.15))
    mirrored = [
        making.part(p.label.replace("port", "starboard"), p.drawn.mirrored(), face=p.face, thickness=p.thickness)
        for p in corner(12.0, tilt=0.15)
    ]
    for parts, more in ((corner(12.0, tilt=0.15)[::-1], {"station": -70.0}), (mirrored, {"rake": 0.2})):
        (other,) = run(parts, **more)
        assert other.measured == pytest.approx(first.measured, abs=1e-9)


def test_parts_that_are_in_one_another_are_a_foul_and_do_not_stand_apart_as_well():
    _, side, *gussets = corner(12.0)
    tab = Outline.of([(0, 0), (440, 0), (440, 20), (400, 20), (400, 100), (0, 100)])
    boat = making.assembly([making.frame([making.part("floor", tab), side, *gussets])])
    assert [finding.message for finding in GAP.run(boat) if "apart" in finding.message] == []
    (foul,) = CHECKS["foul"].run(boat)
    assert foul.parts == ("F5 floor", "F5 port side")

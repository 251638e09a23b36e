"""Check `dowel`."""

from dataclasses import replace

import dowelled
import making
import notched
import numpy as np
import pytest
import test_assemble

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level

DOWEL = CHECKS["dowel"]
FOUL, GAP, R = 0.1, 0.3, 5.0


def run(frame, limits=None, battens=(), cutter=0.0):
    boat = making.assembly([frame], limits=limits, battens=battens, cutter=cutter)
    return list(DOWEL.run(boat))


def beside(off, *, side=1, **more):
    """The two boards, with the dowel at the end of the port one `off` mm from it."""
    at = dowelled.places() | {"port end": (300 + R + off, 50)}
    return dowelled.frame(at=at.values(), side=side, **more)


def test_dowels_that_touch_are_right():
    assert run(beside(0.0)) == []


@pytest.mark.parametrize("deep", [0.125, 1.0, 4.99, 5.0, 8.0])
def test_a_dowel_in_the_wood_is_found(deep):
    (finding,) = run(beside(-deep))
    assert (finding.check, finding.level, finding.frame) == ("dowel", Level.ERROR, "5")
    assert finding.parts == ("F5 dowel 1", "F5 port board")
    assert finding.measured == pytest.approx(deep, abs=1e-9)
    assert (finding.limit, finding.unit) == (FOUL, "mm")
    assert finding.at == pytest.approx((1009, 300 + R - deep, 50))
    assert f"stands {deep:.2f} mm in F5 port board" in finding.message
    assert finding.source.handle == "D1"


def test_it_moves_no_further_than_to_the_nearest_wood_unless_a_corner_is_about_as_near():
    (finding,) = run(beside(-0.13))
    assert finding.cure == "move it 0.13 mm, to y 305.0, z 50.0, where it stands against F5 port board; or take it out"


@pytest.mark.parametrize("off", [0.375, 1.0, 30.0])
def test_a_dowel_that_touches_nothing_is_found(off):
    (finding,) = run(beside(off))
    assert finding.level is Level.ERROR
    assert finding.parts == ("F5 dowel 1",)
    assert finding.measured == pytest.approx(off, abs=1e-9)
    assert (finding.limit, finding.unit) == (GAP, "mm")
    assert "touches no core part" in finding.message


@pytest.mark.parametrize("off", [-(FOUL - 0.01), -FOUL, -0.8 * FOUL, 0.8 * GAP, GAP - 0.01, GAP])
def test_a_dowel_within_the_limits_is_not(off):
    assert run(beside(off)) == []


def test_the_limits_of_the_plan_count():
    assert run(beside(-0.4), {"dowel_foul": 0.5}) == []
    assert run(beside(0.9), {"dowel_gap": 1.0}) == []
    assert len(run(beside(-0.05), {"dowel_foul": 0.04})) == 1


def test_a_dowel_in_the_middle_of_the_wood_is_no_deeper_in_it_than_it_is_wide():
    at = [*dowelled.places().values(), (150, 50)]
    (finding,) = run(dowelled.frame(at=at))
    assert finding.measured == pytest.approx(2 * R)


def test_a_corner_by_hand():
    """Moved 1 mm into a sharp corner a dowel stands sqrt 1/2 mm in each of the two walls."""
    square = making.rectangle(0, 0, 100, 100)
    angle = making.part("angle", type(square).of([(0, 0), (300, 0), (300, 40), (40, 40), (40, 300), (0, 300)]))
    off = R - np.sqrt(0.5)
    (finding,) = run(making.frame([angle], dowels=[making.dowel((40 + off, 40 + off))]))
    assert finding.measured == pytest.approx(np.sqrt(0.5))
    assert dowelled.places_in(finding.cure) == [(45.0, 45.0)]
    assert "move it 1.0 mm" in finding.cure


@pytest.mark.parametrize("off", [20.5, 30.0, 300.0])
def test_a_dowel_far_from_all_wood_asks_for_the_wood(off):
    (finding,) = run(beside(off))
    assert finding.cure.startswith("look first whether a part of F5 is missing") and not finding.edits


@pytest.mark.parametrize("off", [-8.0, -1.0, 1.0, 19.0])
def test_the_cure_cures(off):
    (finding,) = run(beside(off))
    (at,) = dowelled.places_in(finding.cure)
    others = dowelled.places(without=["port end"]).values()
    assert run(dowelled.frame(at=[*others, at])) == []


@pytest.mark.parametrize("off", [-1.0, 1.0])
def test_mirrored_moved_and_raked_boats_give_the_same(off):
    (straight,) = run(beside(off))
    for other in (beside(off, side=-1), beside(off, station=-3000), beside(off, rake=0.3)):
        (finding,) = run(other)
        assert finding.measured == pytest.approx(straight.measured, abs=1e-9)
        assert finding.parts[1:] == straight.parts[1:]


def test_two_parts_under_one_dowel_give_one_finding():
    (finding,) = run(dowelled.frame(at=[*dowelled.places().values(), (0, 100 + R - 1)]))
    assert finding.parts == ("F5 dowel 5", "F5 port board", "F5 starboard board")


def test_gussets_and_legs_lie_over_the_dowels():
    """The board lies under the core, and what goes onto its upper face comes no lower than the dowels are tall."""
    over = making.rectangle(-100, -50, 100, 150)
    for face, role in (("forward", "gusset"), ("aft", "gusset"), ("core", "leg")):
        parts = [*dowelled.boards(), making.part("plate", over, face=face, role=role)]
        assert run(dowelled.frame(parts)) == []


def test_a_frame_without_core_is_left_to_outline():
    assert run(making.frame([], dowels=[making.dowel((0, 0))])) == []


def corner_dowels(wall=0.0):
    """Dowels in the two corners of the notch of `notched`, where its walls ought to be, `wall` lower."""
    (y, v), (half, low) = notched.CENTRE, (notched.LONG / 2 - R, notched.SHORT / 2 - R)
    return [
        making.dowel((y + side * half, v - low - wall), frame="1000", number=n) for n, side in enumerate((1, -1), 1)
    ]


@pytest.mark.parametrize("walls", [{"notch": False}, {"lower": -1.5}, {"port": -1.5}])
def test_dowels_in_a_notch_that_the_batten_does_not_fit_either_are_left_to_the_notch(walls):
    """One wall drawn wrong is one finding: the batten's. Without the batten nothing else would tell."""
    frame = notched.frame(**walls)
    frame = making.frame(frame.parts, number="1000", dowels=corner_dowels())
    assert run(frame, battens=[notched.batten()]) == []
    assert len(run(frame)) >= 1


def test_a_dowel_in_the_wood_of_a_notch_that_the_batten_fits_is_the_dowels_fault():
    frame = making.frame(notched.frame().parts, number="1000", dowels=corner_dowels(1.5))
    assert [f.measured for f in run(frame, battens=[notched.batten()])] == [pytest.approx(1.5), pytest.approx(1.5)]


# ---- of another diameter than the plan's


def of_plan(frame, wanted, **more):
    """What is found in a frame whose plan names this diameter."""
    return list(DOWEL.run(replace(making.assembly([frame], **more), dowel_diameter=wanted)))


def drawn_across(diameters, *, touching=True):
    """The two boards with dowels drawn of these diameters, each against the wood, or all where one of 10 mm is."""
    frame = dowelled.frame()
    dowels = []
    for dowel, diameter in zip(frame.dowels, diameters, strict=True):
        y, v = dowel.at
        off = (diameter / 2 - R) if touching else 0.0
        way = (1, 0) if abs(y) > 300 else (0, -1 if v < 50 else 1)
        dowels.append(replace(dowel, at=(y + np.sign(y) * way[0] * off, v + way[1] * off), diameter=diameter))
    return making.frame(frame.parts, dowels=dowels)


@pytest.mark.parametrize(("drawn", "size", "off"), [(12.0, "larger", 2.0), (9.525, "smaller", 0.475)])
def test_a_circle_of_another_diameter_is_found(drawn, size, off):
    (finding,) = of_plan(drawn_across([10.0] * 7 + [drawn]), 10.0)
    assert (finding.check, finding.level, finding.parts) == ("dowel", Level.ERROR, ("F5 dowel 8",))
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(off), FOUL, "mm")
    assert finding.message == (
        f"F5 dowel 8 is drawn {drawn:.2f} mm across, {off:.2f} mm {size} than the plan's dowels of 10.00 mm"
    )
    assert finding.cure == f"draw it 10 mm across, or set diameter under [dowels] in the plan to {drawn:g} mm"
    assert finding.source.handle == "D8"


def test_those_drawn_alike_are_one_finding():
    (finding,) = of_plan(drawn_across([12.0] * 8), 10.0)
    assert finding.message.startswith("8 dowels of F5 are drawn 12.00 mm across, 2.00 mm larger than")
    assert finding.cure.startswith("draw them 10 mm across, or set diameter under [dowels] in the plan to 12 mm")
    assert len(finding.parts) == 8
    both = of_plan(drawn_across([12.0] * 3 + [8.0] * 2 + [10.0] * 3), 10.0)
    assert [len(each.parts) for each in both] == [2, 3]


@pytest.mark.parametrize("drawn", [10.0, 10.0 + FOUL, 10.0 - FOUL, 10.08])
def test_a_circle_as_near_as_a_dowel_gives_way_is_not(drawn):
    assert of_plan(drawn_across([drawn] * 8), 10.0) == []


def test_the_limit_and_the_diameter_are_the_plans():
    assert of_plan(drawn_across([10.3] * 8), 10.0, limits={"dowel_foul": 0.4}) == []
    assert of_plan(drawn_across([12.0] * 8), 12.0) == []
    assert of_plan(drawn_across([12.0] * 8), None) == []
    assert of_plan(making.frame(dowelled.boards()), 12.0) == []


def test_a_circle_drawn_too_large_where_a_dowel_would_stand_right_is_wrong_in_that_alone():
    frame = drawn_across([10.0] * 7 + [12.0], touching=False)
    assert len(run(frame)) == 1  # it stands 1 mm in the wood
    (finding,) = of_plan(frame, 10.0)
    assert "12.00 mm across" in finding.message
    deep = making.frame(frame.parts, dowels=[replace(frame.dowels[-1], at=(-150.0, 50.0)), *frame.dowels[:-1]])
    assert ["across" in each.message for each in of_plan(deep, 10.0)] == [True, False]


@pytest.mark.parametrize(
    ("table", "told"), [({"diameter": 8}, 1), ({"diameter": 10}, 0), ({}, 0), ({"board": [900, 900]}, 0)]
)
def test_it_is_what_the_plan_writes_that_counts(table, told, tmp_path):
    boat = test_assemble.boat(tmp_path, plan={**test_assemble.PLAN, "dowels": table})
    found = [finding for finding in DOWEL.run(boat) if "across" in finding.message]
    assert len(found) == told * len(boat.frames)

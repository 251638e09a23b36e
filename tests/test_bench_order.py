"""The order on the bench: demo frames taken apart again, legs that need their turn, wishes of the plan."""

from dataclasses import replace
from pathlib import Path

import making
import numpy as np
import pytest
from dismantling import order_fouls

from scrieve.model.assemble import assemble
from scrieve.model.checks.way_in import CHECK
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.bench_order import bench_order
from scrieve.model.sequence.leaving import Pieces

HULLS = Path(__file__).parents[1] / "hulls"
THICK = 18.0

FLOOR = making.rectangle(-400, 200, 400, 300)
INNER, OUTER = making.rectangle(240, 0, 340, 200), making.rectangle(240, 0, 340, 260)


def leg(inner=INNER, outer=OUTER, *, faces=("core", "forward"), side=1):
    """The plies of one leg, `inner` in the plane of the core and `outer` on the other faces."""
    name = "port" if side > 0 else "starboard"
    outlines = {face: inner if face == "core" else outer for face in faces}
    return [
        making.part(
            f"{name} leg, {face}", outline if side > 0 else outline.mirrored(), role="leg", face=face, thickness=THICK
        )
        for face, outline in outlines.items()
    ]


def plate(label, outline=None, face="forward"):
    """A plate on a face of the core."""
    return making.part(label, outline or making.rectangle(-60, 210, 60, 290), face=face, thickness=9.0)


def frame(*parts, floor=FLOOR, **more):
    return making.frame([making.part("floor", floor), *parts], **more)


def names(placed):
    return [tuple(part.label for part in each.parts) for each in placed]


def findings(*frames, order=()):
    return list(CHECK.run(replace(making.assembly(frames), order=tuple(order))))


# ---- the usual order


def test_core_first_face_second_face_legs_each_from_low_to_high_and_port_first():
    parts = [
        making.part("beam", making.rectangle(-400, 700, 400, 760)),
        making.part("port side", making.rectangle(340, 300, 400, 700)),
        making.part("starboard side", making.rectangle(-400, 300, -340, 700)),
        plate("port top", making.rectangle(300, 650, 400, 760)),
        plate("starboard top", making.rectangle(-400, 650, -300, 760)),
        plate("middle", face="aft"),
        *leg(),
        *leg(side=-1),
    ]
    order = bench_order(frame(*parts))
    assert order.first == "aft"
    assert names(order.core) == [("floor",), ("port side",), ("starboard side",), ("beam",)]
    assert names(order.first_face) == [("middle",)]
    assert names(order.second_face) == [("port top",), ("starboard top",)]
    assert names(order.legs) == [
        ("port leg, core", "port leg, forward"),
        ("starboard leg, core", "starboard leg, forward"),
    ]
    assert {each.way.toward for each in (*order.core, *order.first_face)} == {(0.0, 0.0, 1.0)}
    assert {each.way.toward for each in (*order.second_face, *order.legs)} == {(0.0, 0.0, -1.0)}
    assert {each.way.how for each in order.placed} == {"drop"}
    assert not order.trapped and not order.refused
    assert order_fouls(order) == []


def test_a_transom_with_plates_forward_only_lies_that_face_up_and_is_not_turned():
    order = bench_order(frame(plate("knee"), kind="transom"))
    assert order.first == "forward"
    assert names(order.first_face) == [("knee",)]
    assert order.second_face == ()


def test_the_order_of_things_in_the_drawing_makes_no_difference():
    parts = [plate(f"plate {n}", making.rectangle(60 * n, 210, 60 * n + 50, 290)) for n in range(5)]
    one, other = frame(*parts), frame(*parts[::-1])
    assert names(bench_order(one).placed) == names(bench_order(other).placed)


@pytest.mark.parametrize("hull", ["pram", "skiff"])
def test_every_demonstration_frame_comes_apart_again_without_a_foul(hull):
    boat = assemble(read_plan(HULLS / hull))
    for each in boat.frames:
        order = bench_order(each)
        assert not order.trapped
        assert sorted(part.name for placed in order.placed for part in placed.parts) == [p.name for p in each.parts]
        # joints are drawn together to a thousandth, legs to the floor: nothing rubs by more
        assert [foul for foul in order_fouls(order) if foul[3] > 0.01] == []
        for placed in order.placed:
            assert placed.way.reach > 0
    assert list(CHECK.run(boat)) == []


# ---- legs


def test_a_leg_that_clasps_the_floor_slides_up_from_below():
    order = bench_order(frame(*leg(faces=("core", "forward", "aft"))))
    (placed,) = order.legs
    assert placed.way.how == "slide"
    assert placed.way.toward == (0.0, 1.0, 0.0)
    assert placed.way.reach == pytest.approx(60.0)  # its outer plies lap the floor by so much
    assert order_fouls(order) == []


def test_a_leg_under_a_plate_slides_up_where_it_could_not_drop():
    over = plate("cleat", making.rectangle(300, 100, 340, 290))
    order = bench_order(frame(over, *leg(outer=making.rectangle(240, 0, 299, 260))))
    assert order.legs[0].way.how == "slide"
    assert order.legs[0].way.toward == (0.0, 1.0, 0.0)
    assert order_fouls(order) == []


HOOKED_FLOOR = Outline.of(
    [(-400, 200), (270, 200), (270, 230), (260, 230), (260, 250), (320, 250), (320, 230), (310, 230), (310, 200),
     (400, 200), (400, 300), (-400, 300)]
)  # fmt: skip
HOOKED = Outline.of(
    [(240, 0), (340, 0), (340, 200), (310, 200), (310, 230), (320, 230), (320, 250), (260, 250), (260, 230),
     (270, 230), (270, 200), (240, 200)]
)  # fmt: skip


def test_a_hooked_leg_goes_on_before_the_plate_that_would_cover_it():
    """It drops into its slot from forward, and a plate lies over the slot: trapped at its step, free before it."""
    cover = plate("cover", making.rectangle(250, 205, 330, 290))
    outer = making.rectangle(240, 0, 340, 204)
    legs = leg(HOOKED, outer)
    backing = plate("backing", making.rectangle(-60, 210, 60, 290), "aft")
    order = bench_order(frame(cover, backing, *legs, floor=HOOKED_FLOOR))
    assert order.legs == ()
    assert names(order.placed) == [("floor",), ("backing",), ("port leg, core", "port leg, forward"), ("cover",)]
    assert not order.trapped
    assert order_fouls(order) == []
    assert findings(frame(cover, *legs, floor=HOOKED_FLOOR)) == []
    late = bench_order(frame(cover, *legs, floor=HOOKED_FLOOR), (("F5 cover", "F5 port leg, core"),))
    assert late.refused == (("F5 cover", "F5 port leg, core"),)
    # once the cover lies it is those two that bar it
    pieces = Pieces([(part,) for part in (frame(floor=HOOKED_FLOOR).parts[0], cover)] + [tuple(legs)])
    assert pieces.way(2, [0, 1], (1, -1)) is None
    assert pieces.holders(2, [0, 1], (1, -1)) == [0, 1]


def test_a_hooked_leg_that_clasps_the_floor_is_trapped_and_the_finding_says_what_to_take_off():
    hull = frame(*leg(HOOKED, faces=("core", "forward", "aft")), floor=HOOKED_FLOOR)
    (trapped,) = bench_order(hull).trapped
    assert trapped.thing == "F5 port leg"
    assert trapped.by == ("F5 floor",)
    (finding,) = findings(hull)
    assert finding.check == "way-in"
    assert finding.parts == ("F5 floor", "F5 port leg, aft", "F5 port leg, core", "F5 port leg, forward")
    assert finding.frame == "5"
    assert "F5 floor is in the way" in finding.message
    # 10 mm of floor on each side of the neck, 20 high: with that off the leg goes up
    assert finding.cure.count("take") == 1
    assert finding.cure.count("10.0 mm off F5 floor") == 2
    assert finding.cure.endswith("then it can slide in, going up")


@pytest.mark.parametrize(("neck", "found"), [(0.49, 0), (0.51, 1)])
def test_a_hook_counts_from_half_a_millimetre_on(neck, found):
    def mouth(outline):
        points = [(y + np.sign(y - 290) * (10 - neck) if v in (200, 230) and 265 < y < 315 else y, v)
                  for y, v in outline.points]  # fmt: skip
        return Outline.of(points)

    hull = frame(*leg(mouth(HOOKED), faces=("core", "forward", "aft")), floor=mouth(HOOKED_FLOOR))
    assert len(findings(hull)) == found


@pytest.mark.parametrize("overlap", [0.0, 0.3, 0.5])
def test_parts_drawn_into_one_another_as_far_as_joints_may_are_not_trapped_by_that(overlap):
    inner = making.rectangle(240, 0, 340, 200 + overlap)
    order = bench_order(frame(*leg(inner, faces=("core", "forward", "aft"))))
    assert not order.trapped
    assert order.legs[0].way.toward == (0.0, 1.0, 0.0)
    notched = Outline.of([(-400, 200), (250, 200), (250, 240), (330, 240), (330, 200), (400, 200), (400, 300),
                          (-400, 300)])  # fmt: skip
    tongue = making.rectangle(250 - overlap, 0, 330 + overlap, 240 + overlap)
    order = bench_order(frame(*leg(tongue, faces=("core", "forward", "aft")), floor=notched))
    assert not order.trapped


@pytest.mark.parametrize("rake", [0.0, 0.3])
def test_port_and_starboard_are_alike_and_a_move_of_the_frame_changes_nothing(rake):
    port = bench_order(frame(*leg(HOOKED, faces=("core", "forward", "aft")), floor=HOOKED_FLOOR)).trapped[0]
    hull = frame(
        *leg(HOOKED, faces=("core", "forward", "aft"), side=-1),
        floor=HOOKED_FLOOR.mirrored(),
        station=3000.0,
        rake=rake,
    )
    starboard = bench_order(hull).trapped[0]
    assert starboard.by == port.by
    assert starboard.cure.count("10.0 mm off F5 floor") == 2
    y, v, _ = hull.placement.to_frame([starboard.at])[0]
    assert abs(y) == pytest.approx(port.at[1], abs=1)
    assert v == pytest.approx(port.at[2], abs=1)


# ---- wishes


def test_a_wish_is_met_within_a_stage_and_refused_against_the_bench():
    parts = [plate("a", making.rectangle(0, 210, 50, 290)), plate("b", making.rectangle(60, 210, 110, 290))]
    hull = frame(*parts)
    assert names(bench_order(hull).first_face) == [("a",), ("b",)]
    order = bench_order(hull, (("F5 b", "F5 a"),))
    assert names(order.first_face) == [("b",), ("a",)]
    refused = bench_order(hull, (("F5 a", "F5 floor"),))
    assert refused.refused == (("F5 a", "F5 floor"),)
    assert names(refused.placed)[0] == ("floor",)


def test_a_wish_for_the_other_face_first_turns_the_frame():
    hull = frame(plate("ahead"), plate("behind", face="aft"))
    assert bench_order(hull).first == "aft"
    order = bench_order(hull, (("F5 ahead", "F5 behind"),))
    assert order.first == "forward"
    assert not order.refused


def test_a_frame_without_parts_has_an_empty_order():
    order = bench_order(making.frame([]))
    assert order.placed == ()
    assert order.trapped == ()

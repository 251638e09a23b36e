"""Cures are in proportion: what is far off is looked for, and no wood is moved to it."""

import gusseted
import legged
import making
import pytest

from scrieve.model.boat.proportion import can_be_moved, can_be_recut, can_stand_at, look_first
from scrieve.model.checks import CHECKS


def floor_and_sides(number, *labels):
    parts = [making.part(label, making.rectangle(n * 200, 0, n * 200 + 100, 100)) for n, label in enumerate(labels)]
    return making.frame(parts, number=number)


@pytest.mark.parametrize(("way", "size"), [((1.0, 0.0), 400.0), ((0.0, -1.0), 80.0), ((0.0, 1.0), 80.0)])
def test_a_part_is_recut_by_a_quarter_of_its_size_that_way(way, size):
    part = making.part("floor", making.rectangle(-200, 0, 200, 80))
    assert can_be_recut(part, way, 0.249 * size) and can_be_recut(part, way, -0.249 * size)
    assert not can_be_recut(part, way, 0.251 * size) and not can_be_recut(part, way, -0.251 * size)
    assert can_be_moved(20.0, 39.9) and not can_be_moved(20.0, 40.1)


@pytest.mark.parametrize(
    ("labels", "lacking"),
    [
        (("floor", "port side", "starboard side"), ""),
        (("port side", "starboard side"), " (no floor of it was found)"),
        (("floor", "port side"), " (no starboard side of it was found)"),
        (("port side",), ""),  # of one part: nothing is known of how it is built
        (("floor", "port upper side", "starboard upper side"), ""),
    ],
)
def test_what_other_frames_have_is_named(labels, lacking):
    whole = [floor_and_sides(number, "floor", "port side", "starboard side") for number in "123"]
    frame = floor_and_sides("4", *labels)
    said = look_first(frame, making.assembly([*whole, frame]))
    assert said == f"look first whether a part of F4 is missing, was not read or lies in a wrong place{lacking}"


@pytest.mark.parametrize(("off", "is_told"), [(15.0, True), (80.0, False)])
def test_a_plate_far_past_the_outer_line_is_not_trimmed(off, is_told):
    parts = [*gusseted.core(), gusseted.corner_gusset(proud=off)]
    found = list(CHECKS["proud"].run(making.assembly([gusseted.frame(parts)])))
    assert found
    for finding in found:
        assert finding.cure.startswith("trim it by") == is_told
        assert bool(finding.edits) == is_told


@pytest.mark.parametrize(("deep", "is_told"), [(20.0, True), (30.0, False)])
def test_parts_deep_in_one_another_are_not_moved(deep, is_told):
    plates = [
        making.part(name, making.rectangle(left, 0, left + 100, 100), face="forward", core=12.0)
        for name, left in (("one", 0.0), ("other", 100.0 - deep))
    ]
    (finding,) = CHECKS["foul"].run(making.assembly([making.frame(plates)]))
    assert finding.cure.startswith("move F5 one at least") == is_told
    assert bool(finding.edits) == is_told


@pytest.mark.parametrize(("short", "is_told"), [(30.0, True), (160.0, False)])
def test_a_leg_far_off_the_rail_is_not_cut(short, is_told):
    legs = legged.plies(short=short)
    (finding, *_) = CHECKS["leg-bottom"].run(legged.boat(port=legs))
    assert finding.cure.startswith("lengthen by") == is_told
    assert bool(finding.edits) == is_told


@pytest.mark.parametrize(
    ("number", "station", "can"),
    [
        ("1", -200.0, True),  # the bay is 500, the next frame at 500
        ("1", -300.0, False),
        ("7", -100.0, False),  # past all others, whose numbers grow the other way
        ("4", 1700.0, True),
        ("4", 2600.0, False),
    ],
)
def test_a_frame_is_not_sent_off_the_boat_or_out_of_order(number, station, can):
    frames = [making.frame([], number=str(n + 1), station=500.0 * n) for n in range(7)]
    frame = frames[int(number) - 1]
    assert can_stand_at(frame, station, frames) == can


def test_a_frame_out_of_order_may_be_put_in_order():
    frames = [making.frame([], number=str(n + 1), station=180.0 if n == 3 else 500.0 * n) for n in range(7)]
    assert can_stand_at(frames[3], 1500.0, frames)

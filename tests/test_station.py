"""Check `station`."""

from dataclasses import replace

import legged
import making
import numpy as np
import pytest

from scrieve.model.boat.defect import Defect
from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level, Measure, Source

STATION = CHECKS["station"]


def run(assembly):
    return list(STATION.run(assembly))


def frame(number, station, *, rake=0.0, thickness=18.0, outline=None, label="floor"):
    outline = outline or making.rectangle(-400, 100, 400, 500)
    part = making.part(label, outline, frame=number, thickness=thickness, core=thickness)
    return making.frame([part], number=number, station=station, rake=rake, core=thickness)


@pytest.mark.parametrize(("apart", "shared"), [(0.0, 18.0), (10.0, 8.0), (17.9, 0.1)])
def test_frames_in_one_place_are_found(apart, shared):
    (finding,) = run(making.assembly([frame("4", 1000.0), frame("5", 1000.0 + apart)]))
    assert (finding.check, finding.level, finding.frame) == ("station", Level.ERROR, "5")
    assert finding.parts == ("F4", "F5")
    assert finding.measured == pytest.approx(shared)
    assert finding.at[0] == pytest.approx(1000 + apart + shared / 2)
    assert finding.source.file == "plan.toml"


@pytest.mark.parametrize("apart", [17.99, 18.0, 18.01, 500.0])
def test_frames_face_to_face_may_touch(apart):
    # 0.01 mm is within flattening noise, four sagittas
    assert run(making.assembly([frame("4", 1000.0), frame("5", 1000.0 + apart)])) == []


def test_the_thickness_of_the_aft_frame_counts():
    assert run(making.assembly([frame("4", 1000.0, thickness=12.0), frame("5", 1012.0)])) == []
    assert len(run(making.assembly([frame("4", 1000.0), frame("5", 1012.0, thickness=12.0)]))) == 1


def test_frames_at_one_station_that_share_no_height_do_not_meet():
    beam = frame("6", 1000.0, outline=making.rectangle(-400, 600, 400, 700), label="deck beam")
    assert run(making.assembly([frame("5", 1000.0), beam])) == []


def test_a_raked_frame_meets_its_neighbour_where_it_leans_on_it():
    # closed form: a face raked by r stands z tan r further aft at height z, and 18 / cos r of x to its other face
    rake = 0.2
    top = 500 * np.cos(rake)
    reach = top * np.tan(rake) + 18

    def boat(apart):
        return making.assembly([frame("4", 1000.0), frame("5", 1000.0 + apart, rake=rake)])

    assert run(boat(reach + 0.01)) == []
    (finding,) = run(boat(reach - 2.0))
    assert finding.measured == pytest.approx(2.0, abs=1e-9)
    assert finding.at[2] == pytest.approx(top)


def test_frames_that_lean_through_one_another_are_found():
    # at z 100 the one stands 60 aft of the other, at z 500 as far forward: they cross half-way up
    slope = 0.3
    rake = np.arctan(slope)
    leaning = frame("5", 1000.0 + 300 * slope * np.cos(rake), rake=rake)
    (finding,) = run(making.assembly([frame("4", 1000.0), leaning]))
    assert finding.measured == pytest.approx(18.0)


@pytest.mark.parametrize(
    ("station", "off", "end"), [(-201.0, 1.0, "aft"), (-250.0, 50.0, "aft"), (4400.01, 0.01, "forward")]
)
def test_a_frame_off_the_strongback_is_found(station, off, end):
    boat = legged.boat(station=station)
    (finding,) = run(boat)
    assert finding.measured == pytest.approx(off)
    assert f"past the {end} end of the strongback" in finding.message
    assert finding.level is Level.ERROR


@pytest.mark.parametrize("station", [-200.0, -199.99, 4399.99, 4400.0])
def test_a_frame_at_the_end_of_the_strongback_is_not(station):
    assert run(legged.boat(station=station)) == []


def numbered(*numbers):
    return run(making.assembly([frame(number, 500.0 * i) for i, number in enumerate(numbers)]))


@pytest.mark.parametrize(
    "numbers", [("1", "2", "3", "4"), ("9", "7", "5"), ("1", "T", "2", "3"), ("2", "1"), ("1",), (), ("A", "C", "B")]
)
def test_numbers_in_order_from_either_end_are_silent(numbers):
    assert numbered(*numbers) == []


@pytest.mark.parametrize(
    ("numbers", "names"),
    [
        (("1", "2", "7", "3", "4"), ["7"]),
        (("6", "5", "1", "4", "3"), ["1"]),
        (("1", "2", "4", "3", "5"), ["3"]),
        (("1", "2", "10", "X", "11"), []),
        (("1", "9", "2", "3", "8", "4", "5"), ["9", "8"]),
    ],
)
def test_numbers_out_of_order_are_warned_of_by_frame(numbers, names):
    found = numbered(*numbers)
    assert [finding.frame for finding in found] == names
    assert {finding.level for finding in found} <= {Level.WARNING}
    assert all([subject.name for subject in finding.subjects] == [f"F{finding.frame}"] for finding in found)


def test_legs_without_a_strongback_are_one_note_and_so_the_other_way():
    (without_rails,) = run(legged.boat(rails=False))
    assert without_rails.level is Level.NOTE
    assert "add [strongback]" in without_rails.cure
    (without_legs,) = run(legged.boat([], []))
    assert without_legs.level is Level.NOTE
    assert run(legged.boat()) == []
    assert run(legged.boat([], [], rails=False)) == []


def test_a_reference_line_off_the_origin_becomes_a_finding_here_and_not_of_outline():
    defect = Defect(
        message="the centreline is drawn 3.00 mm to port of the plan's origin",
        source=Source(file="frames/5.dxf", handle="2F"),
        at=(3.0, 0.0),
        measure=Measure(value=3.0, limit=0.1),
        cure="set origin = [-3.0, 0.0]",
        check="station",
    )
    boat = making.assembly([replace(frame("5", 1000.0), defects=(defect,))])
    (finding,) = run(boat)
    assert (finding.check, finding.frame, finding.measured, finding.limit) == ("station", "5", 3.0, 0.1)
    assert finding.at == pytest.approx((1009, 3, 0))
    assert list(CHECKS["outline"].run(boat)) == []


def test_moving_a_boat_along_x_changes_nothing_but_the_place():
    here, there = (
        run(making.assembly([frame("4", x), frame("5", x + 10), frame("3", x + 400), frame("8", x + 900)]))
        for x in (0.0, 7000.0)
    )
    assert [(f.frame, f.measured, f.parts) for f in here] == [(f.frame, f.measured, f.parts) for f in there]
    assert len(here) == 2


@pytest.mark.parametrize("apart", [1.0, 10.0, 17.0])
@pytest.mark.parametrize("low", [0.0, 18.0])
def test_frames_that_overlap_in_part_stand_free_when_moved_as_is_told(apart, low):
    """Whichever stands further aft by its station: the one whose core lies further forward goes forward."""

    def at(station):
        fore = replace(frame("5", station), core_low=low, core_high=low + 18.0)
        return run(making.assembly(sorted([frame("4", 1000.0), fore], key=lambda each: each.placement.station)))

    (finding,) = at(1000.0 + apart - low)
    assert finding.frame == "5"
    assert finding.measured == pytest.approx(18.0 - apart)
    assert at(1000.0 + apart - low + finding.measured) == []

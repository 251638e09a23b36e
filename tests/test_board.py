"""The assembly board and the check `board`."""

from __future__ import annotations

from dataclasses import replace

import making
import numpy as np
import pytest

from scrieve.model.boat.board import board_of, least_size
from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level
from scrieve.shared.tolerances import ONE_HOLE

CHECK = CHECKS["board"]
INSIDE = 0.01


def boat(*frames, size=None, web=None, faces=("core",), diameters=None):
    """A boat of frames, each given by the places of its dowels; numbers grow forward from 1."""
    made = []
    for number, places in enumerate(frames, start=1):
        name = str(number)
        dowels = [
            making.dowel(at, frame=name, number=n, diameter=(diameters or {}).get((number, n), 10.0))
            for n, at in enumerate(places, start=1)
        ]
        parts = [making.part(face, making.rectangle(-5, 0, 5, 9), frame=name, face=face) for face in faces]
        made.append(making.frame(parts, number=name, station=500.0 * number, dowels=dowels))
    limits = {} if web is None else {"board_web": web}
    return replace(making.assembly(made, limits=limits), board=size)


def found(assembly):
    return list(CHECK.run(assembly))


# ---- holes


def test_dowels_of_two_frames_in_one_place_share_a_hole_named_by_both():
    board = board_of(boat([(300, 200), (-300, 200)], [(300, 200)], [(100, 400)]))
    assert [(hole.at, hole.frames) for hole in board.holes] == [
        ((300.0, 200.0), ("1", "2")),
        ((100.0, 400.0), ("3",)),
        ((-300.0, 200.0), ("1",)),
    ]
    assert [dowel.name for dowel in board.holes[0].dowels] == ["F1 dowel 1", "F2 dowel 1"]


@pytest.mark.parametrize("way", [0.0, 0.7, 2.0, 3.1, 4.4, 5.8])
@pytest.mark.parametrize("start", [(300.0, 200.0), (-300.03, 200.06), (0.0, 0.0)])
def test_they_share_it_up_to_the_tolerance_whichever_way_they_lie(way, start):
    def holes(off):
        other = (start[0] + off * np.cos(way), start[1] + off * np.sin(way))
        return board_of(boat([start], [other])).holes

    (one,) = holes(ONE_HOLE - 1e-6)
    assert np.hypot(*np.subtract(one.at, start)) == pytest.approx(ONE_HOLE / 2, abs=1e-5)
    assert len(holes(ONE_HOLE + 1e-6)) == 2


def test_dowels_of_one_frame_or_of_two_diameters_never_share():
    assert len(board_of(boat([(300, 200), (300, 200)])).holes) == 2
    assert len(board_of(boat([(300, 200)], [(300, 200)], diameters={(2, 1): 12.0})).holes) == 2


def test_the_order_in_which_dowels_are_given_makes_no_difference():
    one = boat([(300, 200), (-300, 200), (0, 90)], [(300.04, 200), (0, 90.05)])
    turned = [replace(frame, dowels=frame.dowels[::-1]) for frame in one.frames]
    other = replace(one, frames=tuple(turned))
    assert [(h.at, h.frames) for h in board_of(one).holes] == [(h.at, h.frames) for h in board_of(other).holes]


# ---- wood between


@pytest.mark.parametrize(("apart", "wood"), [(19.0, 9.0), (12.03, 2.03), (10.5, 0.5)])
def test_a_thin_web_is_a_warning_with_the_wood_that_is_left(apart, wood):
    (finding,) = found(boat([(300, 200)], [(300 + apart * 0.6, 200 + apart * 0.8)]))
    assert (finding.level, finding.frame) == (Level.WARNING, "2")
    assert finding.parts == ("F1 dowel 1", "F2 dowel 1")
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(wood), 10.0, "mm")
    assert f"{wood:.2f} mm apart" in finding.message
    assert f"{10 - wood + 0.04999:.1f} mm further away" in finding.cure
    assert finding.source.file == "frames/2.dxf"


@pytest.mark.parametrize("apart", [0.2, 2.58, 9.99])
def test_holes_that_meet_are_an_error(apart):
    (finding,) = found(boat([(300, 200)], [(300, 200 + apart)]))
    assert finding.level is Level.ERROR
    assert finding.measured == pytest.approx(apart - 10)
    assert f"run {10 - apart:.2f} mm into one another" in finding.message


@pytest.mark.parametrize("apart", [20.0, 20.0 - 1e-9, 20.0 + INSIDE, 500.0])
def test_a_diameter_of_wood_is_enough(apart):
    assert found(boat([(300, 200)], [(300, 200 + apart)])) == []


def test_just_short_of_it_is_not():
    assert len(found(boat([(300, 200)], [(300, 200 + 20.0 - INSIDE)]))) == 1


def test_the_limit_is_the_plans_and_goes_by_the_thicker_dowel():
    near = ([(300, 200)], [(300, 215)])
    assert found(boat(*near, web=0.5)) == []
    (finding,) = found(boat(*near, web=0.5, diameters={(2, 1): 12.0}))
    assert (finding.measured, finding.limit) == (pytest.approx(4.0), pytest.approx(6.0))


def test_two_dowels_of_one_frame_are_looked_at_alike():
    (finding,) = found(boat([(300, 200), (300, 206)]))
    assert (finding.level, finding.parts) == (Level.ERROR, ("F1 dowel 1", "F1 dowel 2"))
    (same,) = found(boat([(300, 200), (300, 200)]))
    assert "stand in one place, yet cannot share a hole: they are of one frame" in same.message
    (other,) = found(boat([(300, 200)], [(300, 200)], diameters={(2, 1): 12.0}))
    assert "one is 10 mm thick, the other 12 mm" in other.message


def test_a_shared_hole_too_near_another_is_one_finding_that_names_all():
    (finding,) = found(boat([(300, 200)], [(300, 200)], [(300, 212)]))
    assert finding.parts == ("F1 dowel 1", "F2 dowel 1", "F3 dowel 1")
    assert "F1 dowel 1 and F2 dowel 1" in finding.message


def test_a_web_a_hair_short_is_told_apart_from_what_is_wanted():
    (finding,) = found(boat([(300, 200)], [(300, 219.997)]))
    assert "stand 9.997 mm apart on the assembly board; 10.000 mm of wood is wanted" in finding.message
    (edge,) = found(boat([(300, 200)], size=(629.994, 400)))
    assert "leaves 9.997 mm of wood to the edge" in edge.message
    assert "10.000 mm is wanted" in edge.message


def test_three_holes_in_a_row_are_two_findings():
    assert len(found(boat([(300, 200)], [(315, 200)], [(330, 200)]))) == 2


def test_a_mirrored_boat_and_one_moved_along_give_the_same():
    frames = ([(300, 200), (-20, 90)], [(306, 208), (-33, 95)], [(500, 500)])
    straight = found(boat(*frames))
    mirrored = found(boat(*([(-y, v) for y, v in places] for places in frames)))
    assert [(f.parts, f.level) for f in straight] and len(straight) == len(mirrored) == 2
    assert {(f.parts, round(f.measured, 9)) for f in straight} == {(f.parts, round(f.measured, 9)) for f in mirrored}
    here, there = boat(*frames), boat(*frames)
    moved = [
        replace(f, placement=replace(f.placement, station=f.placement.station + 77, rake=0.2)) for f in there.frames
    ]
    again = found(replace(there, frames=tuple(moved)))
    assert [(f.parts, f.measured) for f in again] == [(f.parts, f.measured) for f in found(here)]


def test_a_boat_without_dowels_has_nothing_to_find():
    assert found(boat([], [], size=(10, 10))) == []
    assert board_of(boat([])).holes == ()


# ---- the edge


HOLES = ([(300, 200), (-300, 200)], [(0, 400)])
"""With 5 mm of radius and 10 of web: 630 across, from 185 to 415."""


def test_the_least_board_holds_the_holes_their_webs_and_the_datum_line():
    board = board_of(boat(*HOLES))
    assert least_size(board.holes, 1.0) == (630.0, 230.0)
    assert (board.half, board.low, board.high, board.given) == (320.0, -10.0, 420.0, False)
    below = board_of(boat([(300, -200)], [(0, -400)]))
    assert (below.low, below.high) == (-420.0, 10.0)


@pytest.mark.parametrize("size", [(630, 230), (230, 630), (2440, 1220)])
def test_a_board_that_is_just_big_enough_either_way_round_is_enough(size):
    assert found(boat(*HOLES, size=size)) == []


@pytest.mark.parametrize(
    ("size", "level", "wood", "parts"),
    [
        ((629.9, 400), Level.WARNING, 9.95, ("F1 dowel 1", "F1 dowel 2")),
        ((600, 400), Level.ERROR, -5.0, ("F1 dowel 1", "F1 dowel 2")),
        ((640, 220), Level.WARNING, 5.0, ("F1 dowel 1", "F1 dowel 2", "F2 dowel 1")),
        ((640, 200), Level.ERROR, -5.0, ("F1 dowel 1", "F1 dowel 2", "F2 dowel 1")),
    ],
)
def test_a_board_that_is_too_small_is_one_finding_with_the_size_that_would_do(size, level, wood, parts):
    (finding,) = found(boat(*HOLES, size=size))
    assert (finding.level, finding.parts) == (level, parts)
    assert (finding.measured, finding.limit) == (pytest.approx(wood), 10.0)
    assert finding.cure == "take a board of 630 mm across and 230 mm up, or more"
    assert found(boat(*HOLES, size=(630, 230))) == []


def test_a_board_of_a_millimetre_is_one_finding_with_all_holes():
    (finding,) = found(boat(*HOLES, size=(1, 1)))
    assert (finding.level, len(finding.parts)) == (Level.ERROR, 3)
    assert finding.cure == "take a board of 630 mm across and 230 mm up, or more"
    assert len(board_of(boat(*HOLES, size=(1, 1))).broken_out) == 3
    assert board_of(boat(*HOLES, size=(620, 220))).broken_out == ()
    assert board_of(boat(*HOLES)).broken_out == ()


def test_a_given_board_is_moved_up_or_down_to_hold_the_datum_line_if_it_can():
    centred = board_of(boat(*HOLES, size=(700, 300)))
    assert (centred.low, centred.high) == (150.0, 450.0)
    with_line = board_of(boat(*HOLES, size=(700, 500)))
    assert with_line.low <= -10.0 and with_line.high >= 415.0
    below = board_of(boat([(300, -200)], [(0, -400)], size=(700, 500)))
    assert below.high >= 10.0 and below.low <= -415.0


def test_a_board_of_no_given_size_is_never_too_small():
    assert found(boat([(9000, 4000)])) == []


# ---- from which side it is seen


@pytest.mark.parametrize(
    ("faces", "seen"),
    [
        (("core",), "from forward"),
        (("core", "forward"), "from forward"),
        (("core", "aft", "forward"), "from aft"),
        (("core", "aft"), "from aft"),
    ],
)
def test_it_is_seen_from_the_face_that_takes_plates(faces, seen):
    assert board_of(boat([(0, 0)], faces=faces)).seen == seen

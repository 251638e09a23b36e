"""Check `notch-foul`."""

from dataclasses import replace

import making
import notched
import numpy as np
import pytest
from replanning import change_plan
from spoiling import HULLS, copied

from scrieve.model import check, open_plan
from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level

FOUL = CHECKS["notch-foul"]
LIMIT = 0.2
INSIDE = 0.01


def run(frames, battens, **more):
    return list(FOUL.run(making.assembly(frames, battens=battens, **more)))


def test_a_batten_that_bites_is_found_with_wall_and_amount():
    (finding,) = run([notched.frame(lower=-1.4)], [notched.batten()])
    assert (finding.check, finding.level, finding.frame) == ("notch-foul", Level.ERROR, "1000")
    assert finding.measured == pytest.approx(1.4, abs=3e-3)
    assert (finding.limit, finding.unit) == (LIMIT, "mm")
    assert finding.parts == ("F1000 board", "port sheer")
    assert "open the notch in F1000 board 1.4 mm on its lower wall" in finding.cure
    x, y, z = finding.at
    assert x == pytest.approx(1009)
    assert 284 <= y <= 316
    assert 380 <= z <= 381.4
    assert finding.source.handle == "board"


@pytest.mark.parametrize("wall", ["lower", "port", "starboard"])
@pytest.mark.parametrize("arris", [0.0, 5.0])
def test_seeded_bites_are_found_past_the_limit_and_silent_below(wall, arris):
    batten = notched.batten(arris=arris)
    (finding,) = run([notched.frame(**{wall: -1.25 * LIMIT})], [batten])
    assert finding.measured == pytest.approx(1.25 * LIMIT, abs=3e-3)
    assert f"on its {wall} wall" in finding.cure
    assert run([notched.frame(**{wall: -0.8 * LIMIT})], [batten]) == []
    assert run([notched.frame(**{wall: -(LIMIT - INSIDE)})], [batten]) == []


def test_a_snug_notch_is_silent():
    assert run([notched.frame()], [notched.batten()]) == []


@pytest.mark.parametrize("degrees", [5.0, 15.0])
def test_a_square_notch_is_too_narrow_for_a_slanting_batten(degrees):
    # closed form: at angle a through thickness t the batten wants b / cos a + t tan a, t / 2 tan a to either side
    # of its middle; the notch is drawn for the section, b wide, at the aft face
    angle = np.radians(degrees)
    batten = notched.batten(slope=(np.tan(angle), 0.0))
    wants_port = 16 / np.cos(angle) + 18 * np.tan(angle) - 16
    wants_starboard = 16 / np.cos(angle) - 16
    (finding,) = run([notched.frame()], [batten])
    assert finding.measured == pytest.approx(wants_port, abs=3e-3)
    assert f"{np.ceil(wants_port * 10) / 10:.1f} mm on its port wall" in finding.cure
    assert run([notched.frame(port=wants_port - LIMIT + INSIDE, starboard=wants_starboard)], [batten]) == []
    assert len(run([notched.frame(port=wants_port - LIMIT - INSIDE, starboard=wants_starboard)], [batten])) == 1


def test_two_walls_are_told_with_their_own_amounts():
    (finding,) = run([notched.frame(lower=-0.5, port=-1.0)], [notched.batten()])
    assert "0.5 mm on its lower wall and 1.0 mm on its port wall" in finding.cure


def test_a_wall_bitten_within_the_limit_is_not_told_beside_the_one_to_open():
    (finding,) = run([notched.frame(lower=-0.1, port=-1.0)], [notched.batten()])
    assert finding.cure == "open the notch in F1000 board 1.0 mm on its port wall"
    assert run([notched.frame(lower=-0.1)], [notched.batten()]) == []  # and so it is, once the port wall is opened


@pytest.mark.parametrize(
    ("face", "w"),
    [("forward", 22.5), ("aft", -4.5)],
)
def test_a_gusset_or_leg_ply_in_the_way_is_found_on_its_own_face(face, w):
    # the gusset's top edge stands 2 mm above the batten's lower side, on its own ply
    for role in ("gusset", "leg"):
        plate = making.part(
            "plate", making.rectangle(200, 300, 400, 382), frame="1000", face=face, role=role, thickness=9
        )
        (finding,) = run([notched.frame(plate)], [notched.batten()])
        assert finding.parts == ("F1000 plate", "port sheer")
        assert finding.measured == pytest.approx(2.0, abs=3e-3)
        assert finding.at[0] == pytest.approx(1000 + w)


def test_a_plate_clear_of_the_notch_is_silent_and_one_without_a_notch_says_so():
    clear = making.part("plate", making.rectangle(200, 300, 400, 380), frame="1000", face="forward", thickness=9)
    assert run([notched.frame(clear)], [notched.batten()]) == []
    over = making.part("plate", making.rectangle(200, 300, 400, 400), frame="1000", face="forward", thickness=9)
    (finding,) = run([notched.frame(over)], [notched.batten()])
    assert "has no notch for the port sheer (32 x 20 mm)" in finding.cure


def test_a_frame_without_a_notch_is_left_to_notch_missing():
    assert run([notched.frame(notch=False)], [notched.batten()]) == []


def test_wood_that_the_cutter_leaves_in_corners_is_left_to_corner():
    # a 10 mm cutter leaves (sqrt 2 - 1) x 5 mm along the diagonal: it bites a square batten (arithmetic)
    assert run([notched.frame(cutter=10.0)], [notched.batten()]) == []


def test_frames_past_the_ends_of_the_batten_are_not_judged():
    before = notched.frame(station=-500.0, number="9", notch=False)
    assert run([before, notched.frame()], [notched.batten()]) == []


def test_the_frames_a_batten_ends_in_are_judged_through_their_thickness():
    # it rises going forward: at its last section's forward face it stands 18 mm x slope further to port
    end = notched.frame(station=2000.0, number="2000")
    slanting = notched.batten(slope=(0.1, 0.0), centre=(200.0, 390.0))
    found = run([end], [slanting])
    assert [finding.frame for finding in found] == ["2000"]


@pytest.mark.parametrize("change", ["mirror", "move", "order"])
def test_mirrored_moved_and_reordered_boats_give_the_same(change):
    plate = making.part("a plate", making.rectangle(250, 300, 350, 381), frame="1000", face="forward", thickness=9)
    first = run([notched.frame(plate, lower=-1.4)], [notched.batten(slope=(0.05, 0.02))])
    assert len(first) == 2
    if change == "mirror":
        plate = making.part(
            "a plate", making.rectangle(-350, 300, -250, 381), frame="1000", face="forward", thickness=9
        )
        boat = [notched.frame(plate, lower=-1.4, side=-1)], [notched.batten(slope=(0.05, 0.02), side=-1)]
    elif change == "move":
        moved = notched.batten(slope=(0.05, 0.02), at=5321.0)
        boat = [notched.frame(plate, lower=-1.4, station=5321.0)], [moved]
    else:
        boat = [notched.frame(plate, lower=-1.4)], [notched.batten(slope=(0.05, 0.02))]
        boat[0][0] = replace(boat[0][0], parts=boat[0][0].parts[::-1])
    second = sorted(run(*boat), key=lambda finding: finding.parts)
    assert [f.measured for f in second] == pytest.approx([f.measured for f in first], abs=2e-3)
    assert [f.parts[0] for f in second] == [f.parts[0] for f in first]


def test_a_raked_frame_with_a_batten_square_to_it_measures_the_same():
    # turned about the transverse axis with its batten, the frame's own plane sees nothing new
    rake = 0.2
    square = notched.batten(slope=(0.0, np.tan(rake)), rake=rake)
    (finding,) = run([notched.frame(lower=-1.4, rake=rake)], [square])
    assert finding.measured == pytest.approx(1.4, abs=3e-3)
    assert run([notched.frame(lower=-(LIMIT - INSIDE), rake=rake)], [square]) == []


def test_a_frame_between_sections_is_judged_by_the_curve():
    bare = notched.batten(bare=("1000",))
    (finding,) = run([notched.frame(lower=-0.5)], [bare])
    assert finding.measured == pytest.approx(0.5, abs=3e-3)


def test_the_limit_of_the_plan_counts():
    assert run([notched.frame(lower=-0.5)], [notched.batten()], limits={"notch_foul": 0.51}) == []


def test_a_cure_is_sure_where_the_notch_is_off_the_section_as_drawn_and_not_where_a_station_is_wrong(tmp_path):
    """The pram's transom is sound; with the frame beside it 90 mm off her chine battens come to it askew."""
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content["frames"][2].update(station=1540))
    askew = [f for f in check(open_plan(plan), only=["notch-foul"]) if f.edits]
    drawn = [f for f in check(open_plan(HULLS / "skiff-with-faults"), only=["notch-foul"]) if f.edits]
    assert askew and not any(edit.sure for finding in askew for edit in finding.edits)
    assert drawn and all(edit.sure for finding in drawn for edit in finding.edits)

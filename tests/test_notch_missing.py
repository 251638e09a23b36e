"""Check `notch-missing`."""

import making
import notched
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

MISSING = CHECKS["notch-missing"]


def run(frames, battens, **more):
    return list(MISSING.run(making.assembly(frames, battens=battens, **more)))


@pytest.mark.parametrize("bare", [(), ("1000",)])
def test_a_frame_without_a_notch_is_found_with_or_without_a_drawn_section(bare):
    (finding,) = run([notched.frame(notch=False)], [notched.batten(bare=bare)])
    assert (finding.check, finding.level, finding.frame) == ("notch-missing", Level.ERROR, "1000")
    assert finding.parts == ("F1000 board", "port sheer")
    assert finding.at == pytest.approx((1009, 300, 390))
    assert finding.cure.startswith("cut a notch of 32.0 x 20.0 mm about y 300.0, z 390.0")
    assert finding.source.handle == "board"


@pytest.mark.parametrize("bare", [(), ("1000",)])
def test_the_notch_told_is_what_a_rising_batten_takes_up_through_the_ply(bare):
    # closed form: at angle a through thickness t the batten wants b / cos a + t tan a
    angle = np.radians(10)
    wants = 20 / np.cos(angle) + 18 * np.tan(angle)
    rising = notched.batten(slope=(0.0, np.tan(angle)), bare=bare)
    (finding,) = run([notched.frame(notch=False)], [rising])
    assert finding.cure.startswith(f"cut a notch of 32.0 x {np.ceil(wants * 10) / 10:.1f} mm about")


def test_a_notch_cut_as_told_lets_the_batten_through():
    slanting = notched.batten(slope=(0.06, 0.09))
    (finding,) = run([notched.frame(notch=False)], [slanting])
    words = finding.cure.replace(",", "").split()
    (width, depth), (y, v) = (float(words[4]), float(words[6])), (float(words[10]), float(words[12]))
    left, right, bottom = y - width / 2, y + width / 2, v - depth / 2
    notch = [(right, 400), (right, bottom), (left, bottom), (left, 400)]
    corners = [(0, 0), (600, 0), (600, 400), *notch, (0, 400)]
    board = making.part("board", Outline.of(corners), frame="1000")
    boat = making.assembly([making.frame([board], number="1000")], battens=[slanting])
    assert list(CHECKS["notch-foul"].run(boat)) == []


def test_half_of_the_section_in_wood_is_the_limit():
    # the board's top edge stands past the batten's middle by a hair, or short of it
    for over, count in ((0.01, 1), (-0.01, 0)):
        low = making.frame([making.part("board", making.rectangle(0, 0, 600, 390 + over), frame="1000")], number="1000")
        assert len(run([low], [notched.batten()])) == count


def test_a_frame_with_its_notch_is_silent():
    assert run([notched.frame(lower=-3.0)], [notched.batten()]) == []


def test_a_frame_that_the_batten_passes_clear_of_is_silent():
    low = making.frame([making.part("floor", making.rectangle(0, 0, 600, 100), frame="1000")], number="1000")
    assert run([low], [notched.batten(bare=("1000",))]) == []


def test_a_frame_past_the_end_of_the_batten_is_silent():
    assert run([notched.frame(notch=False, station=2100.0, number="7")], [notched.batten()]) == []


def test_two_core_parts_together_count():
    halves = [
        making.part("a", making.rectangle(0, 0, 300, 400), frame="1000"),
        making.part("b", making.rectangle(300, 0, 600, 400), frame="1000"),
    ]
    (finding,) = run([making.frame(halves, number="1000")], [notched.batten()])
    assert finding.parts == ("F1000 a", "F1000 b", "port sheer")


def test_a_plate_over_the_place_is_named_with_the_core_and_one_beside_it_is_not():
    over = making.part("over", making.rectangle(200, 300, 400, 400), frame="1000", face="forward", thickness=9)
    beside = making.part("beside", making.rectangle(200, 300, 400, 382), frame="1000", face="aft", thickness=9)
    (finding,) = run([notched.frame(over, beside, notch=False)], [notched.batten()])
    assert finding.parts == ("F1000 board", "F1000 over", "port sheer")


def test_mirrored_and_moved_boats_give_the_same():
    (mirrored,) = run([notched.frame(notch=False, side=-1)], [notched.batten(side=-1)])
    assert mirrored.at == pytest.approx((1009, -300, 390))
    (moved,) = run([notched.frame(notch=False, station=4321.0)], [notched.batten(at=4321.0)])
    assert moved.at == pytest.approx((4330, 300, 390))


def test_a_raked_frame_is_found_too():
    (finding,) = run([notched.frame(notch=False, rake=0.2)], [notched.batten(rake=0.2)])
    assert finding.frame == "1000"

"""Check `notch-missing`."""

import making
import notched
import pytest

from scrieve.model.checks import CHECKS
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

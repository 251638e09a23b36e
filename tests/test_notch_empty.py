"""Check `notch-empty`."""

import making
import notched
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

EMPTY = CHECKS["notch-empty"]


def run(*parts, side=1):
    frame = making.frame(parts, number="1000")
    return list(EMPTY.run(making.assembly([frame], battens=[notched.batten(side=side)])))


def board(width=32.0, depth=20.0, side=1):
    """A board with the batten's notch, and another in the same edge 200 mm further inboard."""
    edge = [(316, 400), (316, 380), (284, 380), (284, 400)]
    edge += [(100 + width / 2, 400), (100 + width / 2, 400 - depth), (100 - width / 2, 400 - depth)]
    outline = Outline.of([(0, 0), (600, 0), (600, 400), *edge, (100 - width / 2, 400), (0, 400)])
    return making.part("board", outline if side > 0 else outline.mirrored(), frame="1000")


@pytest.mark.parametrize("side", [1, -1])
def test_a_notch_that_no_batten_comes_to_is_a_warning(side):
    (finding,) = run(board(side=side), side=side)
    assert (finding.level, finding.frame, finding.parts) == (Level.WARNING, "1000", ("F1000 board",))
    assert finding.at == pytest.approx((1009, side * 100, 390))
    assert "200.00 mm off" in finding.message


@pytest.mark.parametrize(
    ("width", "depth", "level"),
    [(27.0, 20.0, Level.WARNING), (48.0, 20.0, Level.WARNING), (60.0, 20.0, Level.NOTE), (32.0, 8.0, Level.NOTE)],
)
def test_a_notch_that_no_batten_of_the_boat_fits_is_told_and_no_more_than_a_note_where_it_is_like_none(
    width, depth, level
):
    (finding,) = run(board(width, depth))
    assert finding.level is level
    assert ("none of the boat fits it" in str(finding.message)) == (width != 48.0)


def test_an_opening_is_no_notch():
    assert run(board(120.0, 100.0)) == []


def test_what_a_neighbour_fills_is_a_joint():
    tenon = making.part("post", making.rectangle(84, 380, 116, 700), frame="1000")
    assert run(board(), tenon) == []


@pytest.mark.parametrize(("width", "depth"), [(70.0, 30.0), (14.0, 20.0), (32.0, 60.0)])
def test_a_notch_of_another_size_where_the_batten_would_run_on_is_told(width, depth):
    left, right = 300 - width / 2, 300 + width / 2
    edge = [(600, 400), (right, 400), (right, 400 - depth), (left, 400 - depth), (left, 400), (0, 400)]
    end = making.part("board", Outline.of([(0, 0), (600, 0), *edge]), frame="3000")
    boat = making.assembly([making.frame([end], number="3000", station=3000.0)], battens=[notched.batten()])
    (finding,) = EMPTY.run(boat)
    assert (finding.frame, finding.parts) == ("3000", ("F3000 board",))
    assert f"{max(width, depth):.1f} x {min(width, depth):.1f} mm" in finding.message

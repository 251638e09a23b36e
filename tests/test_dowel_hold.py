"""Check `dowel-hold`."""

import dowelled
import making
import notched
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

HOLD = CHECKS["dowel-hold"]
GAP, R = 0.3, 5.0
EVERY = tuple(dowelled.places())


def run(frame, limits=None):
    return list(HOLD.run(making.assembly([frame], limits=limits)))


def missing(*names, **more):
    return dowelled.frame(at=dowelled.places(without=names).values(), **more)


def test_boards_between_dowels_hold_one_another():
    """Neither is held by its own four dowels alone: each can slide towards the other, and only together they cannot."""
    assert run(missing()) == []


@pytest.mark.parametrize(
    ("name", "part", "way"),
    [
        ("port end", "F5 port board", "slide to port"),
        ("starboard end", "F5 starboard board", "slide to starboard"),
        ("port above", "F5 port board", "slide up"),
        ("starboard above", "F5 starboard board", "slide up"),
    ],
)
def test_a_board_that_lacks_a_dowel_can_slide(name, part, way):
    (finding,) = run(missing(name))
    assert (finding.check, finding.level, finding.frame) == ("dowel-hold", Level.ERROR, "5")
    assert finding.parts == (part,)
    assert finding.measured is None and finding.limit is None
    assert finding.message == f"the dowels and neighbours do not locate {part}: it can still {way}"
    assert finding.source.handle == part.removeprefix("F5 ")


def test_without_any_dowel_below_it_a_board_can_slide_down():
    (finding,) = run(missing("port below, in", "port below, out"))
    assert "slide down" in finding.message


def test_without_dowels_above_and_below_it_slides_both_ways():
    (finding,) = run(missing("port below, in", "port below, out", "port above"))
    assert finding.message.endswith("it can still slide up or down")


def test_a_board_with_nothing_about_it_is_told_so():
    far = making.part("spare", making.rectangle(1000, 0, 1100, 100))
    (finding,) = run(dowelled.frame([*dowelled.boards(), far]))
    assert finding.message == "the dowels and neighbours do not locate F5 spare: it has nothing to lie against"


def test_one_that_can_only_turn_is_told_where_about():
    """Pushed at the middles of its four sides a rectangle turns about its middle, and in no other way."""
    alone = making.part("plate", making.rectangle(1000, 0, 1300, 100))
    round_it = [(1150, -R), (1150, 100 + R), (1000 - R, 50), (1300 + R, 50)]
    (finding,) = run(dowelled.frame([*dowelled.boards(), alone], at=[*dowelled.places().values(), *round_it]))
    assert finding.parts == ("F5 plate",)
    assert "turn about y 1150.0, z 50.0, its corner at y " in finding.message


def test_what_leans_on_a_loose_part_is_not_named_as_well():
    strip = making.part("strip", making.rectangle(-300, 100, 300, 140))
    at = [*dowelled.places(without=["port above", "starboard above"]).values(), (300 + R, 120), (-300 - R, 120)]
    (finding,) = run(dowelled.frame([*dowelled.boards(), strip], at=at))
    assert finding.parts == ("F5 strip",)
    assert "slide up" in finding.message
    assert run(dowelled.frame([*dowelled.boards(), strip], at=[*at, (0, 140 + R)])) == []


def fork(*ends):
    """A part between the prongs of another, held up and down; and dowels at these ends of the fork."""
    prongs = [(-200, 0), (200, 0), (200, 150), (100, 150), (100, 50), (-100, 50), (-100, 150), (-200, 150)]
    parts = [making.part("fork", Outline.of(prongs)), making.part("tongue", making.rectangle(-100, 50, 100, 200))]
    at = [(-150, -R), (150, -R), (150, 150 + R), (-150, 150 + R), (0, 200 + R)]
    return dowelled.frame(parts, at=[*at, *ends])


def test_parts_that_hold_one_another_but_can_move_together_give_one_finding():
    (finding,) = run(fork())
    assert finding.parts == ("F5 fork", "F5 tongue")
    assert finding.message == (
        "the dowels do not locate F5 fork and F5 tongue: they hold one another, but moving together "
        "F5 fork can still slide to port or to starboard"
    )
    assert run(fork((200 + R, 75), (-200 - R, 75))) == []


def end_off(gap, **more):
    """The port board `gap` short of its end dowel, which stands against a third board and so touches something."""
    port = making.part("port board", making.rectangle(0, 0, 300 - gap, 100))
    beyond = making.part("beyond", making.rectangle(310, 0, 400, 100))
    at = [*dowelled.places().values(), (330, -R), (380, -R), (355, 100 + R), (400 + R, 50)]
    return dowelled.frame([port, dowelled.boards()[1], beyond], at=at, **more)


@pytest.mark.parametrize("gap", [0.0, 0.8 * GAP, GAP - 0.01])
def test_a_dowel_within_the_gap_of_the_wall_holds(gap):
    assert run(end_off(gap)) == []


@pytest.mark.parametrize("gap", [GAP + 0.01, 1.25 * GAP, 2.0])
def test_one_further_off_does_not(gap):
    (finding,) = run(end_off(gap))
    assert finding.parts == ("F5 port board",)
    assert "slide to port" in finding.message


def test_the_gap_of_the_plan_counts():
    assert run(end_off(0.9), {"dowel_gap": 1.0}) == []
    assert len(run(end_off(0.2), {"dowel_gap": 0.1})) == 1


@pytest.mark.parametrize("name", EVERY)
def test_the_cure_cures(name):
    for finding in run(missing(name)):
        more = dowelled.places_in(finding.cure)
        assert more
        assert run(dowelled.frame(at=[*dowelled.places(without=[name]).values(), *more])) == []


@pytest.mark.parametrize("name", ["port end", "port above"])
def test_mirrored_moved_raked_and_reordered_boats_give_the_same(name):
    (straight,) = run(missing(name))
    for more in ({"station": -3000.0}, {"rake": 0.2}):
        (finding,) = run(missing(name, **more))
        assert (finding.parts, finding.message, finding.cure) == (straight.parts, straight.message, straight.cure)
    (mirrored,) = run(missing(name, side=-1))
    assert mirrored.parts == straight.parts
    swapped = straight.message.replace("slide to port", "slide to starboard")
    assert mirrored.message == swapped
    backwards = dowelled.frame(dowelled.boards()[::-1], at=list(dowelled.places(without=[name]).values())[::-1])
    assert run(backwards) == [straight]


def test_a_turned_frame_is_judged_alike():
    angle = 0.7
    for names in ((), ("port end",), ("starboard above",)):
        at = dowelled.places(without=names).values()
        parts = [making.part(p.label, p.drawn.turned(angle)) for p in dowelled.boards()]
        turned = dowelled.frame(parts, at=making.turned(at, angle))
        assert [f.parts for f in run(turned)] == [f.parts for f in run(missing(*names))]


def test_one_board_wants_nothing_to_locate_it_and_a_frame_without_dowels_is_not_judged():
    assert run(dowelled.frame(dowelled.boards()[:1], at=[(50, -R)])) == []
    assert run(dowelled.frame(at=[])) == []


@pytest.mark.parametrize("off", [-2.0, 1.0, 8.0])
def test_a_part_at_which_a_dowel_is_wrong_is_left_to_the_check_dowel(off):
    at = dowelled.places() | {"port end": (300 + R + off, 50)}
    frame = dowelled.frame(at=at.values())
    assert run(frame) == []
    assert len(list(CHECKS["dowel"].run(making.assembly([frame])))) == 1


def test_an_open_joint_is_left_to_joint_gap():
    parts = [making.part("port board", making.rectangle(2, 0, 300, 100)), dowelled.boards()[1]]
    assert run(dowelled.frame(parts)) == []


def open_frame():
    """A floor and two upright sides, joints at 45 degrees, square notches for chine and sheer; and its dowels.

    Dowels: three round the floor, and to each side one in the chine, one at the sheer and one low on the outside.
    """
    floor = Outline.of([(-270, 0), (270, 0), (270, 30), (200, 100), (-200, 100), (-270, 30)])
    side = Outline.of([(270, 30), (300, 30), (300, 370), (270, 370), (270, 400), (200, 400), (200, 100)])
    parts = [making.part("floor", floor), making.part("port side", side)]
    parts.append(making.part("starboard side", side.mirrored()))
    port = [(275, 25), (275, 375), (305, 60)]
    return parts, [(150, -R), (-150, -R), (0, 105), *port, *((-y, v) for y, v in port)]


def test_an_open_frame_by_hand():
    """About the sheer dowel's middle the joint turns the side the one way only, at 340 and 200 times its push.

    The dowels above and below run through that point. Only the low one, at 315 times its push, turns it back.
    """
    parts, at = open_frame()
    assert run(dowelled.frame(parts, at=at)) == []
    (finding,) = run(dowelled.frame(parts, at=[place for place in at if place != (305, 60)]))
    assert finding.parts == ("F5 port side",)
    assert "it can still turn about" in finding.message
    assert dowelled.places_in(finding.cure)


def test_the_places_of_a_cure_leave_room_for_other_frames():
    short = missing("port end")
    first = HOLD.run(making.assembly([short]))
    (at,) = dowelled.places_in(next(iter(first)).cure)
    other = dowelled.frame(at=[*dowelled.places().values(), (at[0] + 8, at[1])], number="6", station=2000.0)
    (finding,) = [f for f in HOLD.run(making.assembly([short, other])) if f.frame == "5"]
    (there,) = dowelled.places_in(finding.cure)
    assert np.hypot(there[0] - at[0] - 8, there[1] - at[1]) >= 20.0 - 0.05


def notched_frame(**walls):
    """The board of `notched`, dowels in its notch's corners where they ought to be and below it; one butted to it."""
    board = notched.frame(**walls).parts[0]
    beside = making.part("beside", making.rectangle(600, 0, 700, 400), frame="1000")
    (y, v), (half, low) = notched.CENTRE, (notched.LONG / 2 - R, notched.SHORT / 2 - R)
    at = [(y + half, v - low), (y - half, v - low), (100, -R), (500, -R)]
    at += [(620, -R), (680, -R), (650, 400 + R), (700 + R, 200)]
    return dowelled.frame([board, beside], at=at, number="1000")


def held_in_notch(frame, *battens):
    return list(HOLD.run(making.assembly([frame], battens=battens)))


def test_a_notch_too_deep_for_batten_and_dowels_alike_is_left_to_notch_slack():
    assert held_in_notch(notched_frame()) == []
    (finding,) = held_in_notch(notched_frame(lower=2.5))
    assert finding.parts == ("F1000 board",)
    assert "slide up" in finding.message
    assert held_in_notch(notched_frame(lower=2.5), notched.batten()) == []
    # the batten is not loose yet, so nobody else would tell
    assert len(held_in_notch(notched_frame(lower=0.8), notched.batten())) == 1


def test_parts_that_a_gusset_says_should_butt_are_taken_to():
    port = making.part("port board", making.rectangle(8, 0, 300, 100))
    parts = [port, dowelled.boards()[1]]
    assert len(run(dowelled.frame(parts))) >= 1
    gusset = making.part("gusset", making.rectangle(-80, 0, 80, 100), face="forward")
    assert run(dowelled.frame([*parts, gusset])) == []
    assert len(list(CHECKS["joint-gap"].run(making.assembly([dowelled.frame([*parts, gusset])])))) == 1

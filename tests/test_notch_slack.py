"""Check `notch-slack`."""

import making
import notched
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

SLACK = CHECKS["notch-slack"]
LIMIT = 1.0
ASTRAY = "look first whether a part of F1000 is missing, was not read or lies in a wrong place"
INSIDE = 0.01


def run(frames, battens, **more):
    return list(SLACK.run(making.assembly(frames, battens=battens, **more)))


def amiss(*boat):
    return [finding for finding in run(*boat) if finding.level is not Level.NOTE]


@pytest.mark.parametrize(("wall", "way"), [("lower", "up"), ("port", "to starboard"), ("starboard", "to port")])
@pytest.mark.parametrize("arris", [0.0, 5.0, 10.0])
def test_seeded_slack_is_found_past_the_limit_and_silent_below(wall, way, arris):
    batten = notched.batten(arris=arris)
    (finding,) = run([notched.frame(**{wall: 1.25 * LIMIT})], [batten])
    assert (finding.check, finding.level, finding.frame) == ("notch-slack", Level.ERROR, "1000")
    assert finding.measured == pytest.approx(1.25 * LIMIT, abs=1e-9)
    assert (finding.limit, finding.unit) == (LIMIT, "mm")
    assert finding.parts == ("F1000 board", "port sheer")
    assert finding.cure == f"bring the {wall} wall 1.2 mm {way}"
    assert finding.source.handle == "port sheer"
    for gap in (0.8 * LIMIT, LIMIT - INSIDE, LIMIT, 0.0, -0.2):
        assert run([notched.frame(**{wall: gap})], [batten]) == []


@pytest.mark.parametrize("gap", [2.504, 1.39, 1.25, 3.0])
def test_the_wall_brought_as_told_does_not_bite(gap):
    # rounded up, 2.504 mm of slack became "2.6 mm": a tenth of bite
    (finding,) = run([notched.frame(lower=gap)], [notched.batten()])
    told = float(finding.cure.removeprefix("bring the lower wall ").removesuffix(" mm up"))
    assert gap - 0.1 < told <= gap


def test_the_open_mouth_of_a_notch_is_no_wall():
    assert run([notched.frame()], [notched.batten()]) == []


def test_loose_walls_of_one_notch_are_one_finding():
    (finding,) = run([notched.frame(lower=1.5, port=3.0)], [notched.batten()])
    assert finding.measured == pytest.approx(3.0)
    assert "1.50 mm off the lower wall and 3.00 mm off the port wall" in finding.message
    assert "the lower wall 1.5 mm up and the port wall 3.0 mm to starboard" in finding.cure


def test_a_slanting_batten_meets_its_wall_where_it_comes_nearest():
    # closed form: between the faces the batten's port side runs from b / (2 cos a) to that + t tan a
    angle = np.radians(10)
    reach = 16 / np.cos(angle) + 18 * np.tan(angle) - 16
    batten = notched.batten(slope=(np.tan(angle), 0.0))
    starboard = 16 / np.cos(angle) - 16
    (finding,) = run([notched.frame(port=reach + 1.3, starboard=starboard)], [batten])
    assert finding.measured == pytest.approx(1.3, abs=1e-9)
    assert run([notched.frame(port=reach + LIMIT - INSIDE, starboard=starboard)], [batten]) == []


@pytest.mark.parametrize("off", [9.9, 10.1, 25.0, 31.9])
@pytest.mark.parametrize("wall", ["port", "starboard"])
def test_a_wall_far_off_is_still_the_wall_of_its_notch(wall, off):
    # It once fell silent past half the short side, 10 mm, as though the wall were something else: but the wood
    # across the batten and the bottom between them show that it is the other wall of one notch.
    (finding,) = run([notched.frame(**{wall: off})], [notched.batten()])
    assert finding.measured == pytest.approx(off)
    assert f"off the {wall} wall" in finding.message


@pytest.mark.parametrize("off", [12.0, 31.0])
def test_two_walls_far_off_either_side_of_the_bottom_are_loose(off):
    (finding,) = run([notched.frame(port=off, starboard=off)], [notched.batten()])
    assert finding.measured == pytest.approx(off)
    assert "port wall" in finding.message
    assert "starboard wall" in finding.message


@pytest.mark.parametrize("deep", [9.9, 10.1, 20.0, 31.9])
def test_a_notch_too_deep_is_found_by_its_two_sides(deep):
    (finding,) = run([notched.frame(lower=deep)], [notched.batten()])
    assert finding.measured == pytest.approx(deep)
    assert finding.cure == f"bring the lower wall {deep:.1f} mm up"


def test_wood_past_the_long_side_is_no_wall():
    assert run([notched.frame(port=32.1)], [notched.batten()]) == []
    assert run([notched.frame(lower=32.1)], [notched.batten()]) == []


def slotted(opening, *, port=0.0):
    """A board with a slot of this width, which ends 290 mm below the batten that lies against its port edge."""
    right = 316 + port
    left = right - opening
    corners = [(0, 0), (600, 0), (600, 800), (right, 800), (right, 90), (left, 90), (left, 800), (0, 800)]
    return making.frame([making.part("board", Outline.of(corners), frame="1000")], number="1000")


@pytest.mark.parametrize("opening", [45.0, 55.0])
def test_the_other_edge_of_an_opening_is_no_wall(opening):
    # 13 and 23 mm off, but the opening runs on 290 mm and more either way: no notch joins the two edges
    assert amiss([slotted(opening)], [notched.batten()]) == []
    (finding,) = run([slotted(opening, port=1.5)], [notched.batten()])
    assert finding.measured == pytest.approx(1.5)


def test_a_lip_of_another_part_across_the_batten_is_no_wall():
    # the batten lies in a rebate, and a post that the rebate's wood does not run on to stands 20 mm from it
    rebate = Outline.of([(284, 0), (600, 0), (600, 400), (316, 400), (316, 380), (284, 380)])
    post = making.part("post", making.rectangle(240, 300, 264, 460), frame="1000")
    frame = making.frame([making.part("board", rebate, frame="1000"), post], number="1000")
    assert run([frame], [notched.batten()]) == []


def rebate(step, number="1000", station=1000.0):
    """Wood on the lower side, a step so far off to port, nothing to starboard."""
    outline = Outline.of([(0, 0), (900, 0), (900, 420), (316 + step, 420), (316 + step, 380), (0, 380)])
    return making.frame([making.part("board", outline, frame=number)], number=number, station=station)


def test_a_batten_that_no_frame_holds_on_two_sides_is_laid_on():
    (note,) = run([rebate(20.0)], [notched.batten()])
    assert note.level is Level.NOTE
    assert note.message == "the port sheer is held in F1000 by its lower wall only: its port wall is 20.00 mm off"


def flat(number, *, side=1):
    """A board with a straight top, on which the batten lies."""
    station = float(number)
    return notched.frame(number=number, station=station, side=side, notch=False, lower=0.0)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("numbers", [("1000",), ("0", "1000"), ("0", "1000", "2000")])
def test_what_lies_on_frames_without_notches_is_one_note_of_them_all(numbers, side):
    laid = notched.batten(centre=(300, 410), side=side)
    (note,) = run([flat(number, side=side) for number in numbers], [laid])
    assert note.level is Level.NOTE and note.edits == ()
    frames = [f"F{number}" for number in numbers]
    hold = " and ".join([", ".join(frames[:-1]), frames[-1]] if frames[1:] else frames)
    assert f"{hold} hold{'s' if len(frames) == 1 else ''} it by its lower wall only" in note.message
    assert "bring" not in note.cure and note.cure.startswith("none needed where it is meant to lie on the frames")


@pytest.mark.parametrize("far, frames", [(20.0, ["F0", "F1000"]), (200.0, ["F0", "F1000", "F2000"])])
def test_where_a_wall_is_near_it_may_be_a_notch_and_is_told_apart(far, frames):
    laid = notched.batten()
    found = run([rebate(200.0, "0", 0.0), rebate(200.0), rebate(far, "2000", 2000.0)], [laid])
    assert [" only: its port wall is 20.00 mm off" in note.message for note in found] == [True, False][far > 20 :]
    assert all(frame in found[-1].message for frame in frames)
    assert ("F2000" in found[-1].message) is (far > 20)


def test_one_frame_without_a_notch_among_notched_ones_is_an_error_still():
    laid = notched.batten(centre=(300, 390))
    frames = [notched.frame(number="0", station=0.0), notched.frame(number="2000", station=2000.0), rebate(200.0)]
    assert [(f.level, f.frame) for f in run(frames, [laid])] == [(Level.ERROR, "1000")]


@pytest.mark.parametrize("off", [10.1, 12.0, 39.9, 40.1, 200.0])
def test_the_second_wall_of_a_rebate_is_looked_for_at_any_distance(off):
    true = notched.frame(number="2000", station=2000.0)
    (finding,) = run([rebate(off), true], [notched.batten()])
    assert (finding.level, finding.frame) == (Level.ERROR, "1000")
    assert finding.measured == pytest.approx(off)
    told = f"bring the port wall {off:.1f} mm to starboard, or move the batten to its notch"
    assert finding.cure == (told if off <= 2 * notched.SHORT else ASTRAY)
    assert run([rebate(0.9), true], [notched.batten()]) == []


def test_a_batten_that_meets_no_wall_at_all_is_one_finding():
    (finding,) = run([notched.frame(port=14, starboard=14, lower=12)], [notched.batten()])
    assert finding.measured == pytest.approx(12)
    assert finding.parts == ("F1000 board", "port sheer")
    assert "meets no wall" in finding.message
    assert "12.0 mm up" in finding.cure


def test_a_batten_far_from_any_wood_meets_none():
    (finding,) = run([notched.frame(port=80, starboard=80, lower=90)], [notched.batten()])
    assert finding.measured == pytest.approx(80)


def test_a_batten_resting_on_less_than_half_of_its_side_is_not_adrift():
    post = Outline.of([(290, 0), (296, 0), (296, 380), (290, 380)])
    frame = making.frame([making.part("post", post, frame="1000")], number="1000")
    assert amiss([frame], [notched.batten()]) == []


def test_wood_in_corners_does_not_hide_slack():
    (finding,) = run([notched.frame(lower=1.5, cutter=10.0)], [notched.batten()])
    assert finding.measured == pytest.approx(1.5)


def test_only_the_core_counts():
    plate = making.part("plate", making.rectangle(200, 300, 400, 380), frame="1000", face="forward", thickness=9)
    leg = making.part("leg", making.rectangle(290, 300, 310, 380), frame="1000", role="leg")
    (finding,) = run([notched.frame(plate, leg, lower=2.0)], [notched.batten()])
    assert finding.measured == pytest.approx(2.0)


def test_a_notch_without_a_drawn_section_is_judged_where_the_curve_passes():
    bare = notched.batten(bare=("1000",))
    (finding,) = run([notched.frame(lower=2.0)], [bare])
    assert finding.measured == pytest.approx(2.0)
    assert finding.source.line == 1  # the frame's: there is no section to point to
    assert run([notched.frame(lower=0.9)], [bare]) == []


def test_a_frame_that_a_batten_passes_without_a_section_holds_it_or_lies_well_clear():
    bare = notched.batten(bare=("1000",))

    def told(top):
        floor = making.part("floor", making.rectangle(0, 0, 600, top), frame="1000")
        others = [notched.frame(number=number, station=station) for number, station in (("0", 0.0), ("2000", 2000.0))]
        return run([making.frame([floor], number="1000"), *others], [bare])

    for top in (375, 365, 349):
        (near,) = told(top)
        assert (near.level, near.frame, near.measured) == (Level.ERROR, "1000", pytest.approx(380 - top))
    (clear,) = told(347)
    assert (clear.level, clear.message) == (
        Level.NOTE,
        "the port sheer passes F1000 clear of all wood: nothing holds it there",
    )


@pytest.mark.parametrize(
    ("stands", "level"),
    [(1.25, Level.WARNING), (-1.25, Level.NOTE), (3.0, Level.WARNING), (-3.0, Level.NOTE), (9.0, Level.ERROR)],
)
def test_a_batten_out_of_all_mouths_alike_is_told_once(stands, level):
    # as a section in the plan that is too thick or too thin along the open side
    frames = [notched.frame(number=f"{x:g}", station=x) for x in (0.0, 1000.0, 2000.0)]
    batten = notched.batten(short=notched.SHORT + stands, centre=(300.0, 390.0 + stands / 2))
    (finding,) = run(frames, [batten])
    assert finding.level is level
    assert finding.measured == pytest.approx(abs(stands))
    assert ("stands" if stands > 0 else "lies") in finding.message
    assert "in 3 frames" in finding.message
    small = np.sign(stands) * (LIMIT - INSIDE)
    assert run(frames, [notched.batten(short=notched.SHORT + small, centre=(300.0, 390.0 + small / 2))]) == []


@pytest.mark.parametrize("deeper", [1.25, -1.25, 3.0, 30.0])
def test_one_notch_that_is_deeper_than_the_others_is_told(deeper):
    def boat(by):
        walls = {"0": 0.0, "1000": by, "2000": 0.0, "3000": 0.0}
        frames = [notched.frame(number=n, station=float(n), lower=by) for n, by in walls.items()]
        sections = [making.section("port sheer", (300.0, 390.0 - by), frame=n) for n, by in walls.items()]
        return frames, making.batten("port sheer", sections, [f.placement for f in frames], arris=0.0)

    frames, batten = boat(deeper)
    (finding,) = run(frames, [batten])
    assert (finding.level, finding.frame, finding.measured) == (
        Level.ERROR,
        "1000",
        pytest.approx(abs(deeper), abs=0.15),
    )
    frames, batten = boat(0.8 * np.sign(deeper))
    assert run(frames, [batten]) == []


def test_of_two_battens_in_one_notch_only_the_outer_one_is_at_its_mouth():
    inner = notched.batten(centre=(300.0, 370.0))
    outer = notched.batten()
    outer = making.batten("port hog", outer.sections, outer.placements, long=32.0, short=20.0, arris=0.0)
    frames = [notched.frame(number=f"{x:g}", station=x, lower=20.0) for x in (0.0, 1000.0, 2000.0)]
    assert [f for f in run(frames, [inner, outer]) if "mouth" in f.message] == []


@pytest.mark.parametrize("step", [0.3, 1.0, 1.9])
def test_a_recess_in_the_bottom_of_a_notch_makes_it_no_shallower(step):
    """One side of the notch and the other of the recess, which is a little narrower, are no walls of one notch."""
    left, right, deep, deeper = 284.0, 316.0, 380.0, 375.5
    corners = [(0, 0), (600, 0), (600, 400), (right, 400), (right, deep), (right - step, deep), (right - step, deeper)]
    corners += [(left + step, deeper), (left + step, deep), (left, deep), (left, 400), (0, 400)]
    floor = making.part("floor", Outline.of(corners), frame="1000")
    others = [notched.frame(number=number, station=station) for number, station in (("0", 0.0), ("2000", 2000.0))]
    found = run([making.frame([floor], number="1000"), *others], [notched.batten()])
    assert [finding.message for finding in found if "mouth" in finding.message] == []


def at_the_sheer(kind, flare, *, out=0.0, up=0.0):
    """Findings at corners of two walls at the top of level-topped sides, each with a batten tilted with their flare.

    The corners are cut for a batten whose upper outer corner is that of the side; it stands `out` past the side's outer
    line, and `up` along it, and the corner is as much shallower.
    """
    along, outward = np.array([np.sin(flare), np.cos(flare)]), np.array([np.cos(flare), -np.sin(flare)])
    tip = np.array([300.0, 400.0])
    wall = tip - along * (38 - up) - outward * (19 - out)
    top = wall + along * ((400 - wall[1]) / np.cos(flare))
    foot = tip - along * (400 / np.cos(flare))
    mouth = wall + outward * (19 - out)
    outline = Outline.of([foot, mouth, wall, top, top - [60, 0], foot - [120, 0]])
    frames, sections = [], []
    for number in ("0", "1000", "2000"):
        core = [making.part(f"{half} side", each, frame=number)
                for half, each in (("port", outline), ("starboard", outline.mirrored()))]  # fmt: skip
        core.append(making.part("floor", making.rectangle(120 - foot[0], 0, foot[0] - 120, 60), frame=number))
        frames.append(making.frame(core, number=number, station=float(number), kind=kind))
        middle = tip - along * (19 - up) - outward * (9.5 - out)
        angle = float(np.arctan2(*along[::-1]))
        sections.append(making.section("port sheer", tuple(middle.tolist()), angle=angle, frame=number))
    placements = [frame.placement for frame in frames]
    return run(frames, [making.batten("port sheer", sections, placements, long=38.0, short=19.0, arris=3.0)])


@pytest.mark.parametrize("kind", ["open", "ring"])
@pytest.mark.parametrize("flare", [0.0, 0.25, 0.45])
def test_a_batten_in_a_corner_of_two_walls_leans_out_of_no_mouth(kind, flare):
    """Tilted with the flare its upper inner corner stands up to 8 mm above the level top; it is planed down there."""
    assert at_the_sheer(kind, flare) == []
    assert at_the_sheer(kind, flare, out=0.8) == []
    (finding,) = at_the_sheer(kind, flare, out=2.0)
    assert (finding.level, finding.measured) == (Level.WARNING, pytest.approx(2.0, abs=1e-6))


@pytest.mark.parametrize("kind", ["open", "ring"])
@pytest.mark.parametrize("flare", [0.0, 0.25])
def test_a_batten_past_the_top_of_a_corner_of_two_walls_with_all_its_breadth_is_told(kind, flare):
    (finding,) = at_the_sheer(kind, flare, up=3.0)
    assert finding.measured == pytest.approx(3.0 * np.cos(flare), abs=1e-6)
    assert at_the_sheer(kind, flare, up=0.9) == []


def test_frames_without_a_notch_are_not_judged():
    assert run([notched.frame(notch=False)], [notched.batten()]) == []


def test_two_parts_that_make_one_wall_count_together():
    left = making.part("left", making.rectangle(280, 0, 300, 378.5), frame="1000")
    right = making.part("right", making.rectangle(300, 0, 320, 378.5), frame="1000")
    (finding,) = run([making.frame([left, right], number="1000")], [notched.batten()])
    assert finding.parts == ("F1000 left", "F1000 right", "port sheer")
    assert finding.measured == pytest.approx(1.5)


def test_mirrored_moved_and_raked_boats_give_the_same():
    walls = {"lower": 1.4, "port": 2.2}
    (first,) = run([notched.frame(**walls)], [notched.batten()])
    (mirrored,) = run([notched.frame(side=-1, **walls)], [notched.batten(side=-1)])
    (moved,) = run([notched.frame(station=5321.0, **walls)], [notched.batten(at=5321.0)])
    rake = 0.2
    (raked,) = run([notched.frame(rake=rake, **walls)], [notched.batten(slope=(0.0, np.tan(rake)), rake=rake)])
    for other in (mirrored, moved, raked):
        assert other.measured == pytest.approx(first.measured, abs=1e-9)
    assert mirrored.cure == "bring the lower wall 1.4 mm up and the starboard wall 2.2 mm to port"
    assert raked.cure == first.cure


@pytest.mark.parametrize("angle", [0.4, 1.2, -0.7])
def test_turned_notches_measure_the_same(angle):
    around = np.array(notched.CENTRE)
    outline = notched.board_outline(lower=1.4)
    turned = outline.moved(tuple(-around)).turned(angle).moved(tuple(around))
    board = making.part("board", turned, frame="1000")
    sections = [making.section("port sheer", notched.CENTRE, angle=angle, frame=f"{x}") for x in (0, 1000, 2000)]
    batten = making.batten("port sheer", sections, notched.batten().placements, arris=5)
    (finding,) = run([making.frame([board], number="1000")], [batten])
    assert finding.measured == pytest.approx(1.4, abs=1e-9)


@pytest.mark.parametrize(("loose", "told"), [(1.25, True), (0.8, False)])
def test_slack_is_measured_to_the_eased_side(loose, told):
    # a batten that is nearly round in a notch whose corners the cutter rounds: the fillets come nearer to the
    # uneased rectangle than the wood comes to the batten
    left, right, bottom, top, r = 300 - 21, 300 + 21 + loose, 390 - 7.3, 390 + 7.3, 6.0
    b = -np.tan(np.pi / 8)
    corners = [(0, 0), (600, 0), (600, top), (right, top), (right, bottom + r), (right - r, bottom), (left + r, bottom)]
    outline = Outline.of([*corners, (left, bottom + r), (left, top), (0, top)], [0, 0, 0, 0, b, 0, b, 0, 0, 0])
    frame = making.frame([making.part("board", outline, frame="1000")], number="1000")
    found = run([frame], [notched.batten(long=42.0, short=14.6, arris=7.0)])
    assert [f.measured for f in found] == ([pytest.approx(loose, abs=1e-6)] if told else [])

"""Check `joint-gap`."""

from dataclasses import replace

import legged
import making
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.cut import as_cut
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

GAP = CHECKS["joint-gap"]
LIMIT = 0.5


def run(frame, limits=None):
    return list(GAP.run(making.assembly([frame], limits=limits)))


def ring(gap, *, mirror=False, thickness=18.0, station=1000.0, rake=0.0, order=1):
    """A floor between two sides, `gap` short of the port one."""
    parts = [
        making.part("floor", making.rectangle(-400, 0, 400, 100)),
    ]
    port = (400 + gap, -100, 500 + gap, 600)
    starboard = (-500, -100, -400, 600)
    if mirror:
        port, starboard = (-500 - gap, -100, -400 - gap, 600), (400, -100, 500, 600)
    parts.append(making.part("port side", making.rectangle(*port), thickness=thickness))
    parts.append(making.part("starboard side", making.rectangle(*starboard)))
    return making.frame(parts[::order], station=station, rake=rake)


@pytest.mark.parametrize("gap", [LIMIT * 1.25, -LIMIT * 1.25, 2.0, -2.0])
def test_an_open_or_overlapping_joint_is_found(gap):
    (finding,) = run(ring(gap))
    assert finding.check == "joint-gap"
    assert finding.level is Level.ERROR
    assert finding.measured == pytest.approx(abs(gap), abs=1e-9)
    assert (finding.limit, finding.unit, finding.frame) == (LIMIT, "mm", "5")
    assert finding.parts == ("F5 floor", "F5 port side")
    assert finding.at == pytest.approx((1009, 400 + gap / 2, 50))
    assert ("apart" if gap > 0 else "overlap") in finding.message
    assert ("lengthen F5 floor" if gap > 0 else "shorten F5 floor") in finding.cure
    assert finding.source.handle == "floor"


@pytest.mark.parametrize("gap", [0.0, LIMIT - 0.01, -(LIMIT - 0.01), LIMIT, 0.8 * LIMIT])
def test_a_joint_within_the_limit_is_not(gap):
    assert run(ring(gap)) == []


def test_the_limit_of_the_plan_counts():
    assert run(ring(0.9), {"joint_gap": 1.0}) == []
    assert len(run(ring(0.9), {"joint_gap": 0.8})) == 1


def test_mirrored_moved_raked_and_reordered_boats_give_the_same():
    (straight,) = run(ring(0.8))
    for other in (ring(0.8, mirror=True), ring(0.8, station=-3000), ring(0.8, rake=0.3), ring(0.8, order=-1)):
        (finding,) = run(other)
        assert finding.measured == pytest.approx(straight.measured, abs=1e-9)
        assert "lengthen F5 floor, or F5 port side, by 0.8 mm" in finding.cure
    assert run(ring(0.8, order=-1)) == [straight]


@pytest.mark.parametrize(("thickness", "step"), [(12.0, 6.0), (18.6, 0.6)])
def test_parts_of_different_thickness_that_butt_are_found(thickness, step):
    (finding,) = run(ring(0.0, thickness=thickness))
    assert finding.measured == pytest.approx(step)
    assert "step" in finding.message


def test_a_step_within_the_limit_is_not():
    assert run(ring(0.0, thickness=18.0 + LIMIT - 0.01)) == []


def test_a_joint_that_gapes_at_one_end_tells_what_to_add_where():
    floor = making.part("floor", Outline.of([(-400, 0), (400, 0), (399, 100), (-400, 100)]))
    side = making.part("port side", making.rectangle(400, -100, 500, 600))
    (finding,) = run(making.frame([floor, side]))
    assert finding.measured == pytest.approx(1.0, abs=1e-3)
    assert "recut the end of F5 floor: add 1.0 mm at y 399.5, z 100.0" in finding.cure


def test_an_end_that_gapes_from_a_true_corner_tells_only_where_to_add():
    # it used to go on "and take off 0.0 mm at ..."
    floor = making.part("floor", Outline.of([(-400, 0), (400, 0), (399, 100), (-400, 100)]))
    side = making.part("port side", making.rectangle(400, -100, 500, 600))
    (finding,) = run(making.frame([floor, side]))
    assert finding.cure == "recut the end of F5 floor: add 1.0 mm at y 399.5, z 100.0"
    (finding,) = run(making.frame([floor, making.part("port side", making.rectangle(399.49, -100, 500, 600))]))
    assert "add 0.5 mm" in finding.cure
    assert "take off 0.5 mm" in finding.cure


def test_a_wedge_under_a_twentieth_is_told_to_the_hundredth():
    floor = making.part("floor", Outline.of([(-400, 0), (400, 0), (399.96, 100), (-400, 100)]))
    side = making.part("port side", making.rectangle(400, -100, 500, 600))
    (finding,) = run(making.frame([floor, side]), {"joint_gap": 0.02})
    assert "add 0.04 mm at" in finding.cure


def test_a_leg_short_of_the_floor_it_butts_under_is_found():
    floor = making.part("floor", making.rectangle(-400, 100, 400, 200))
    leg = making.part("port leg", making.rectangle(280, 0, 325, 99.4), role="leg")
    (finding,) = run(making.frame([floor, leg]))
    assert finding.measured == pytest.approx(0.6)


@pytest.mark.parametrize("short", [0.6, 6.0, 60.0, 150.0])
def test_a_leg_short_of_the_core_is_found_at_any_distance(short):
    def boat(gap):
        floor = legged.floor()
        floor = replace(floor, drawn=floor.drawn.moved((0, gap)), shape=making.as_polygon(floor.drawn.moved((0, gap))))
        return legged.boat(frame_floor=floor)

    findings = list(GAP.run(boat(short)))
    assert [f.parts for f in findings] == [("F5 floor", f"F5 {side} leg inner") for side in ("port", "starboard")]
    assert [f.measured for f in findings] == pytest.approx([short, short])
    assert list(GAP.run(boat(LIMIT - 0.01))) == []


def test_a_block_at_a_legs_foot_need_not_meet_the_core_where_the_outer_plies_lap_it():
    def leg(side, top, face):
        ends = sorted((side * 280.0, side * 340.0))
        return making.part(f"{side} {face}", making.rectangle(ends[0], 0, ends[1], top), role="leg", face=face)

    def boat(top, last):
        frames = [
            making.frame(
                [legged.floor(), *(leg(s, 40, "core") for s in (1, -1)), *(leg(s, t, "forward") for s in (1, -1))],
                number=str(n),
                station=1000.0 * n,
            )
            for n, t in enumerate((top, top, last), start=1)
        ]
        return list(GAP.run(making.assembly(frames, strongback=making.rails())))

    assert boat(250, 250) == []
    assert [(f.frame, f.measured) for f in boat(250, 191)] == [("3", pytest.approx(9.0))] * 2  # the lap is gone


@pytest.mark.parametrize(("deep", "lap", "told"), [(40.0, 40.0, False), (100.0, 40.0, True), (100.0, 60.0, False)])
def test_a_leg_that_laps_all_the_core_there_is_where_it_stands_does_what_it_can(deep, lap, told):
    def lapping(number, deep, lap):
        floor = making.part("floor", making.rectangle(-400, 200, 400, 200 + deep), frame=number)
        legs = [
            making.part(f"{side} leg", making.rectangle(*ends, 200 + lap), role="leg", face="forward", frame=number)
            for side, ends in (("port", (280, 0, 340)), ("starboard", (-340, 0, -280)))
        ]
        return making.frame([floor, *legs], number=number, station=1000.0 * int(number))

    boat = making.assembly([*(lapping(n, 100.0, 100.0) for n in "123"), lapping("4", deep, lap)])
    assert [f.frame for f in GAP.run(boat)] == (["4", "4"] if told else [])


def standing_under_a_floor(head, *, number="1", low=200.0):
    """A frame on two legs of one ply whose heads run along the points (y, v), from outboard in."""
    outline = Outline.of([(280, 0), (360, 0), *head])
    legs = [
        making.part(f"{side} leg", outline if side == "port" else outline.mirrored(), role="leg", frame=number)
        for side in ("port", "starboard")
    ]
    floor = making.part("floor", making.rectangle(-400, low, 400, low + 100), frame=number)
    return making.frame([floor, *legs], number=number, station=1000.0 * int(number))


WHOLE = [(360, 200), (280, 200)]


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ([(360, 160), (280, 200)], "only touches"),  # cut for a floor that rises
        ([(360, 170), (300, 170), (300, 200), (280, 200)], "meets F4 floor over 20.00 mm"),
        ([(360, 170), (284, 170), (284, 200), (280, 200)], "only touches"),
    ],
)
def test_a_head_that_meets_the_core_by_a_corner_is_told(head, said):
    frames = [standing_under_a_floor(WHOLE, number=str(n)) for n in (1, 2, 3)]
    boat = making.assembly([*frames, standing_under_a_floor(head, number="4")])
    found = list(GAP.run(boat))
    assert [(f.frame, f.parts) for f in found] == [("4", ("F4 floor", f"F4 {s} leg")) for s in ("port", "starboard")]
    assert all(said in f.message and "usually over 80.00 mm" in f.message for f in found)
    whole = standing_under_a_floor([(360, 170), (330, 170), (330, 200), (280, 200)], number="4")
    assert list(GAP.run(making.assembly([*frames, whole]))) == []


def test_heads_that_all_only_touch_are_told():
    frames = [standing_under_a_floor([(360, 160), (280, 200)], number=str(n)) for n in (1, 2, 3)]
    assert ["only touches" in f.message for f in GAP.run(making.assembly(frames))] == [True] * 6


def test_a_lap_that_is_nearly_gone_is_told():
    def frame(number, top):
        legs = [
            making.part(f"{s} leg", making.rectangle(*sorted((k * 280, k * 340))[:1], 0, max(k * 280, k * 340), top),
                        role="leg", face="forward", frame=number)
            for s, k in (("port", 1), ("starboard", -1))
        ]  # fmt: skip
        floor = making.part("floor", making.rectangle(-400, 200, 400, 300), frame=number)
        return making.frame([floor, *legs], number=number, station=1000.0 * int(number))

    sound = [frame(str(n), 280.0) for n in (1, 2, 3)]
    assert list(GAP.run(making.assembly([*sound, frame("4", 250.0)]))) == []
    found = list(GAP.run(making.assembly([*sound, frame("4", 230.0)])))
    assert ["laps F4 floor over 30.00 mm" in f.message for f in found] == [True, True]


def halved(short, *, half=True, sections=()):
    """A floor drawn by its port half, `short` of the centreline, and its image."""
    drawn = making.part("port floor", making.rectangle(short, 0, 400, 100))
    image = replace(making.part("starboard floor", making.rectangle(-400, 0, -short, 100)), source=drawn.source)
    frame = making.frame([drawn, image])
    return replace(frame, view=replace(frame.view, half=half), sections=sections)


@pytest.mark.parametrize("short", [0.5, 2.5, 3.0, 7.5])
def test_a_part_of_a_half_drawing_that_stops_short_of_the_centreline_is_told(short):
    (finding,) = run(halved(short))
    assert finding.measured == pytest.approx(2 * short)
    assert finding.cure.startswith(f"lengthen F5 port floor by {short:.1f} mm, as far as the centreline")


def test_a_slot_for_a_board_what_passes_between_and_two_parts_that_are_drawn_are_none():
    assert run(halved(9.0)) == run(halved(3.0, half=False)) == []
    assert run(halved(3.0, sections=(making.section("keel", (0.0, 50.0)),))) == []


@pytest.mark.parametrize("cutter", [0.0, 6.0, 10.0])
def test_what_the_cutter_leaves_in_a_step_is_for_the_corner_to_tell(cutter):
    """Floor and side fit, their inside corners sharp: what is left there is no overlap of the joint."""
    floor = Outline.of([(-400, 0), (400, 0), (400, 60), (440, 60), (440, 100), (-400, 100)])
    side = Outline.of([(400, -100), (500, -100), (500, 400), (440, 400), (440, 60), (400, 60)])
    parts = [making.part("floor", floor), making.part("port side", side)]
    cut = [replace(part, shape=as_cut(part.drawn_shape, cutter)) for part in parts]
    assert cutter == 0.0 or cut[1].shape.area > parts[1].shape.area
    assert run(making.frame(cut)) == []

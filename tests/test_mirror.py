"""Check `mirror`."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import gusseted
import making
import numpy as np
import pytest
from faults_of_joints import SIDE_TOO_HIGH
from gusseted import DEEP, HALF, HIGH, INSIDE
from planted_joints import SKIFF, findings_of
from planting import planted
from replanning import copy_of, half_drawn, seen_from_the_other_side

from scrieve.model.boat.defect import Defect
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.shared.findings import Level, Source

MIRROR = CHECKS["mirror"]
LIMIT = 0.1


def run(frame, limits=None, battens=()):
    return list(MIRROR.run(making.assembly([frame], limits=limits, battens=battens)))


def with_side(outline, *, more=(), holes=(), **frame):
    """An open frame whose port side has this outline."""
    floor, _, starboard = gusseted.core()
    port = replace(making.part("port side", outline), holes=tuple(holes))
    return making.frame([floor, port, starboard, *more], **frame)


def side(*, shelf=0.0, wide=0.0):
    """The port side, its top corner inboard `shelf` higher, or all of it `wide` to port."""
    corners = [(HALF, 0), (INSIDE, DEEP), (INSIDE, HIGH + shelf), (HALF, HIGH)]
    return Outline.of([(y + wide, v) for y, v in corners])


@pytest.mark.parametrize("kind", ["open", "ring"])
def test_a_frame_that_is_its_own_mirror_image_is_silent(kind):
    assert run(gusseted.full(kind=kind)) == []


@pytest.mark.parametrize("off", [LIMIT + 0.01, 1.25 * LIMIT, 3.0, -3.0])
def test_one_corner_that_differs_is_found(off):
    (finding,) = run(with_side(side(shelf=off)))
    assert (finding.check, finding.level, finding.frame, finding.unit) == ("mirror", Level.WARNING, "5", "mm")
    assert finding.parts == ("F5 port side", "F5 starboard side")
    assert finding.measured == pytest.approx(abs(off), rel=2e-3)
    assert finding.limit == LIMIT
    assert abs(finding.at[1]) == INSIDE
    assert "F5 port side and F5 starboard side differ: at y" in finding.message


@pytest.mark.parametrize("off", [0.0, 0.8 * LIMIT, -0.8 * LIMIT, LIMIT - 0.01, LIMIT])
def test_what_differs_by_less_is_not(off):
    assert run(with_side(side(shelf=off))) == []
    assert run(with_side(side(wide=off))) == []


def test_the_limit_of_the_plan_counts():
    assert run(with_side(side(shelf=1.0)), {"mirror": 1.1}) == []
    assert len(run(with_side(side(shelf=1.0)), {"mirror": 0.9})) == 1


def test_a_part_moved_as_a_whole_is_told_so():
    (finding,) = run(with_side(side(wide=2.0)))
    assert finding.measured == pytest.approx(2.0)
    assert "all of F5 port side lies 2.00 mm further to port than F5 starboard side mirrored" in finding.message
    assert finding.cure == "move F5 port side 2.0 mm to starboard, or F5 starboard side as far the mirrored way"


@pytest.mark.parametrize("turn", [0, 1, 3])
@pytest.mark.parametrize("backwards", [False, True])
def test_where_an_outline_begins_and_which_way_it_runs_make_no_difference(turn, backwards):
    def drawn(shelf):
        points = np.roll(side(shelf=shelf).points, turn, axis=0)
        return Outline.of(points[::-1] if backwards else points)

    assert run(with_side(drawn(0.0))) == []
    (finding,) = run(with_side(drawn(2.0)))
    assert finding.measured == pytest.approx(2.0, rel=2e-3)


def test_needless_corners_make_no_difference():
    points = side().points.tolist()
    points.insert(2, [INSIDE, 300.0])
    assert run(with_side(Outline.of(points))) == []
    points[2] = [INSIDE - 1.5, 300.0]
    (finding,) = run(with_side(Outline.of(points)))
    assert finding.measured == pytest.approx(1.5)
    assert finding.at == pytest.approx((1009.0, INSIDE - 1.5, 300.0))


def test_the_bulge_of_an_arc_counts():
    # hand-worked: over a chord of 500 mm an arc of bulge b rises 250 b
    def curved(rise):
        return Outline.of(side().points, [0, rise / 250, 0, 0])

    assert run(with_side(curved(0.08))) == []
    (finding,) = run(with_side(curved(1.0)))
    assert finding.measured == pytest.approx(1.0, abs=0.01)


def test_holes_count():
    hole = making.rectangle(340, 300, 360, 320)
    (finding,) = run(with_side(side(), holes=[hole]))
    # hand-worked: the hole's inboard corners are 40 mm from the inside edge
    assert finding.measured == pytest.approx(40.0)


def test_a_part_across_the_middle_is_held_against_itself():
    floor, *sides = gusseted.core()
    notched = [(HALF, 0), (INSIDE, DEEP), (-INSIDE, DEEP), (-HALF, 0), (-28, 0), (-28, 20), (32, 20), (32, 0)]
    (finding,) = run(making.frame([making.part("floor", Outline.of(notched)), *sides]))
    assert finding.parts == ("F5 floor",)
    assert finding.measured == pytest.approx(4.0)
    assert finding.message.startswith("F5 floor differs from port to starboard: at y")
    shifted_floor = making.part("floor", floor.drawn.moved((1.0, 0.0)))
    (finding,) = run(making.frame([shifted_floor, *sides]))
    assert finding.measured == pytest.approx(2.0)
    assert finding.cure == "move F5 floor 1.0 mm to starboard"


def test_a_part_without_a_twin_is_one_finding():
    knee = making.part("port knee", making.rectangle(310, 300, 390, 400), thickness=9.0, face="forward")
    (finding,) = run(gusseted.frame([*gusseted.core(), knee]))
    assert finding.message == "F5 port knee has no twin to starboard"
    assert (finding.measured, finding.limit, finding.parts) == (None, None, ("F5 port knee",))
    (finding,) = run(gusseted.frame([*gusseted.core(), *gusseted.faces_of(knee)]))
    assert finding.message == "F5 port knee on both faces has no twin to starboard"


def test_a_twin_on_the_other_face_is_none():
    parts = [gusseted.corner_gusset(1, face="forward"), gusseted.corner_gusset(-1, face="aft")]
    assert len(run(gusseted.frame([*gusseted.core(), *parts]))) == 2


def test_where_an_outline_could_not_be_taken_nothing_is_missed():
    knee = making.part("port knee", making.rectangle(310, 300, 390, 400), thickness=9.0, face="forward")
    frame = gusseted.frame([*gusseted.core(), knee])
    defect = Defect(message="an outline has no label", source=Source(file="frames/5.dxf"), at=(-350.0, 350.0))
    assert run(replace(frame, defects=(defect,))) == []
    assert len(run(replace(frame, defects=(replace(defect, level=Level.NOTE),)))) == 1


def test_labels_without_a_side_are_paired_by_place():
    def parts(off):
        floor = gusseted.core()[0]
        outlines = [side(shelf=off), side().mirrored()]
        knees = [making.rectangle(310, low, 390, low + 40) for low in (200, 300, 400)]
        named = [making.part(f"piece {n}", outline) for n, outline in enumerate(outlines)]
        named += [making.part(f"knee {n}", knee, face="forward") for n, knee in enumerate(knees)]
        named += [making.part(f"knee {5 - n}", knee.mirrored(), face="forward") for n, knee in enumerate(knees)]
        return [floor, *named]

    assert run(making.frame(parts(0.0))) == []
    (finding,) = run(making.frame(parts(1.0)))
    assert finding.parts == ("F5 piece 0", "F5 piece 1")


def test_half_a_frame_is_one_finding():
    _, port, _ = gusseted.core()
    floor = making.part("floor", Outline.of([(0, 0), (HALF, 0), (INSIDE, DEEP), (0, DEEP)]))
    (finding,) = run(making.frame([floor, port, gusseted.corner_gusset(1)]))
    assert finding.message == "nothing of F5 lies to starboard, though 3 parts are drawn to port"
    assert "mirror = true" in finding.cure


def test_a_frame_with_wood_on_both_sides_is_not_half_drawn():
    floor, port, _ = gusseted.core()
    found = run(making.frame([floor, port, gusseted.corner_gusset(1)]))
    assert {finding.parts for finding in found} == {("F5 port side",), ("F5 port chine gusset",)}
    assert not any("mirror = true" in finding.cure for finding in found)


def boards(*joints, wide=0.0, hole=0.0):
    """A board from y -400 to 400 of so many pieces, joined at these places, with a strap over each joint."""
    ends = [-400.0, *joints, 400.0 + wide]
    parts = [
        making.part(f"board {n}", making.rectangle(left, 0, right, 600))
        for n, (left, right) in enumerate(pairwise(ends))
    ]
    if hole:
        cut = making.rectangle(-80 + hole, 300, 80 + hole, 400)
        parts = [replace(p, holes=(cut,)) if p.shape.contains(cut.polygon()) else p for p in parts]
    straps = [
        making.part(f"strap {n}", making.rectangle(at - 50, 100, at + 50, 500), face="aft", role="gusset")
        for n, at in enumerate(joints)
    ]
    return making.frame([*parts, *straps], kind="bulkhead")


@pytest.mark.parametrize("joints", [[200.0], [-150.0], [-100.0, 300.0], [-100.0, 100.0], [0.0]])
def test_boards_joined_beside_the_centreline_are_one_on_both_sides(joints):
    assert run(boards(*joints)) == []


@pytest.mark.parametrize("joints", [[200.0], [-100.0, 300.0]])
def test_boards_joined_beside_it_that_differ_together_are_told(joints):
    (finding,) = run(boards(*joints, wide=3.0))
    assert finding.measured == pytest.approx(3.0)
    assert finding.level is Level.WARNING
    assert "mirror = true" not in finding.cure
    (finding,) = run(boards(*joints, hole=12.0))
    assert finding.level is Level.WARNING


def pad(off, wide=190.0):
    left, right = off - wide / 2, off + wide / 2
    return making.part("motor pad", making.rectangle(left, 300, right, 450), face="aft", role="plate")


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("off", "meant"), [(12.0, False), (37.0, False), (65.0, True), (94.0, True)])
def test_a_lone_part_well_off_the_centreline_is_meant_so(off, meant, side):
    (finding,) = run(gusseted.frame([*gusseted.core(), pad(side * off)]))
    assert finding.level is (Level.NOTE if meant else Level.WARNING)
    assert finding.measured == pytest.approx(off if meant else 2 * off)
    assert bool(finding.cure) is not meant


def test_a_wide_part_off_the_centreline_is_a_slip():
    (finding,) = run(gusseted.frame([*gusseted.core(), pad(65.0, wide=500.0)]))
    assert finding.cure.startswith("move F5 motor pad 65.0 mm to starboard")


def board(*holes, cut=None):
    """A board with holes, each from where to where across, and a cut-out in its upper edge."""
    corners = [(-400, 0), (400, 0), (400, 600), (-400, 600)]
    if cut is not None:
        corners[3:3] = [(cut[1], 600), (cut[1], 500), (cut[0], 500), (cut[0], 600)]
    drawn = [making.rectangle(left, 200, right, 300) for left, right in holes]
    return making.frame([replace(making.part("transom", Outline.of(corners)), holes=tuple(drawn))], kind="transom")


@pytest.mark.parametrize(
    ("frame", "levels"),
    [
        (board((-10, 10)), []),
        (board((2, 22)), [Level.WARNING]),
        (board((80, 100)), [Level.NOTE]),
        (board((80, 100), (-100, -80)), []),
        (board((80, 100), (-105, -85)), [Level.WARNING]),
        (board((80, 100), (-250, -200)), [Level.NOTE, Level.NOTE]),
        (board((-80, 120)), [Level.WARNING]),
        (board((-30, 160)), [Level.NOTE]),
        (board(cut=(-100, 100)), []),
        (board(cut=(-100, 112)), [Level.WARNING]),
        (board(cut=(-40, 170)), [Level.NOTE]),
        (board((80, 100), cut=(-40, 170)), [Level.NOTE, Level.NOTE]),
        (board((80, 100), cut=(-100, 112)), [Level.WARNING, Level.NOTE]),
        (board(cut=(200, 240)), [Level.WARNING]),
    ],
)
def test_lone_holes_and_cut_outs_well_off_the_centreline_are_meant_so(frame, levels):
    assert [finding.level for finding in run(frame)] == levels


@pytest.mark.parametrize("off", [2.5, -2.5])
def test_a_frame_off_the_centreline_is_one_finding(off):
    whole = gusseted.full()
    sections = [making.section(f"{name} chine", (y + off, 20)) for name, y in (("port", 380), ("starboard", -380))]
    drawn = {id(part.drawn): part.drawn.moved((off, 0.0)) for part in whole.parts}
    shapes = {key: outline.polygon() for key, outline in drawn.items()}
    parts = [replace(p, drawn=drawn[id(p.drawn)], shape=shapes[id(p.drawn)]) for p in whole.parts]
    (finding,) = run(making.frame(parts, sections=sections))
    assert finding.measured == pytest.approx(5.0)
    assert f"F5 lies 2.50 mm {'to port' if off > 0 else 'to starboard'} of the centreline as a whole" in finding.message


def battened(step, *, notch=0.0):
    """An open frame with sections of a batten on both sides, the port one off by `step`; a notch may go with it."""
    (y, v) = step
    sections = [making.section("port chine", (380 + y, 20 + v)), making.section("starboard chine", (-380, 20))]
    notched = [(HALF, 0), (360, 0), (360, 40 + notch), (HALF, 40 + notch)]
    taken = Outline.of(notched).polygon()
    plain = Outline.of([(HALF, 0), (360, 0), (360, 40), (HALF, 40)]).mirrored().polygon()
    parts = [
        making.part(p.label, Outline.of(list(p.shape.difference(taken).difference(plain).exterior.coords)[:-1]))
        for p in gusseted.core()
    ]
    at = [Placement(station=1000.0), Placement(station=2000.0)]
    battens = [making.batten(s.batten, [s, replace(s, frame="6")], at, long=40.0, short=40.0) for s in sections]
    return making.frame(parts, sections=sections), battens


@pytest.mark.parametrize(
    ("step", "found"), [((0, 0), 0), ((0.08, 0), 0), ((0.0, -0.08), 0), ((0.125, 0), 1), ((3, 4), 1)]
)
def test_battens_are_held_against_one_another(step, found):
    frame, battens = battened(step)
    findings = run(frame, battens=battens)
    assert len(findings) == found
    for finding in findings:
        assert finding.measured == pytest.approx(np.hypot(*step))
        assert finding.parts == ("port chine", "starboard chine")
        assert finding.at == pytest.approx((1009.0, 380 + step[0], 20 + step[1]))


def test_a_notch_moved_with_its_batten_is_told_once():
    # the floor ends where the notch begins: only the side has it
    frame, battens = battened((0, 4), notch=4.0)
    (finding,) = run(frame, battens=battens)
    assert finding.parts == ("F5 port side", "F5 starboard side")
    assert finding.measured == pytest.approx(4.0, rel=0.3)


def test_legs_screws_and_dowels_are_left_out():
    leg = making.part("port leg", making.rectangle(280, -200, 325, 50), face="forward", role="leg")
    parts = [*gusseted.full().parts, leg]
    screws = [making.screw(parts, (370.0, 130.0))]
    assert run(making.frame(parts, screws=screws, dowels=[making.dowel((300.0, 100.0))])) == []


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    plain = with_side(side(shelf=2.0))
    (found,) = run(plain)
    (other,) = run(gusseted.mirrored(plain))
    assert other.measured == pytest.approx(found.measured)
    assert abs(other.at[1]) == pytest.approx(abs(found.at[1]))
    for more in ({"station": -2500.0}, {"rake": 0.4}):
        (moved,) = run(with_side(side(shelf=2.0), **more))
        assert (moved.measured, moved.message, moved.cure) == (found.measured, found.message, found.cure)
    (again,) = run(making.frame(plain.parts[::-1]))
    assert again == found


def test_a_fault_that_no_error_tells_of_is_a_warning_whichever_way_the_drawings_look(tmp_path: Path):
    plan = planted(SKIFF, tmp_path / "skiff", (SIDE_TOO_HIGH,))
    (found,) = findings_of(plan, "mirror")
    assert found.level is Level.WARNING
    assert found.parts == ("F5 port side", "F5 starboard side")
    assert found.measured == pytest.approx(3.0, rel=0.1)
    seen_from_the_other_side(plan)
    (again,) = findings_of(plan, "mirror")
    assert (again.parts, again.measured) == (found.parts, pytest.approx(found.measured))


def test_a_boat_of_which_half_is_drawn_is_the_same_on_both_sides(tmp_path: Path):
    plan = copy_of(SKIFF, tmp_path / "skiff")
    half_drawn(plan)
    assert findings_of(plan, "mirror") == ()

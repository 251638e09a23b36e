"""Check `proud`."""

from dataclasses import replace

import gusseted
import making
import numpy as np
import pytest
from faults_of_joints import FAULTS
from gusseted import DEEP, HALF, HIGH, INSIDE
from planted_joints import HULLS, same_from_forward

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Level, Source

PROUD = CHECKS["proud"]
LIMIT = 0.3


def run(frame, limits=None):
    return list(PROUD.run(making.assembly([frame], limits=limits)))


@pytest.mark.parametrize("past", [LIMIT + 0.01, 1.25 * LIMIT, 1.0, 30.0])
@pytest.mark.parametrize("kind", ["open", "ring"])
def test_a_gusset_past_the_outer_line_is_found(past, kind):
    (finding,) = run(gusseted.full(kind=kind, port={"proud": past}))
    assert (finding.check, finding.level, finding.frame, finding.unit) == ("proud", Level.ERROR, "5", "mm")
    assert finding.measured == pytest.approx(past, abs=1e-6)
    assert finding.limit == LIMIT
    assert finding.parts == ("F5 port chine gusset, aft", "F5 port chine gusset, forward")
    assert finding.at[2] == pytest.approx(-past, abs=1e-6)
    assert INSIDE - 80.1 <= finding.at[1] <= HALF
    assert finding.message.startswith("F5 port chine gusset on both faces stands")


@pytest.mark.parametrize("past", [-20.0, -0.3, 0.0, 0.8 * LIMIT, LIMIT - 0.01, LIMIT])
@pytest.mark.parametrize("kind", ["open", "ring"])
def test_a_gusset_within_the_limit_is_not(past, kind):
    assert run(gusseted.full(kind=kind, port={"proud": past})) == []


def test_the_limit_of_the_plan_counts():
    frame = gusseted.full(port={"proud": 1.0})
    assert run(frame, {"proud": 1.2}) == []
    assert len(run(frame, {"proud": 0.9})) == 1


def test_plates_drawn_for_each_face_are_told_for_each():
    plates = [gusseted.corner_gusset(face=face, proud=1.0) for face in ("forward", "aft")]
    frame = making.frame([*gusseted.core(), plates[0]])
    assert len(run(frame)) == 1
    plates[1] = replace(plates[1], source=Source(file="f5.dxf", handle="2"))
    both = making.frame([*gusseted.core(), *plates])
    forward, aft = run(both)
    assert {round(forward.at[0], 3), round(aft.at[0], 3)} == {1022.5, 995.5}


def filling(side=1, *, past=0.0, round_off=False):
    """A gusset that fills the inside of the chine, its inner edge straight or hollow."""
    corners = [
        (INSIDE - 80, -past),
        (HALF, -past),
        (HALF, DEEP + 80),
        (INSIDE - 30, DEEP + 80),
        (INSIDE - 80, DEEP + 30),
    ]
    outline = Outline.of(corners, [0, 0, 0, -0.4 if round_off else 0.0, 0])
    return making.part("chine gusset", outline if side > 0 else outline.mirrored(), face="forward", thickness=9.0)


def in_pieces(frame, at):
    """The same frame, every straight edge of its core divided at these shares of its length."""
    out = []
    for part in frame.parts:
        points, ends = part.drawn.points, np.roll(part.drawn.points, -1, axis=0)
        shares = np.array([0.0, *at])[None, :, None]
        divided = (points[:, None] + shares * (ends - points)[:, None]).reshape(-1, 2)
        out.append(making.part(part.label, Outline.of(divided)) if part.face == "core" else part)
    return gusseted.frame(out, kind=frame.kind)


AT = [[0.1], [0.5, 0.97], [n / 40 for n in range(1, 40)]]


@pytest.mark.parametrize("at", AT)
@pytest.mark.parametrize("kind", ["open", "ring"])
@pytest.mark.parametrize("round_off", [False, True])
@pytest.mark.parametrize("past", [0.0, 2.0])
def test_what_is_outside_goes_by_the_frame_and_not_by_how_its_edges_are_divided(kind, at, round_off, past):
    frame = gusseted.frame([*gusseted.core(kind=kind), filling(past=past, round_off=round_off)], kind=kind)
    assert [finding.measured for finding in run(in_pieces(frame, at))] == pytest.approx([past] if past else [])


@pytest.mark.parametrize("at", AT)
def test_a_wide_notch_is_one_however_its_bottom_is_divided(at):
    parts = floor_with_notch(left=-70.0, right=70.0)
    frame = gusseted.frame([*parts, plate(-120, 0, 120, 90)])
    assert run(in_pieces(frame, at)) == []


def plate(left, bottom, right, top, **more):
    return making.part("cheek", making.rectangle(left, bottom, right, top), face="forward", thickness=9.0, **more)


@pytest.mark.parametrize(
    ("where", "kind", "corners", "past"),
    [
        ("out of the side", "open", (320, 300, HALF + 2, 400), 2.0),
        ("into the opening", "open", (INSIDE - 50, 300, 390, 400), None),
        ("into the opening", "ring", (INSIDE - 50, 300, 390, 400), None),
        ("above the sheer", "open", (320, 500, 390, HIGH + 40), None),
        ("above the deck", "ring", (-50, 520, 50, HIGH + 3), 3.0),
        ("below the deck", "ring", (-50, 450, 50, HIGH), None),
        ("below the floor", "open", (-50, -4, 50, 90), 4.0),
        ("above the floor", "open", (-50, 20, 50, 160), None),
        ("right across the opening", "open", (-HALF, 300, HALF, 400), None),
        ("right across the frame", "open", (-HALF - 1, 300, HALF + 1, 400), 1.0),
        ("past a corner both ways", "open", (350, -1, HALF + 2, 50), 2.0),
        ("nowhere near", "open", (600, 0, 700, 100), None),
    ],
)
def test_where_the_outer_line_is(where, kind, corners, past):
    findings = run(gusseted.frame([*gusseted.core(kind=kind), plate(*corners, role="plate")], kind=kind))
    assert [finding.measured for finding in findings] == pytest.approx([] if past is None else [past], abs=1e-6)


def test_legs_stand_past_it():
    leg = making.part("port leg", making.rectangle(200, -300, 280, 90), face="forward", role="leg")
    assert run(gusseted.frame([*gusseted.core(), leg])) == []


def test_the_board_of_a_transom_has_its_outer_line_all_round():
    board = making.part("transom", making.rectangle(-400, 0, 400, 600))
    assert run(making.frame([board, plate(-50, 500, 50, 600)], kind="transom")) == []
    (finding,) = run(making.frame([board, plate(-50, 500, 50, 602)], kind="transom"))
    assert finding.measured == pytest.approx(2.0)


def floor_with_notch(*, left=-30.0, right=30.0, deep=20.0, relief=False):
    """An open frame whose floor has a notch for a keel in its underside."""
    wall = [(left, 0), (left, deep), (right, deep), (right, 0)]
    bulges = [0.0, 0.0, 0.0, 0.0]
    if relief:  # a dowel's relief in either corner
        wall = [(left, 0), (left, deep - 10), (left + 5, deep), (right - 5, deep), (right, deep - 10), (right, 0)]
        bulges = [0.0, -1.0, 0.0, -1.0, 0.0, 0.0]
    corners = [(-HALF, 0), *wall, (HALF, 0), (INSIDE, DEEP), (-INSIDE, DEEP)]
    floor = making.part("floor", Outline.of(corners, [0.0, *bulges, 0.0, 0.0, 0.0]))
    return [floor, *(part for part in gusseted.core() if part.label != "floor")]


@pytest.mark.parametrize("relief", [False, True])
@pytest.mark.parametrize("deep", [10.0, 20.0])
def test_what_lies_across_a_notch_stands_past_nothing(deep, relief):
    parts = floor_with_notch(deep=deep, relief=relief)
    assert run(making.frame([*parts, plate(-60, 0, 60, 90)])) == []
    assert run(making.frame([*parts, plate(-20, 2, 20, 90)])) == []
    (finding,) = run(making.frame([*parts, plate(-60, -1, 60, 90)]))
    assert finding.measured == pytest.approx(1.0, abs=1e-6)


def test_a_gusset_across_the_notch_of_a_chine_batten_stands_past_nothing():
    # the notch takes the corner of floor and side, and half of their mitre; the gusset is drawn to the corner
    taken = making.as_polygon(making.rectangle(HALF - 40, -1, HALF + 1, 40))
    parts = []
    for part in gusseted.core():
        shape = part.shape.difference(taken)
        outline = Outline.of(list(shape.exterior.coords)[:-1])
        parts.append(making.part(part.label, outline))
    assert run(making.frame([*parts, *gusseted.both_faces(1)])) == []
    (finding,) = run(making.frame([*parts, *gusseted.both_faces(1, proud=1.0)]))
    assert finding.measured == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("bend", [0.0, 0.25, -0.25])
@pytest.mark.parametrize("shift", [(3.0, 0.0), (0.0, -3.0), (3.0, -3.0)])
def test_a_plate_that_follows_the_batten_past_the_walls_of_a_corner_notch_stands_past_nothing(bend, shift):
    """Each wall bends by half a degree, as where floor and side make it together, over 20 mm off the corner."""

    def without_notch(part, dy, dv):
        low, high = (HALF - 40, 12.0), (HALF - 12.0, 40.0)
        corner = (HALF - 40 + bend, 40.0 - bend)
        ring = [(HALF - 40, -9), low, corner, high, (HALF + 9, 40), (HALF + 9, -9)]
        taken = making.as_polygon(Outline.of([(y + dy, v + dv) for y, v in ring]))
        outline = Outline.of(list(part.shape.difference(taken).exterior.coords)[:-1])
        return replace(part, drawn=outline, shape=outline.polygon())

    core = [without_notch(part, 0.0, 0.0) for part in gusseted.core()]
    plates = gusseted.both_faces(1)
    assert run(making.frame([*core, *(without_notch(plate, *shift) for plate in plates)])) == []
    past = gusseted.both_faces(1, proud=1.0)
    (finding,) = run(making.frame([*core, *(without_notch(plate, *shift) for plate in past)]))
    assert finding.measured == pytest.approx(1.0, abs=1e-6)


def test_a_straight_gusset_over_a_hollow_in_the_outer_line_is_found():
    # hand-worked: an arc of 200 mm chord and 5 mm rise in the underside; a plate straight across it, 5 mm proud
    bulge = 4 * 5 / (2 * 200)
    corners = [(-HALF, 0), (-100, 0), (100, 0), (HALF, 0), (INSIDE, DEEP), (-INSIDE, DEEP)]
    floor = making.part("floor", Outline.of(corners, [0, -bulge * 1.0, 0, 0, 0, 0]))
    parts = [floor, *(part for part in gusseted.core() if part.label != "floor")]
    (finding,) = run(making.frame([*parts, plate(-150, 0, 150, 60)]))
    assert finding.measured == pytest.approx(5.0, abs=0.01)
    assert finding.at[1] == pytest.approx(0.0, abs=2.0)


def test_an_open_joint_is_no_place_to_stand_past():
    floor, *sides = gusseted.core(mitred=False)
    gap = [making.part(s.label, s.drawn.moved((0.0, 0.9))) for s in sides]
    assert run(making.frame([floor, *gap, *gusseted.both_faces(1)])) == []


@pytest.mark.parametrize("by", [LIMIT + 0.01, 1.25 * LIMIT, 2.0, 7.0])
@pytest.mark.parametrize("way", [1, -1])
def test_a_step_between_two_core_parts_is_found(by, way):
    (finding,) = run(gusseted.frame(gusseted.core(mitred=False, out=way * by)))
    assert finding.measured == pytest.approx(by, abs=1e-6)
    assert finding.parts == ("F5 floor", "F5 port side")
    proud, shy = ("F5 port side", "F5 floor") if way > 0 else ("F5 floor", "F5 port side")
    assert finding.message.startswith(f"{proud} stands {by:.2f} mm past {shy} at their joint")
    assert finding.cure.startswith(f"bring {proud}")
    assert finding.at == pytest.approx((1009.0, HALF + max(way * by, 0.0), DEEP), abs=0.01)


@pytest.mark.parametrize("by", [0.0, 0.8 * LIMIT, LIMIT - 0.01, -0.8 * LIMIT])
def test_a_step_within_the_limit_is_not(by):
    assert run(gusseted.frame(gusseted.core(mitred=False, out=by))) == []


def test_a_step_at_a_mitre_is_measured_square_to_the_outer_line():
    # hand-worked: the side slid 2 mm down and outward along its mitre of 45 degrees stands 2 sin 45 below the floor
    floor, side, _ = gusseted.core()
    slid = making.part(side.label, side.drawn.moved((2**0.5, -(2**0.5))))
    (finding,) = run(making.frame([floor, slid]))
    assert finding.measured == pytest.approx(2**0.5, abs=1e-6)


def test_a_step_on_the_inside_of_the_frame_is_none_of_the_outer_line():
    floor, side, other = gusseted.core(mitred=False)
    thinner = Outline.of([(HALF, DEEP), (INSIDE + 3, DEEP), (INSIDE + 3, HIGH), (HALF, HIGH)])
    assert run(making.frame([floor, making.part(side.label, thinner), other])) == []


def test_a_part_that_runs_far_past_another_is_no_step():
    side = making.part("port side", making.rectangle(400, -100, 500, 600))
    floor = making.part("floor", making.rectangle(-400, 0, 400, 100))
    assert run(making.frame([floor, side])) == []


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    plain = gusseted.full(port={"proud": 1.0})
    (found,) = run(plain)
    (other,) = run(gusseted.mirrored(plain))
    assert other.measured == pytest.approx(found.measured, abs=1e-6)
    assert other.at == pytest.approx((found.at[0], -found.at[1], found.at[2]), abs=1e-6)
    for more in ({"station": -2500.0}, {"rake": 0.4}):
        (moved,) = run(gusseted.full(port={"proud": 1.0}, **more))
        assert (moved.measured, moved.message, moved.cure) == (found.measured, found.message, found.cure)
    (again,) = run(making.frame(plain.parts[::-1]))
    assert again == found


def test_a_curved_deck_has_no_proud_gusset_for_its_chords():
    # the same arc drawn in beam and gusset is flattened at other places in each
    bulge = np.tan(np.arcsin(HALF / 1500.0) / 2)
    low = [(HALF, 0), (-HALF, 0), (-HALF, 300), (HALF, 300)]
    board = making.part("transom", Outline.of([low[3], low[2], *low[1::-1]], [bulge, 0, 0, 0]))
    y = 237.0
    centre = 300 - np.sqrt(1500.0**2 - HALF**2)
    top = centre + np.sqrt(1500.0**2 - y**2)
    turn = np.arcsin(HALF / 1500.0) - np.arcsin(y / 1500.0)
    gusset = Outline.of([(HALF, 300), (y, top), (y, 100), (HALF, 100)], [np.tan(turn / 4), 0, 0, 0])
    assert run(making.frame([board, making.part("cheek", gusset, face="forward")], kind="transom")) == []


def test_a_fault_is_the_same_in_drawings_seen_from_forward(tmp_path):
    (fault,) = [fault for fault in FAULTS if fault.check == "proud"]
    same_from_forward(fault, tmp_path)


@pytest.mark.parametrize("boat", ["skiff", "pram"])
@pytest.mark.parametrize(("past", "found"), [(0.8 * LIMIT, 0), (1.25 * LIMIT, 1)])
def test_every_drafted_gusset_grown_all_round_is_found_just_when_it_is_proud(boat, past, found):
    # its cut-outs for battens grow tighter, its inner edge goes into the opening: neither is the outer line
    assembly = assemble(read_plan(HULLS / boat))
    tried = 0
    for whole in assembly.frames:
        for gusset in (part for part in whole.parts if part.role == "gusset" and part.face == "forward"):
            shape = gusset.shape.buffer(past, join_style="mitre")
            parts = tuple(replace(p, shape=shape) if p.label == gusset.label else p for p in whole.parts)
            findings = list(PROUD.on_frame(replace(whole, parts=parts), assembly))
            assert len(findings) == found, (whole.name, gusset.name)
            for finding in findings:
                assert finding.measured == pytest.approx(past, abs=0.01)
            tried += 1
    assert tried == {"skiff": 22, "pram": 12}[boat]

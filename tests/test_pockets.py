"""Parts cut to a depth: read, cut into the right part, and tried against what lies in them."""

import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import making
import pytest
from pocketed import PLAN, boat, box, gussets_let_in, layer_of_depth
from replanning import copy_of

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.drawing import LabelledOutline
from scrieve.model.geometry.placement import Placement
from scrieve.model.plan.plan import Layer
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.pockets import with_pockets
from scrieve.model.review import review
from scrieve.model.sequence.bench_order import bench_order
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Level

HULLS = Path(__file__).parent.parent / "hulls"

FLOOR = ("CORE", "floor", box(-400, 0, 400, 100))
STEM = ("CORE", "stem", box(-50, -100, 50, 300))
GUSSET = ("GUSSETS", "gusset", box(-300, 10, -200, 90))


def lap(short=0.0, into=("floor", "stem")):
    """A floor and a stem that cross, each pocketed to half, that of the floor too `short`."""
    forward, aft = (
        ("POCKETS FWD", into[0], box(-50, 0, 50 - short, 100)),
        ("POCKETS AFT", into[1], box(-50, 0, 50, 100)),
    )
    return [FLOOR, STEM, forward, aft]


def let_in(*seat):
    return [FLOOR, GUSSET, ("SEATS", "", box(*(seat or (-300, 10, -200, 90))))]


def told(assembly, check):
    return [str(finding.message) for finding in CHECKS[check].run(assembly)]


def part(assembly, label):
    return next(part for part in assembly.parts() if part.label == label)


# ---- which part it is cut into


def test_a_pocket_is_cut_into_the_core_part_that_it_lies_on_from_its_face(tmp_path):
    floor = part(boat(tmp_path, [FLOOR, ("POCKETS FWD", "", box(300, 0, 450, 40))]), "floor")
    assert floor.volume == pytest.approx(800 * 100 * 12 - 100 * 40 * 6)
    assert floor.mass == pytest.approx(floor.volume * 500e-9)
    assert floor.span_at((350, 20)) == (0, 6)
    assert floor.span_at((250, 20)) == (0, 12)


@pytest.mark.parametrize("over", [(0, 0, 400, 100), (-400, 0, 400, 100), (-420, -20, 420, 120)])
def test_its_centre_is_that_of_its_volume(tmp_path, over):
    floor = part(boat(tmp_path, [FLOOR, ("SEATS", "", box(*over))]), "floor")
    left = 800 * 100 * 12, 100 * 9 * (min(over[2], 400) - max(over[0], -400))
    moment = -left[1] * (min(over[2], 400) + max(over[0], -400)) / 2
    assert floor.centre == pytest.approx((moment / (left[0] - left[1]), 50))


def test_where_parts_lie_over_one_another_its_own_text_says_which(tmp_path):
    assembly = boat(tmp_path, lap())
    assert [(p.label, [(q.face, q.depth) for q in p.pockets]) for p in assembly.parts()] == [
        ("floor", [("forward", 6)]),
        ("stem", [("aft", 6)]),
    ]
    assert not [finding for finding in review(assembly) if finding.level.value != "note"]


@pytest.mark.parametrize(
    "shapes, says",
    [
        (lap(into=("", "stem")), "F5 floor and in F5 stem, which lie over one another there"),
        (lap(into=("side", "stem")), 'says "side", and lies in no part of that name, but in F5 floor and F5 stem'),
        ([FLOOR, ("SEATS", "", box(300, 110, 400, 150))], "a pocket on layer SEATS, at y 350.0, z 130.0 lies in no"),
        ([*let_in(), ("POCKETS AFT", "", box(-250, 20, -100, 60))], "F5 floor has pockets on both faces that meet"),
        ([GUSSET, ("SEATS", "", box(-250, 20, -200, 60))], "is 9.00 mm deep, and F5 gusset 9.00 mm thick"),
    ],
)
def test_what_cannot_be_cut_so_is_told(tmp_path, shapes, says):
    assert any(says in said for said in told(boat(tmp_path, shapes), "outline"))


def test_pockets_deep_on_both_faces_that_leave_wood_are_nothing_to_tell(tmp_path):
    shapes = [*let_in(), ("POCKETS AFT", "", box(-250, 20, -100, 60))]
    assembly = boat(tmp_path, shapes, plan={"layers": layer_of_depth("SEATS", 5.9)})
    assert len(part(assembly, "floor").pockets) == 2
    assert not any("pocket" in said for said in told(assembly, "outline"))


def test_an_outline_in_a_pocket_is_an_island(tmp_path):
    shapes = [FLOOR, ("POCKETS FWD", "", box(100, 10, 200, 90)), ("POCKETS FWD", "", box(140, 40, 160, 60))]
    floor = part(boat(tmp_path, shapes), "floor")
    assert floor.volume == pytest.approx(800 * 100 * 12 - (100 * 80 - 20 * 20) * 6)


def test_a_half_drawing_has_the_pockets_images(tmp_path):
    shapes = [("CORE", "floor", box(0, 0, 400, 100)), ("POCKETS FWD", "", box(100, 10, 200, 90))]
    shapes += [("POCKETS AFT", "", box(0, 10, 50, 90))]
    floor = part(boat(tmp_path, shapes, frame={"mirror": True}), "floor")
    assert {round(p.shape.centroid.x) for p in floor.pockets if p.face == "forward"} == {-150, 150}
    assert [p.shape.bounds for p in floor.pockets if p.face == "aft"] == [(-50, 10, 50, 90)]


# ---- sound boats


@pytest.mark.parametrize("name, depth, screws", [("skiff", 4, "3/8 in"), ("pram", 3, "1/4 in")])
def test_a_boat_with_its_gussets_let_in_flush_is_sound(tmp_path, name, depth, screws):
    folder = copy_of(HULLS / name, tmp_path / name)
    gussets_let_in(folder, depth, screws)
    assembly = assemble(read_plan(folder))
    assert [finding.message for finding in review(assembly) if finding.level is not Level.NOTE] == []
    frame = assembly.frames[2]
    gussets = [part for part in frame.parts if part.role == "gusset"]
    assert {part.high for part in gussets if part.face == "forward"} == {frame.core_high}
    assert {part.low for part in gussets if part.face == "aft"} == {frame.core_low}


def ring_of_laps():
    """A ring whose four parts lap at the corners, pocketed to half."""
    parts = {"floor": box(-400, 0, 400, 80), "deck beam": box(-400, 430, 400, 500)}
    sides = {"port side": box(330, 0, 400, 500), "starboard side": box(-400, 0, -330, 500)}
    shapes = [("CORE", label, c, ((c[0][0] + c[1][0]) / 2, (c[0][1] + c[2][1]) / 2)) for label, c in
              (parts | sides).items()]  # fmt: skip
    for (label, across), (side, up) in product(parts.items(), sides.items()):
        corner = box(up[0][0], across[0][1], up[1][0], across[2][1])
        shapes += [("POCKETS FWD", label, corner), ("POCKETS AFT", side, corner)]
    return shapes


def test_a_ring_lapped_at_its_corners_is_sound(tmp_path):
    assembly = boat(tmp_path, ring_of_laps(), plan={"cutter": {"diameter": 10}})
    assert [finding.message for finding in review(assembly) if finding.level is not Level.NOTE] == []
    assert assembly.frames[0].kind == "ring"


def test_gussets_over_a_lap_want_no_butt_joint_under_them(tmp_path):
    gussets = {"BOTH": {"makes": "part", "face": "both", "stock": "ply9", "role": "gusset"}}
    over = [
        ("BOTH", f"{side} gusset", box(low, 0, low + 90, 100)) for side, low in (("port", 310), ("starboard", -400))
    ]
    assembly = boat(tmp_path, [*ring_of_laps(), *over], plan={"layers": {**PLAN["layers"], **gussets}})
    assert told(assembly, "joint-gap") == [] and told(assembly, "joint-bare") == []


def test_a_plate_over_a_lap_lies_on_the_face(tmp_path):
    """The pocket below it is filled by the stem that is lapped in it."""
    assembly = boat(tmp_path, [*lap(), ("GUSSETS", "gusset", box(-50, 0, 50, 110))])
    assert part(assembly, "gusset").low == 12
    assert told(assembly, "foul") == []


# ---- what lies in it


def test_a_gusset_lies_on_the_floor_of_its_pocket(tmp_path):
    assembly = boat(tmp_path, let_in())
    assert (part(assembly, "gusset").low, part(assembly, "gusset").high) == (3, 12)
    assert told(assembly, "foul") == []


def test_one_over_the_edge_of_a_rebate_lies_on_the_face(tmp_path):
    assembly = boat(tmp_path, let_in(-300, 10, -260, 90))
    assert (part(assembly, "gusset").low, part(assembly, "gusset").high) == (12, 21)


@pytest.mark.parametrize("out, fouls", [(0.09, False), (0.11, True), (1.0, True), (3.0, True)])
def test_a_pocket_too_small_fouls_with_its_wall(tmp_path, out, fouls):
    findings = list(CHECKS["foul"].run(boat(tmp_path, let_in(-300, 10, -200 - out, 90))))
    assert len(findings) == fouls
    if fouls:
        assert findings[0].measure.value == pytest.approx(out, abs=1e-6)
        assert str(findings[0].cure).startswith("widen the pocket in the forward face of F5 floor by")


@pytest.mark.parametrize("high", [90, 110])
@pytest.mark.parametrize("wide, goes_in", [(8, False), (12, True)])
def test_a_pocket_that_the_cutter_does_not_go_into_is_told(tmp_path, high, wide, goes_in):
    """Within the floor, and right through its width."""
    slot = ("POCKETS FWD", "", box(100, 100 - high, 100 + wide, high))
    assembly = boat(tmp_path, [FLOOR, slot], plan={"cutter": {"diameter": 10}})
    assert any("is too narrow for the cutter of 10.00 mm" in said for said in told(assembly, "outline")) is not goes_in
    assert len(part(assembly, "floor").pockets) == goes_in


@pytest.mark.parametrize(
    "short, depth, most",
    [(0, 6, 0), (0.09, 6, 0), (1, 6, 1), (10, 6, 6), (0, 5.91, 0), (0, 5.5, 0.5), (0, 4, 2), (0, 7, 0)],
)
def test_a_half_lap_fouls_by_what_is_not_cut_out(tmp_path, short, depth, most):
    assembly = boat(tmp_path, lap(short), plan={"layers": layer_of_depth("POCKETS AFT", depth)})
    assert [finding.measure.value for finding in CHECKS["foul"].run(assembly)] == pytest.approx([most] if most else [])


@pytest.mark.parametrize("depth, most", [(9, 0), (8, 1), (11.9, 0)])
def test_another_frame_may_stand_where_the_wood_is_cut_away(tmp_path, depth, most):
    """Two floors 3 mm apart, the aft one pocketed all over from forward."""
    shapes = [FLOOR, ("SEATS", "", box(-420, -20, 420, 120))]
    assembly = boat(tmp_path, shapes, plan={"layers": layer_of_depth("SEATS", depth)})
    (aft,) = assembly.frames
    floor = replace(part(assembly, "floor"), frame="6", name="F6 floor", pockets=())
    forward = replace(aft, number="6", placement=Placement(station=1003.0, rake=0.0), parts=(floor,))
    findings = CHECKS["foul"].run(replace(assembly, frames=(aft, forward)))
    assert [finding.measure.value for finding in findings] == pytest.approx([most] if most else [])


@pytest.mark.parametrize("depth, apart", [(6, 0), (6.49, 0), (6.51, 0.51), (7, 1), (11, 5)])
def test_faces_of_a_half_lap_that_do_not_meet_are_a_gap(tmp_path, depth, apart):
    assembly = boat(tmp_path, lap(), plan={"layers": layer_of_depth("POCKETS AFT", depth)})
    findings = list(CHECKS["joint-gap"].run(assembly))
    assert [finding.measure.value for finding in findings] == pytest.approx([apart] if apart else [])
    if findings:
        assert str(findings[0].cure).startswith("cut the pocket in the aft face of F5 stem")
        (edit,) = findings[0].edits
        assert (edit.key, float(edit.value)) == (("layers", "POCKETS AFT", "depth"), pytest.approx(6))


@pytest.mark.parametrize(
    "wide, level", [(0.49, None), (0.51, "error"), (4.9, "error"), (5.1, "warning"), (90, "warning")]
)
def test_a_half_lap_in_too_wide_a_pocket_is_a_gap(tmp_path, wide, level):
    findings = list(CHECKS["joint-gap"].run(boat(tmp_path, lap(short=-wide))))
    assert [finding.level.value for finding in findings] == ([level] if level else [])
    assert [finding.measure.value for finding in findings] == pytest.approx([wide] if level else [])


@pytest.mark.parametrize("depth, off", [(9, 0), (8.71, 0), (9.29, 0), (8.69, 0.31), (9.31, 0.31), (4.5, 4.5)])
def test_a_plate_let_in_that_does_not_end_in_the_face_is_told(tmp_path, depth, off):
    assembly = boat(tmp_path, let_in(), plan={"layers": layer_of_depth("SEATS", depth)})
    findings = list(CHECKS["proud"].run(assembly))
    assert [finding.measure.value for finding in findings] == pytest.approx([off] if off else [])
    if findings:
        assert ("stands past" if depth < 9 else "lies below") in str(findings[0].message)
        assert float(findings[0].edits[0].value) == 9


@pytest.mark.parametrize("face, told_so", [("forward", False), ("aft", True), ("both", False)])
def test_a_seat_on_the_other_face_than_its_plate_is_told(tmp_path, face, told_so):
    gussets = {"GUSSETS": {**PLAN["layers"]["GUSSETS"], "face": face}}
    assembly = boat(tmp_path, let_in(), plan={"layers": {**PLAN["layers"], **gussets}})
    says = "the pocket in the forward face of F5 floor at y -250.0, z 50.0 has the outline of F5 gusset, which lies on"
    assert any(says in said for said in told(assembly, "outline")) is told_so


@pytest.mark.parametrize("seats, told_so", [(["POCKETS FWD"], True), (["POCKETS FWD", "POCKETS AFT"], False)])
def test_of_pockets_in_both_faces_alike_the_empty_one_is_not_meant_for_the_plate_of_the_other(tmp_path, seats, told_so):
    """The plate forward is forgotten: that one aft lies in its own pocket."""
    layers = {**layer_of_depth("POCKETS FWD", 5), "POCKETS AFT": {"makes": "pocket", "face": "aft", "depth": 5}}
    layers["GUSSETS"] = {**layers["GUSSETS"], "face": "aft"}
    shapes = [FLOOR, GUSSET, *((layer, "", GUSSET[2]) for layer in seats)]
    found = told(boat(tmp_path, shapes, plan={"layers": layers}), "outline")
    assert any("has the outline of F5 gusset, which lies on the aft face" in said for said in found) is told_so


def test_of_two_depths_under_one_plate_the_one_that_is_wrong_shows(tmp_path):
    """A gusset over two parts: in the greater seat it lies, in the shallower it fouls, over the deeper it hangs."""
    parts = [("CORE", "floor", box(-400, 0, 0, 100)), ("CORE", "side", box(0, 0, 400, 100))]
    gusset, seat = ("GUSSETS", "gusset", box(-60, 10, 40, 90)), ("SEATS", "", box(-60, 10, 0, 90))
    other = ("POCKETS FWD", "", box(0, 10, 40, 90))
    for depth, check, says in ((8, "foul", "overlap by 1.00 mm"), (10, "joint-gap", "stand 1.00 mm apart where one")):
        layers = layer_of_depth("POCKETS FWD", depth)
        (said,) = told(boat(tmp_path, [*parts, gusset, seat, other], plan={"layers": layers}), check)
        assert says in said and "side" in said
    (said,) = told(boat(tmp_path, [*parts, gusset, seat]), "foul")
    assert "overlap by 9.00 mm" in said


@pytest.mark.parametrize("chamfer, fouls", [(0, 4), (1, 4), (3, 0)])
def test_the_wood_that_the_cutter_leaves_in_a_pocket_is_no_foul_but_a_corner(tmp_path, chamfer, fouls):
    """Of a square corner r (sqrt 2 - 1) = 2.07 mm is left; a chamfer takes 1 / sqrt 2 of its width off the diagonal."""
    c, (left, low, right, high) = chamfer, (-300, 10, -200, 90)
    plate = [(left + c, low), (right - c, low), (right, low + c), (right, high - c)]
    plate += [(right - c, high), (left + c, high), (left, high - c), (left, low + c)]
    plate = plate if c else box(left, low, right, high)
    shapes = [FLOOR, ("GUSSETS", "gusset", plate), ("SEATS", "", box(left, low, right, high))]
    assembly = boat(tmp_path, shapes, plan={"cutter": {"diameter": 10}})
    assert told(assembly, "foul") == []
    assert [f.level.value for f in CHECKS["corner"].run(assembly)] == ["error"] * fouls or ["note"]
    assert part(assembly, "floor").volume == pytest.approx(960000 - 9 * (8000 - (4 - math.pi) * 25), rel=1e-6)


def test_parts_lapped_in_thickness_go_together_the_way_the_pockets_open(tmp_path):
    assembly = boat(tmp_path, lap())
    assert told(assembly, "way-in") == []
    laid = [(placed.parts[0].label, placed.way.toward) for placed in bench_order(assembly.frames[0], ()).core]
    assert laid[0][0] == "floor" and laid[1] == ("stem", (0.0, 0.0, -1.0))


@pytest.mark.parametrize("pocketed, bites", [(False, 1), (True, 0)])
def test_a_batten_bites_only_where_there_is_wood(pocketed, bites):
    """It passes a wall at a slant and reaches into it by the forward face alone, where the pocket is."""
    floor = making.part("floor", making.rectangle(-400, 0, 400, 100))
    layer = Layer.model_construct(makes="pocket", face="forward", depth=12.0)
    cut = LabelledOutline(label="", layer="P", outline=making.rectangle(-50, 90, 50, 110), source=floor.source)
    (floor,), _ = with_pockets([floor], [cut] if pocketed else [], {"P": layer}, lambda _: 0.0)
    batten = making.straight_batten("keel", (0.0, 110.5), slope=(0.0, -0.1), arris=0.0)
    frame = making.frame([floor])
    assert len(list(CHECKS["notch-foul"].run(making.assembly([frame], battens=[batten])))) == bites


def watched(assembly, label):
    steps = steps_of(assembly)
    return [w for step in steps for w in step.watch if w.startswith(f"{label}:")]


def goes_either_way(assembly, name):
    return any(turning.either_way for step in steps_of(assembly) for turning in step.turnings if turning.part == name)


def test_the_steps_say_on_which_face_a_pocket_is(tmp_path):
    assembly = boat(tmp_path, [*lap(), *let_in()[1:], ("POCKETS AFT", "floor", box(300, 0, 350, 40))])
    assert watched(assembly, "floor") == [
        "floor: pockets 6 mm deep in its aft face, which lies down",
        "floor: pockets 6 and 9 mm deep in its forward face, which lies up",
    ]
    assert watched(assembly, "gusset")[0] == "gusset: let into the floor, flush with its forward face"


def test_a_part_with_a_pocket_fits_one_way_up_alone(tmp_path):
    """A plain floor fits either face up, and so does the gusset that is let into it."""
    assert goes_either_way(boat(tmp_path, [FLOOR]), "F5 floor")
    assert not goes_either_way(boat(tmp_path, let_in()), "F5 floor")


@pytest.mark.parametrize(
    "to_port, alike",
    [
        (("POCKETS FWD", box(100, 10, 200, 90)), True),
        (("POCKETS FWD", box(100, 10, 200.2, 90)), False),
        (("POCKETS AFT", box(100, 10, 200, 90)), False),
        (("SEATS", box(100, 10, 200, 90)), False),
        ((None, None), False),
    ],
)
def test_pockets_have_images_on_the_other_side(tmp_path, to_port, alike):
    layer, corners = to_port
    image = [(layer, "", corners)] if layer else []
    found = told(boat(tmp_path, [FLOOR, ("POCKETS FWD", "", box(-200, 10, -100, 90)), *image]), "mirror")
    assert ["F5 floor has a pocket" in said for said in found] == [True] * (not alike)


# ---- screws


def driven(tmp_path, shapes, at=(-250, 50), **more):
    (screw,) = boat(tmp_path, shapes, screws=[at], **more).frames[0].screws
    return screw


def test_a_screw_goes_into_what_is_left_of_the_wood(tmp_path):
    screw = driven(tmp_path, let_in())
    assert [(ply.part.label, ply.enters, ply.leaves) for ply in screw.plies] == [("gusset", 12, 3), ("floor", 3, 0)]
    assert screw.left_beyond == pytest.approx(12 - 19.05)


def test_past_the_seat_it_goes_into_the_whole_of_it(tmp_path):
    screw = driven(tmp_path, let_in(), at=(0, 50))
    assert [(ply.part.label, ply.enters, ply.leaves) for ply in screw.plies] == [("floor", 12, 0)]


@pytest.mark.parametrize(
    "at, said", [((-195, 50), "stands 5.00 mm from the wall of a pocket of F5 floor"), ((-250, 50), "")]
)
def test_beside_a_pocket_its_wall_is_an_edge(tmp_path, at, said):
    """In the seat itself the wood below goes on all round."""
    found = told(boat(tmp_path, let_in(), screws=[at]), "screw-edge")
    assert [said in each for each in found] == ([True] if said else [])


@pytest.mark.parametrize("depth, bars", [(9, False), (10, True)])
def test_the_rim_of_too_deep_a_pocket_is_in_the_drivers_way(tmp_path, depth, bars):
    layers = layer_of_depth("SEATS", depth)
    found = told(boat(tmp_path, let_in(), screws=[(-205.9, 50)], plan={"layers": layers}), "driver")
    assert ["F5 floor stands 1.00 mm above the head, 5.90 mm from its axis" in said for said in found] == [True] * bars


def test_the_rim_of_too_deep_a_pocket_is_under_a_head_that_reaches_over_it(tmp_path):
    assembly = boat(tmp_path, let_in(), screws=[(-203, 50)], plan={"layers": layer_of_depth("SEATS", 10)})
    (said,) = told(assembly, "foul")
    assert "is driven into the edge of F5 floor: its axis lies 3.00 mm beside it" in said


def test_over_a_hollow_it_holds_nothing(tmp_path):
    shapes = [FLOOR, GUSSET, ("SEATS", "", box(-270, 10, -230, 90))]
    assembly = boat(tmp_path, shapes, screws=[(-250, 50)])
    (said,) = told(assembly, "screw-bite")
    assert "through the far face of F5 gusset: there is a pocket of F5 floor behind F5 gusset there" in said
    assert told(assembly, "foul") == []


@pytest.mark.parametrize(
    "length, says",
    [("3/8 in", ""), (11.5, "leaves only 0.50 mm of F5 floor"), ("3/4 in", "comes 7.05 mm through the far")],
)
def test_a_screw_long_enough_for_the_whole_sheet_comes_through_what_is_left(tmp_path, length, says):
    """12 mm of gusset and floor in all; a No. 8 screw of 3/8 in is 9.53 mm long."""
    screws = {"gusset": {"gauge": 8, "length": length}}
    assembly = boat(tmp_path, let_in(), screws=[(-250, 50)], plan={"screws": screws})
    found = [str(f.message) for f in CHECKS["screw-bite"].run(assembly) if f.level is not Level.NOTE]
    assert [says in said for said in found] == [True] * bool(says)
    for finding in CHECKS["screw-bite"].run(assembly):
        assert finding.level is Level.NOTE or "make what a pocket leaves of F5 floor at least" in finding.cure

"""Parts cut to a depth: read, cut into the right part, and tried against what lies in them."""

from dataclasses import replace

import pytest
from pocketed import boat, box, layer_of_depth

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.placement import Placement
from scrieve.model.review import review

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
        assert str(findings[0].cure).startswith("widen the pocket in F5 floor by")


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


def test_over_a_hollow_it_holds_nothing(tmp_path):
    shapes = [FLOOR, GUSSET, ("SEATS", "", box(-270, 10, -230, 90))]
    assembly = boat(tmp_path, shapes, screws=[(-250, 50)])
    (said,) = told(assembly, "screw-bite")
    assert "there is nothing behind F5 gusset there" in said

"""Check `corner`."""

from dataclasses import replace

import making
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.checks import CHECKS
from scrieve.model.drawing import LabelledOutline
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.overlap import deepest
from scrieve.model.geometry.placement import Placement
from scrieve.model.plan.plan import Layer
from scrieve.model.relations.notches.corner_wood import _depth, corner_wood, pocket_wood
from scrieve.model.relations.pockets import with_pockets
from scrieve.shared.findings import Level

CORNER = CHECKS["corner"]
CUTTER = 10.0
ROOT_2 = np.sqrt(2)
QUARTER = -np.tan(np.pi / 8)  # a quarter turn to the right


def notched(radius=0.0, *, mirror=1, width=32.0, depth=20.0, flip=False):
    """A board with a notch in its lower edge for a batten 32 x 20, its inside corners drawn to `radius`."""
    left, right, r = 500 - width / 2, 500 + width / 2, radius
    if r:
        points = [(300, 0), (left, 0), (left, depth - r), (left + r, depth), (right - r, depth), (right, depth - r),
                  (right, 0), (700, 0), (700, 200), (300, 200)]  # fmt: skip
        bulges = [0, 0, QUARTER, 0, QUARTER, 0, 0, 0, 0, 0]
    else:
        points = [(300, 0), (left, 0), (left, depth), (right, depth), (right, 0), (700, 0), (700, 200), (300, 200)]
        bulges = [0] * len(points)
    outline = Outline.of(points, bulges)
    if flip:
        outline = Outline.of(outline.points[::-1], -np.roll(outline.bulges[::-1], -1))
    return outline.mirrored() if mirror < 0 else outline


def batten(arris=0.0, *, mirror=1, centre=(500.0, 10.0), station=1000.0):
    at = (mirror * centre[0], centre[1])
    sections = [making.section("port floor", at, frame=number) for number in ("4", "5", "6")]
    placements = [Placement(station=station + dx) for dx in (-500.0, 0.0, 500.0)]
    return making.batten("port floor", sections, placements, arris=arris)


def run(outline, battens=(), *, cutter=CUTTER, limits=None, others=(), strongback=None, order=1, **more):
    parts = [making.part("side", outline, cutter=cutter), *others]
    frame = making.frame(parts[::order], **more)
    boat = making.assembly([frame], battens=battens, cutter=cutter, limits=limits, strongback=strongback)
    return list(CORNER.run(boat))


# ---- closed forms


@pytest.mark.parametrize("r", [3.175, 5.0, 10.0])
def test_what_is_left_in_a_square_corner(r):
    """r (sqrt 2 - 1) along the diagonal and r^2 (1 - pi/4): 2.071 mm and 5.365 mm2 for r 5 (arithmetic)."""
    part = making.part("side", notched(width=80, depth=60))
    woods = corner_wood(part, 2 * r)
    assert len(woods) == 2
    for wood in woods:
        assert wood.depth == pytest.approx(r * (ROOT_2 - 1), abs=1e-3)
        assert wood.region.area == pytest.approx(r * r * (1 - np.pi / 4), rel=2e-3)
        assert wood.drawn_radius == 0.0
    assert [wood.at for wood in woods] == [pytest.approx((460, 60)), pytest.approx((540, 60))]


@pytest.mark.parametrize(("r", "published"), [(3.175, 0.930), (5.0, 1.464)])
def test_how_far_a_square_batten_stands_off(r, published):
    """r (1 - 1/sqrt 2) from each wall: there it clears the corner, nearer it does not."""
    standoff = r * (1 - 1 / ROOT_2)
    assert standoff == pytest.approx(published, abs=5e-4)
    (_, wood) = corner_wood(making.part("side", notched(width=80, depth=60)), 2 * r)
    for off, clear in ((standoff + 0.01, True), (standoff - 0.1, False)):
        square = shapely.box(480, 20, 540 - off, 60 - off)
        assert (deepest(wood.region, square) is None) is clear


# ---- errors


def test_a_square_batten_in_a_square_notch():
    findings = run(notched(), [batten()])
    assert len(findings) == 2
    for finding, y in zip(sorted(findings, key=lambda f: f.at[1]), (484.0, 516.0), strict=True):
        assert finding.check == "corner"
        assert finding.level is Level.ERROR
        assert (finding.measured, finding.limit, finding.unit) == (0.0, 5.0, "mm")
        assert finding.parts == ("F5 side", "port floor")
        assert finding.frame == "5"
        assert finding.at == pytest.approx((1009.0, y, 20.0), abs=2.0)
        assert "2.07 mm out of the corner" in finding.message
        assert "ease the port floor's arris to 5 mm" in finding.cure
        assert "relief of 5 mm" in finding.cure
        assert "cutter of at most" not in finding.cure
        assert finding.source.handle == "side"


def test_a_drawn_radius_is_the_true_one():
    (first, second) = run(notched(2.0), [batten(arris=2.0)])
    for finding in (first, second):
        assert finding.measured == pytest.approx(2.0, abs=1e-9)
        assert "radius of 2.00 mm" in finding.message
        # between the two arcs along the diagonal: (r - a)(sqrt 2 - 1) = 1.243 mm
        assert "cutter of at most 4.00 mm" in finding.cure


def test_the_cures_cure():
    assert [f.level for f in run(notched(), [batten(arris=5.0)])] == [Level.NOTE]
    assert run(notched(5.0), [batten(arris=5.0)]) == []
    assert run(notched(2.0), [batten(arris=2.0)], cutter=4.0) == []
    # the notch drawn with a relief: bigger by the standoff on each wall
    grown = notched(width=32 + 2 * 1.47, depth=20 + 1.47)
    assert [f.level for f in run(grown, [batten()])] == [Level.NOTE]


@pytest.mark.parametrize(("arris", "count"), [(4.45, 2), (4.60, 0)])
def test_the_limit_of_notch_foul(arris, count):
    """The two arcs share walls: the wood is (r - a)(sqrt 2 - 1) deep in the batten, 0.2 mm at a = 4.517."""
    errors = [f for f in run(notched(), [batten(arris=arris)]) if f.level is Level.ERROR]
    assert len(errors) == count


def test_just_inside_and_just_outside_the_limit():
    at_limit = 5.0 - 0.2 / (ROOT_2 - 1)
    for off, count in ((0.05, 0), (-0.05, 2)):  # 0.02 mm of depth either side; flattening takes up to 0.01
        errors = [f for f in run(notched(), [batten(arris=at_limit + off)]) if f.level is Level.ERROR]
        assert len(errors) == count
    limits = {"notch_foul": 1.0}
    assert [f.level for f in run(notched(), [batten(arris=at_limit - 1)], limits=limits)] == [Level.NOTE]


def test_a_part_in_the_same_layer():
    block = making.part("block", making.rectangle(484, -50, 516, 20))
    findings = run(notched(), others=[block])
    assert [f.level for f in findings] == [Level.ERROR] * 2
    assert findings[0].parts == ("F5 block", "F5 side")
    assert "round the corner of F5 block to 5 mm" in findings[0].cure


def test_a_part_in_another_layer_is_not_fouled():
    block = making.part("block", making.rectangle(484, -50, 516, 20), face="forward", thickness=9)
    assert [f.level for f in run(notched(), others=[block])] == [Level.NOTE]


@pytest.mark.parametrize("rake", [0.0, 0.2])
def test_a_leg_that_hooks_over_a_rail(rake):
    """Bearing edge on the rail's top, locating edge against its inner face: the rail's arris is in the corner."""
    leg = Outline.of([(240, -60), (280, -60), (280, 0), (320, 0), (320, 300), (240, 300)])
    (finding,) = run(leg, strongback=making.rails(), rake=rake)
    assert finding.level is Level.ERROR
    assert {subject.name for subject in finding.subjects} == {"F5 side", "port rail"}
    assert finding.cure == "draw a relief of 5 mm radius into the corner"  # nobody rounds a rail at one frame
    (finding,) = run(leg, strongback=making.rails(inside_width=580), rake=rake)
    assert finding.level is Level.NOTE


# ---- notes


def test_wood_that_fouls_nothing_is_one_note_a_part():
    (note,) = run(notched())
    assert note.level is Level.NOTE
    assert note.parts == ("F5 side",)
    assert (note.measured, note.limit) == (0.0, 5.0)
    assert "2 inside corners" in note.message
    assert note.message.endswith(
        "5 mm instead of sharp; the wood left stands 2.07 mm out of the worst and fouls nothing"
    )


@pytest.mark.parametrize("radius", [5.0, 4.96, 6.0])
def test_corners_the_cutter_reaches_into_say_nothing(radius):
    assert run(notched(radius)) == []


def test_corners_just_too_tight():
    """0.1 mm short: 0.05 for what a machine repeats to, and a sliver of wood along the diagonal."""
    assert run(notched(4.91)) == []
    (note,) = run(notched(4.8))
    assert note.measured == pytest.approx(4.8, abs=1e-9)


def test_without_a_cutter_one_note_says_that_corners_are_not_checked():
    (note,) = run(notched(), [batten()], cutter=0.0)
    assert note.level is Level.NOTE
    assert note.message == "no cutter is named in the plan: inside corners are not checked"
    assert (note.frame, note.parts, note.at, note.measured) == ("", (), None, None)
    assert note.source.file == "plan.toml"
    frames = [making.frame([making.part("side", notched(), frame=n)], number=n, station=x)
              for n, x in (("2", 2000.0), ("1", 1000.0))]  # fmt: skip
    assert list(CORNER.run(making.assembly(frames))) == [note]


def test_wood_that_is_all_about_its_corner_has_the_depth_of_the_circle_in_it():
    """Where no arc of the cutter bounds it: a square of 3 mm holds a circle of 3 mm."""
    depth, at = _depth(shapely.box(0, 0, 3, 3), shapely.box(-1, -1, 4, 4))
    assert (depth, at) == (pytest.approx(3.0, abs=1e-6), pytest.approx((1.5, 1.5), abs=1e-6))


def test_an_arc_drawn_as_short_chords_is_taken_for_the_arc_it_is():
    """A quarter turn of 3 mm radius in 30 chords: 3 degrees a corner."""
    turns = np.radians(np.linspace(90, 180, 31))
    corner = np.column_stack([516 - 3 - 3 * np.cos(turns), 20 - 3 + 3 * np.sin(turns)])
    points = [(300, 0), (500, 0), (500, 20), *corner, (516, 0), (700, 0), (700, 200), (300, 200)]
    woods = corner_wood(making.part("side", Outline.of(points)), CUTTER)
    assert [wood.drawn_radius for wood in woods] == [0.0, pytest.approx(3.0, rel=0.01)]


def test_a_corner_drawn_twice_is_one_corner():
    outline = notched(2.0)
    points = np.insert(outline.points, 3, outline.points[3], axis=0)
    bulges = np.insert(outline.bulges, 3, 0.0)
    woods = corner_wood(making.part("side", Outline.of(points, bulges)), CUTTER)
    assert [wood.drawn_radius for wood in woods] == pytest.approx([2.0, 2.0])


def test_corners_of_holes_count():
    part = making.part("side", making.rectangle(300, 0, 700, 200))
    hole = making.rectangle(400, 50, 500, 150)
    for drawn in (hole, Outline.of(hole.points[::-1])):
        holed = replace(part, holes=(drawn,))
        woods = corner_wood(holed, CUTTER)
        assert [wood.drawn_radius for wood in woods] == [0.0] * 4


# ---- what makes no difference


def key(findings):
    return sorted((f.level, round(f.measured, 6), f.limit, f.parts, f.message) for f in findings)


@pytest.mark.parametrize("radius", [0.0, 2.0])
def test_mirrored_moved_flipped_and_reordered_frames_give_the_same(radius):
    straight = run(notched(radius), [batten(radius)])
    assert len(straight) == 2
    assert key(run(notched(radius, mirror=-1), [batten(radius, mirror=-1)])) == key(straight)
    assert key(run(notched(radius), [batten(radius, station=5000.0)], station=5000.0)) == key(straight)
    assert key(run(notched(radius, flip=True), [batten(radius)])) == key(straight)
    other = making.part("another", making.rectangle(-700, 0, -300, 200))
    assert key(run(notched(radius), [batten(radius)], others=[other], order=-1)) == key(straight)


@settings(max_examples=30)
@given(st.floats(0, 2 * np.pi), st.floats(-5000, 5000), st.floats(-3000, 3000))
def test_radius_and_depth_do_not_care_how_the_part_lies(angle, y, v):
    outline = notched(2.0).turned(angle).moved((y, v))
    woods = corner_wood(making.part("side", outline), CUTTER)
    assert len(woods) == 2
    for wood in woods:
        assert wood.drawn_radius == pytest.approx(2.0, abs=1e-6)
        # the corner is the nearest the drawn arc comes: (r - a)(sqrt 2 - 1), to the flattening
        assert wood.depth == pytest.approx(3 * (ROOT_2 - 1), abs=0.02)


# ---- what other cures and other checks there are


@pytest.mark.parametrize(("arris", "offered"), [(4.0, True), (5.0, False)])
def test_easing_an_arris_is_offered_only_where_it_is_sharper_than_the_cutter(arris, offered):
    """A batten pushed 0.19 mm into both walls of a corner, within the limit: its arris meets the wood deeper."""
    errors = [f for f in run(notched(), [batten(arris=arris, centre=(500.19, 10.19))], limits={"notch_foul": 0.195})
              if f.level is Level.ERROR]  # fmt: skip
    assert errors
    for finding in errors:
        assert ("ease the port floor's arris to 5 mm" in finding.cure) is offered
        assert "draw a relief of 5 mm radius into the corner" in finding.cure


def test_an_arris_is_not_to_be_eased_past_half_the_batten():
    errors = [f for f in run(notched(), [batten()], cutter=24.0) if f.level is Level.ERROR]
    assert errors
    assert not any("arris" in finding.cure for finding in errors)


@pytest.mark.parametrize(("aside", "errors"), [(0.0, 2), (2.0, 0), (-2.0, 0)])
def test_a_batten_that_bites_the_part_as_drawn_is_left_to_notch_foul(aside, errors):
    """A notch drawn 2 mm aside is told once, by notch-foul."""
    battens = [batten(centre=(500.0 + aside, 10.0))]
    found = [f for f in run(notched(), battens) if f.level is Level.ERROR]
    assert len(found) == errors
    boat = making.assembly([making.frame([making.part("side", notched(), cutter=CUTTER)])], battens=battens,
                           cutter=CUTTER)  # fmt: skip
    assert bool(list(CHECKS["notch-foul"].run(boat))) is (aside != 0.0)


def test_no_wood_by_a_batten_that_bites_is_said_to_foul_nothing():
    assert run(notched(), [batten(centre=(502.0, 10.0))]) == []


def test_a_batten_that_bites_excuses_no_other():
    block = making.part("block", making.rectangle(484, -50, 516, 20))
    found = run(notched(), [batten(centre=(502.0, 10.0))], others=[block])
    assert [f.parts for f in found if f.level is Level.ERROR] == [("F5 block", "F5 side")] * 2


@pytest.mark.parametrize("reach", [(0, 20, 100, 80), (0, 20, 100, 100), (0, -10, 100, 80), (-5, 20, 100, 80)])
@pytest.mark.parametrize("rounded", [15, 3])
def test_the_corners_of_a_pocket_drawn_to_the_parts_edge_are_each_told_with_its_own_depth(reach, rounded):
    """At odd angles; of a square corner r (sqrt 2 - 1) is left, and each is told apart however its walls run on."""
    _, low, right, high = reach
    corners = [v for v in (low, high) if 0 < v < 100]
    for angle in np.linspace(0.05, 3.1, 12):

        def drawn(box, angle=angle):
            points = making.turned([box[:2], (box[2], box[1]), box[2:], (box[0], box[3])], angle)
            return Outline.of([(round(float(y), rounded), round(float(v), rounded)) for y, v in points])

        floor = making.part("floor", drawn((0, 0, 400, 100)), cutter=6.0)
        pocket = LabelledOutline(label="", layer="P", outline=drawn(reach), source=floor.source)
        layer = Layer.model_construct(makes="pocket", face="forward", depth=9.0)
        (cut,), _ = with_pockets([floor], [pocket], {"P": layer}, lambda _: 6.0)
        ((_, woods),) = pocket_wood(cut)
        assert [wood.depth for wood in woods] == pytest.approx([3 * (np.sqrt(2) - 1)] * len(corners), abs=2e-3)
        there = making.turned([(right, v) for v in corners], angle)
        assert sorted(wood.at for wood in woods) == [pytest.approx(at, abs=2e-3) for at in sorted(there)]

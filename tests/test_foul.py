"""Check `foul`."""

import re
from dataclasses import replace

import making
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.boat.solid_overlap import deepest_solid
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.overlap import deepest
from scrieve.model.geometry.placement import Placement
from scrieve.model.relations.fouls import fouls_of_battens
from scrieve.model.relations.fouls.foul import as_drawn, part_solid
from scrieve.model.relations.fouls.fouls_in_space import LEG_ON_RAIL
from scrieve.shared.findings import Level

FOUL = CHECKS["foul"]
LIMIT = 0.1


def run(frames, **more):
    frames = frames if isinstance(frames, list) else [frames]
    return list(FOUL.run(making.assembly(frames, **more)))


def gussets(depth, *, mirror=1, order=1, **more):
    """Two gussets on one face, one running `depth` into the other, over one core board."""

    def board(left, right):
        return making.rectangle(*((left, 0, right, 200) if mirror > 0 else (-right, 0, -left, 200)))

    parts = [
        making.part("side", board(300, 700)),
        making.part("chine gusset", board(300, 500), face="forward", thickness=9),
        making.part("sheer gusset", board(500 - depth, 700), face="forward", thickness=9),
    ]
    return making.frame(parts[::order], **more)


# ---- parts of one frame


@pytest.mark.parametrize("depth", [LIMIT + 0.01, 0.62, 12.0])
def test_two_gussets_in_one_place(depth):
    (finding,) = run(gussets(depth))
    assert finding.check == "foul"
    assert finding.level is Level.ERROR
    assert finding.measured == pytest.approx(min(depth, 9.0), abs=2e-3)
    assert (finding.limit, finding.unit, finding.frame) == (LIMIT, "mm", "5")
    assert finding.parts == ("F5 chine gusset", "F5 sheer gusset")
    assert finding.at[0] == pytest.approx(1022.5)
    assert finding.at[1] == pytest.approx(500 - depth / 2, abs=depth)
    assert finding.source.handle == "chine gusset"


@pytest.mark.parametrize("depth", [0.0, LIMIT - 0.01, 0.8 * LIMIT, -3.0])
def test_gussets_that_touch_or_nearly(depth):
    assert run(gussets(depth)) == []


def test_the_limit_of_the_plan_counts():
    assert run(gussets(0.6), limits={"foul": 0.7}) == []
    assert len(run(gussets(0.6), limits={"foul": 0.5})) == 1


def test_glued_faces_only_touch():
    board = making.rectangle(300, 0, 700, 200)
    stack = [
        making.part(label, board, face=face, thickness=t)
        for label, face, t in (("side", "core", 18), ("forward", "forward", 9), ("aft", "aft", 9))
    ]
    assert run(making.frame(stack)) == []
    sunk = replace(stack[1], low=17.5, high=26.5)
    (finding,) = run(making.frame([stack[0], sunk]))
    assert finding.measured == pytest.approx(0.5)
    assert "F5 forward at least 0.5 mm forward, or F5 side as far aft" in finding.cure


def test_core_parts_that_butt_belong_to_their_joint():
    floor = making.part("floor", making.rectangle(-400, 0, 400, 100))
    side = making.part("port side", making.rectangle(398, 0, 500, 600))
    assert run(making.frame([floor, side])) == []
    crossing = making.part("port side", making.rectangle(350, 20, 380, 600))
    (finding,) = run(making.frame([floor, crossing]))
    assert finding.measured == pytest.approx(18.0)  # the thickness is less than the 30 mm across


def test_wood_left_in_corners_belongs_to_the_corner_check():
    notched = Outline.of([(300, 0), (484, 0), (484, 20), (516, 20), (516, 0), (700, 0), (700, 200), (300, 200)])
    parts = [
        making.part("side", notched, face="forward", thickness=9, cutter=10.0),
        making.part("block", making.rectangle(484, -50, 516, 20), face="forward", thickness=9),
    ]
    assert deepest(parts[0].shape, parts[1].shape).depth > 1.0
    assert run(making.frame(parts), cutter=10.0) == []
    assert as_drawn(parts[0]).area == pytest.approx(notched.polygon().area)


# ---- the cure


def shifted(part, y, v):
    moved = shapely.transform(part.shape, lambda points: np.add(points, (y, v)))
    return replace(part, shape=moved, drawn=part.drawn.moved((y, v)))


@pytest.mark.parametrize("mirror", [1, -1])
def test_the_cure_says_which_way_and_how_far(mirror):
    frame = gussets(0.62, mirror=mirror)
    (finding,) = run(frame)
    there, back = ("starboard", "port") if mirror > 0 else ("port", "starboard")
    assert finding.cure == (f"move F5 chine gusset at least 0.7 mm to {there}, or F5 sheer gusset as far to {back}")
    parts = [shifted(p, -0.7 * mirror, 0) if p.label == "chine gusset" else p for p in frame.parts]
    assert run(replace(frame, parts=tuple(parts))) == []


def test_a_corner_into_an_edge_moves_out_by_the_whole_corner():
    """A square on its point, 3 mm over an edge: its overlap is a triangle, less deep than it is high."""
    point = Outline.of([(500, 97), (550, 147), (500, 197), (450, 147)])
    parts = [
        making.part("low", making.rectangle(300, 0, 700, 100), face="forward", thickness=9),
        making.part("diamond", point, face="forward", thickness=9),
    ]
    frame = making.frame(parts)
    (finding,) = run(frame)
    # the circle in a right-angled triangle of height 3: radius 3 (sqrt 2 - 1)
    assert finding.measured == pytest.approx(2 * 3 * (np.sqrt(2) - 1), abs=5e-3)
    assert finding.cure.startswith("move F5 diamond at least 3.0 mm up")


# ---- frames


def two_frames(gap, *, rake=0.0, order=1, side=1):
    """Frames 5 and 6, 18 mm thick, the forward one `gap` in front of the other."""
    frames = []
    for number, station in (("5", 1000.0), ("6", 1000.0 + (18 + gap) / np.cos(rake))):
        left, right = sorted((side * 300, side * 700))
        parts = [making.part(label, making.rectangle(left, low, right, low + 99), frame=number)
                 for label, low in (("floor", 0), ("beam", 100))]  # fmt: skip
        frames.append(making.frame(parts, number=number, station=station, rake=rake))
    return frames[::order]


@pytest.mark.parametrize("rake", [0.0, 0.3, -0.5])
@pytest.mark.parametrize("depth", [LIMIT + 0.01, 2.5])
def test_two_frames_that_run_into_one_another(depth, rake):
    (finding,) = run(two_frames(-depth, rake=rake))
    assert finding.measured == pytest.approx(depth, abs=1e-6)
    assert {name.split()[0] for name in finding.parts} == {"F5", "F6"}
    # square to the frames floor meets floor and beam beam; leaning ones are shifted in their plane as well
    assert f"and {1 if rake == 0.0 else 2} more of the same two frames" in finding.message
    assert "forward" in finding.cure or "aft" in finding.cure


@pytest.mark.parametrize("rake", [0.0, 0.3])
@pytest.mark.parametrize("gap", [0.0, 0.5, 20.0, -(LIMIT - 0.01)])
def test_two_frames_that_do_not(gap, rake):
    assert run(two_frames(gap, rake=rake)) == []


def test_a_raked_transom_against_an_upright_frame():
    """The transom leans forward over the frame: 200 mm up it has come 200 tan 0.2 = 40.5 mm nearer."""
    side = making.part("side", making.rectangle(300, 0, 700, 200), frame="2")
    board = making.part("transom", making.rectangle(300, 0, 700, 200), frame="1")

    def boat(station):
        return [making.frame([board], number="1", station=1000.0, rake=-0.2, kind="transom"),
                making.frame([side], number="2", station=station)]  # fmt: skip

    # its forward top edge: 1000 + 200 sin 0.2 + 18 cos 0.2
    edge = 1000 + 200 * np.sin(0.2) + 18 * np.cos(0.2)
    assert run(boat(edge - 0.05)) == []
    (finding,) = run(boat(edge - 3.0))
    assert finding.measured <= 3.0 + 1e-6
    assert finding.measured > 1.0
    assert finding.at[2] > 170


def test_screws_of_two_frames_that_cross():
    """Shafts square to two frames 0.6 rad apart that meet at one point; the boards around them meet as well."""
    frames = []
    for number, rake in (("1", 0.0), ("2", 0.6)):
        board = making.rectangle(300, -100, 700, 200)
        parts = [making.part("side", board, frame=number),
                 making.part("gusset", board, face="forward", thickness=9, frame=number)]  # fmt: skip
        screw = making.screw(parts, (500, 0), frame=number)
        station = 1000.0 if rake == 0.0 else 1017.0 - 17 / np.cos(rake)
        frames.append(making.frame(parts, number=number, station=station, rake=rake, screws=[screw]))
    (finding,) = run(frames)
    assert "more of the same two frames" in finding.message


# ---- the strongback


def leg(bottom=0.0, inner=280.0, *, rake=0.0, role="leg", mirror=1):
    left, right = sorted((mirror * inner, mirror * (inner + 60)))
    ply = making.part("port leg", making.rectangle(left, bottom, right, 300), role=role)
    return making.frame([ply], rake=rake)


@pytest.mark.parametrize("rake", [0.0, 0.1])
def test_a_part_in_a_rail(rake):
    (finding,) = run(leg(-2.0, role="core", rake=rake), strongback=making.rails())
    assert {subject.name for subject in finding.subjects} == {"F5 port leg", "port rail"}
    assert "up" in finding.cure
    if rake == 0.0:
        assert finding.measured == pytest.approx(2.0, abs=2e-3)
    else:  # v = -2 in the raked plane, its aft lower edge down by 18 sin 0.1 less
        assert finding.measured == pytest.approx(2 * np.cos(rake), abs=0.02)
    assert run(leg(-0.09, role="core", rake=rake), strongback=making.rails()) == []
    assert run(leg(1.0, role="core"), strongback=making.rails()) == []


@pytest.mark.parametrize(("bottom", "count"), [(0.0, 0), (-3.0, 0), (-9.9, 0), (-10.1, 1)])
def test_a_leg_a_little_into_its_rail_belongs_to_the_legs_checks(bottom, count):
    assert LEG_ON_RAIL == 10.0
    assert len(run(leg(bottom), strongback=making.rails())) == count


def test_starboard_and_an_inverted_build():
    (finding,) = run(leg(-2.0, role="core", mirror=-1), strongback=making.rails())
    assert {subject.name for subject in finding.subjects} == {"F5 port leg", "starboard rail"}
    hung = making.part("port leg", making.rectangle(280, -300, 340, 2.0), role="core")
    (finding,) = run(making.frame([hung]), strongback=making.rails(build="inverted"), build="inverted")
    assert finding.measured == pytest.approx(2.0, abs=2e-3)
    assert "F5 port leg at least 2.0 mm down" in finding.cure


def test_a_frame_beyond_the_rails_does_not_meet_them():
    frame = replace(leg(-20.0, role="core"), placement=Placement(station=9000.0))
    assert run(frame, strongback=making.rails()) == []


# ---- battens


@pytest.mark.parametrize("depth", [LIMIT + 0.01, 1.0, 12.0])
def test_two_battens_in_one_place(depth):
    one = making.straight_batten("port chine", (500.0, 100.0), arris=0.0)
    other = making.straight_batten("port floor", (500.0, 120.0 - depth), arris=0.0)
    (finding,) = run([], battens=[one, other])
    assert finding.measured == pytest.approx(depth, abs=1e-6)
    assert finding.parts == ("port chine", "port floor")
    assert finding.frame == ""
    assert f"move port chine at least {np.ceil(depth * 10) / 10:.1f} mm down, or port floor as far up" == finding.cure
    assert finding.source.file.startswith("frames/")


@pytest.mark.parametrize("gap", [0.0, 0.01 - LIMIT, 5.0])
def test_battens_that_touch_or_lie_apart(gap):
    one = making.straight_batten("port chine", (500.0, 100.0), arris=0.0)
    other = making.straight_batten("port floor", (500.0, 120.0 + gap), arris=0.0)
    assert run([], battens=[one, other]) == []


def bent(name, rise, *, z=100.0):
    """A batten bent to a bow of `rise` mm over 2 m."""
    sections = [making.section(name, (500 + rise * (1 - ((x - 1000) / 1000) ** 2), z), frame=str(x))
                for x in range(0, 2001, 250)]  # fmt: skip
    return making.batten(name, sections, [Placement(station=float(x)) for x in range(0, 2001, 250)], arris=0.0)


def test_bent_battens_side_by_side_are_no_deeper_for_their_bend():
    """Lying on one another over their whole length: the bow of 150 mm is not the depth."""
    assert run([], battens=[bent("port chine", 150), bent("port floor", 150, z=120.0)]) == []
    (finding,) = run([], battens=[bent("port chine", 150), bent("port floor", 150, z=119.5)])
    assert finding.measured == pytest.approx(0.5, abs=0.02)


def test_battens_that_cross_twice_foul_twice():
    straight = making.straight_batten("port floor", (575.0, 100.0), arris=0.0)
    findings = run([], battens=[bent("port chine", 150), straight])
    assert len(findings) == 2
    # y = 500 + 150 (1 - u^2) = 575 where u = +-0.707
    assert sorted(f.at[0] for f in findings) == [pytest.approx(293, abs=120), pytest.approx(1707, abs=120)]


def test_a_batten_in_a_rail():
    touching = making.straight_batten("port floor", (300.0, 10.0), arris=0.0)
    assert run([], battens=[touching], strongback=making.rails()) == []
    sunk = making.straight_batten("port floor", (300.0, 8.5), arris=0.0)
    (finding,) = run([], battens=[sunk], strongback=making.rails())
    assert finding.measured == pytest.approx(1.5, abs=1e-6)
    assert {subject.name for subject in finding.subjects} == {"port floor", "port rail"}
    assert "move port floor at least 1.5 mm up" in finding.cure


def test_frames_without_parts_and_boats_without_frames():
    assert run([]) == []
    assert run([making.frame([]), gussets(0.0, station=3000.0)], strongback=making.rails()) == []


# ---- what makes no difference


def test_mirrored_moved_raked_and_reordered_boats_give_the_same():
    (straight,) = run(gussets(0.62))
    for more in ({"mirror": -1}, {"station": 5000.0}, {"station": 5000.0, "rake": 0.41}, {"order": -1}):
        (finding,) = run(gussets(0.62, **more))
        assert finding.measured == pytest.approx(straight.measured, abs=1e-6), more
        assert finding.parts == straight.parts
        assert finding.message == straight.message
    (there,) = run(two_frames(-1.3, rake=0.2))
    (mirrored,) = run(two_frames(-1.3, rake=0.2, side=-1))
    (reordered,) = run(two_frames(-1.3, rake=0.2, order=-1))
    assert reordered == there
    assert mirrored.measured == pytest.approx(there.measured, abs=1e-6)


def quad():
    """A convex outline of four to eight corners, at least a few millimetres across."""
    return (
        st.lists(st.tuples(st.integers(-60, 60), st.integers(-60, 60)), min_size=4, max_size=8, unique=True)
        .map(lambda points: shapely.MultiPoint(points).convex_hull)
        .filter(lambda hull: hull.geom_type == "Polygon" and hull.area > 200)
    )


@settings(max_examples=80)
@given(quad(), quad(), st.floats(0, 30), st.floats(-0.6, 0.6), st.floats(-6000, 6000))
def test_prisms_in_a_plane_and_solids_in_space_agree(one, other, step, rake, station):
    """The 2D route against manifold3d: the same volume in common, and both or neither a foul."""
    parts = [
        replace(making.part(label, Outline.of(shape.exterior.coords[:-1]), face="forward"), low=low, high=low + 18.0)
        for label, shape, low in (("one", one, 0.0), ("other", other, step))
    ]
    frame = making.frame(parts, station=station, rake=rake)
    a, b = (part_solid(part, frame.placement) for part in frame.parts)
    flat = parts[0].shape.intersection(parts[1].shape).area * max(18.0 - step, 0.0)
    assert (a ^ b).volume() == pytest.approx(flat, abs=1e-4 + 1e-8 * flat)
    found, space = run(frame), deepest_solid(a, b)
    if found:
        # the widest circle never exceeds the least width
        assert found[0].measured <= space.depth + 5e-3
        assert re.search(r"move F5 (one|other) at least [\d.]+ mm|look whether F5 one or F5 other lies", found[0].cure)
    elif space is not None:
        # a triangle's least width is at most one and a half times the diameter of its circle
        assert space.depth <= 1.5 * LIMIT + 0.01


@settings(max_examples=40)
@given(quad(), quad(), st.floats(0, 6.28), st.floats(-5000, 5000), st.floats(-5000, 5000))
def test_depth_does_not_care_how_the_parts_lie(one, other, angle, y, v):
    def measured(move, order):
        outlines = [move(Outline.of(shape.exterior.coords[:-1])) for shape in (one, other)]
        parts = [making.part(label, outline, face="forward") for label, outline in
                 zip(("one", "other"), outlines, strict=True)]  # fmt: skip
        return [finding.measured for finding in run(making.frame(parts[::order]))]

    here = measured(lambda outline: outline, 1)
    there = measured(lambda outline: outline.turned(angle).moved((y, v)), -1)
    if here and there:
        assert there == pytest.approx(here, abs=5e-3)
    else:
        assert max([*here, *there], default=0.0) <= LIMIT + 5e-3


# ---- core parts that butt, and run into one another elsewhere


def hooked(depth, *, butt=0.0, role=None):
    """A floor and a side that butts its end, `butt` into it, and hooks `depth` mm into its top further inboard."""
    floor = making.part("floor", making.rectangle(-400, 100, 400, 190))
    side = [(400 - butt, 100), (480, 100), (480, 300), (300, 300), (300, 190 - depth), (380, 190 - depth), (380, 230)]
    corner = [(400 - butt, 230)]
    return making.frame([floor, making.part("port side", Outline.of([*side, *corner]), role=role)])


@pytest.mark.parametrize("butt", [0.0, 0.4, 4.0])
@pytest.mark.parametrize("role", [None, "leg"])
def test_a_joint_does_not_excuse_what_overlaps_elsewhere(butt, role):
    (finding,) = run(hooked(12.0, butt=butt, role=role))
    assert finding.measured == pytest.approx(12.0, abs=2e-3)
    assert finding.parts == ("F5 floor", "F5 port side")
    assert finding.at[1] == pytest.approx(340, abs=40)
    assert run(hooked(0.0, butt=butt, role=role)) == []
    assert run(hooked(LIMIT - 0.01, butt=butt, role=role)) == []


# ---- which way parts of one frame can give


@pytest.mark.parametrize("rake", [0.0, 0.3])
def test_plates_on_one_face_part_along_it(rake):
    """20 mm over one another and 9 mm thick: the depth is the thickness, the way out lies in the plane."""
    frame = gussets(20.0, rake=rake)
    (finding,) = run(frame)
    assert finding.measured == pytest.approx(9.0)
    assert finding.cure == "move F5 chine gusset at least 20.0 mm to starboard, or F5 sheer gusset as far to port"
    parts = [shifted(p, -20.0, 0) if p.label == "chine gusset" else p for p in frame.parts]
    assert run(replace(frame, parts=tuple(parts))) == []


def test_plates_of_different_thickness_on_one_face_part_along_it():
    parts = [
        making.part("thick", making.rectangle(300, 0, 500, 200), face="forward", thickness=12),
        making.part("thin", making.rectangle(480, 0, 700, 200), face="forward", thickness=6),
    ]
    (finding,) = run(making.frame(parts))
    assert finding.measured == pytest.approx(6.0)
    assert "at least 20.0 mm to starboard" in finding.cure


@pytest.mark.parametrize("rake", [0.0, 0.1])
def test_a_leg_deep_in_a_rail_is_held_to_the_limit_of_every_foul(rake):
    (finding,) = run(leg(-14.0, rake=rake), strongback=making.rails())
    assert finding.limit == LIMIT
    assert finding.message.endswith("want 0.10 mm at most")


# ---- battens of any length


def test_battens_of_a_long_boat_are_tried_no_more_often(monkeypatch):
    """Lying in one another over 80 m: as many solids as over 2 m would be, times a few."""
    tried = []
    real = fouls_of_battens.deepest_solid
    monkeypatch.setattr(fouls_of_battens, "deepest_solid", lambda a, b: tried.append(1) or real(a, b))
    for length in (2_000.0, 80_000.0, 800_000.0):
        tried.clear()
        (finding,) = run([], battens=[long("port chine", 100.0, length), long("port floor", 110.0, length)])
        assert finding.measured == pytest.approx(10.0, abs=1e-6)
        assert 0 < len(tried) <= 100


def test_battens_of_a_long_boat_that_cross_foul_where_they_cross():
    level, rising = long("port chine", 100.0, 80_000.0), long("port floor", 60.0, 80_000.0, rise=80.0)
    (finding,) = run([], battens=[level, rising])
    assert finding.measured == pytest.approx(20.0, abs=0.3)
    assert finding.at[0] == pytest.approx(40_000, abs=500)


def test_battens_of_a_long_boat_that_lie_on_one_another_do_not_foul():
    assert run([], battens=[long("port chine", 100.0, 80_000.0), long("port floor", 120.0, 80_000.0)]) == []


def long(name, z, length, *, rise=0.0):
    """A straight batten from x = 0 on, at y = 500."""
    xs = [length * n / 4 for n in range(5)]
    sections = [making.section(name, (500.0, z + rise * x / length), frame=str(x)) for x in xs]
    return making.batten(name, sections, [Placement(station=x) for x in xs], arris=0.0)

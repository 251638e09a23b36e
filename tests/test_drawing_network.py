"""Loose lines of parts that butt and share corners: labels decide, and where they do not it stays a fork."""

import random
from itertools import pairwise

import drawings
import ezdxf
import numpy as np
import pytest
import replanning
from drawings import laid, line, polyline, rectangle, said, text
from faults import FAULTY, HULLS
from hypothesis import given, settings
from hypothesis import strategies as st
from loose_lines import box, loose, measured, once, segments
from test_equal_plans import assert_same

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Level

FORK = "which of them belong to one outline cannot be told"

# a ring frame: corners by name, and parts as (corner, bulge of the edge to the next) counter-clockwise
CORNERS = {
    "keel": (0, 0), "chine port": (600, 120), "chine starboard": (-600, 120),
    "sheer port": (700, 500), "sheer starboard": (-700, 500),
    "deck port": (620, 520), "deck starboard": (-620, 520),
    "inner port": (520, 200), "inner starboard": (-520, 200),
    "beam port": (600, 440), "beam starboard": (-600, 440),
}  # fmt: skip
PARTS = {
    "floor": [("keel", 0.05), ("chine port", 0), ("inner port", -0.06), ("inner starboard", 0),
              ("chine starboard", 0.05)],
    "port side": [("chine port", 0.04), ("sheer port", 0), ("deck port", 0), ("beam port", -0.08), ("inner port", 0)],
    "starboard side": [("chine starboard", 0), ("inner starboard", -0.08), ("beam starboard", 0),
                       ("deck starboard", 0), ("sheer starboard", 0.04)],
    "deck beam": [("beam port", 0), ("deck port", 0.1), ("deck starboard", 0), ("beam starboard", -0.09)],
}  # fmt: skip
PLACES = {"floor": (0, 80), "port side": (630, 400), "starboard side": (-630, 400), "deck beam": (0, 560)}


def ring():
    return [[(CORNERS[corner], bulge) for corner, bulge in part] for part in PARTS.values()]


def assert_forks(shapes):
    """That nothing came of it but forks and what else is wrong."""
    assert shapes.shapes == ()
    assert any(FORK in message for message in said(shapes.defects, Level.ERROR))


# ---- parts that butt


@pytest.mark.parametrize("joints", ["once", "twice"])
def test_three_rectangles_that_butt(tmp_path, joints):
    edges = segments([box(0, 0, 100, 60), box(100, 0, 250, 60), box(250, 0, 300, 60)])
    document = drawings.new()
    loose(document.modelspace(), once(edges) if joints == "once" else edges, random.Random(3))
    for label, u in (("a", 50), ("b", 175), ("c", 275)):
        text(document.modelspace(), label, (u, 30))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert {label: area for label, (area, *_) in measured(shapes).items()} == {"a": 6000, "b": 9000, "c": 3000}


@pytest.mark.parametrize("seen", ["from aft", "from forward"])
@pytest.mark.parametrize("joints", ["once", "twice"])
@pytest.mark.parametrize("seed", range(10))
def test_a_ring_frame_comes_out_as_from_closed_polylines(tmp_path, joints, seed, seen):
    whole, cut = drawings.new(), drawings.new()
    for part in ring():
        polyline(whole.modelspace(), [point for point, _ in part], [bulge for _, bulge in part])
    edges = segments(ring())
    loose(cut.modelspace(), once(edges) if joints == "once" else edges, random.Random(seed))
    for document in (whole, cut):
        for label, at in PLACES.items():
            text(document.modelspace(), label.split()[-1] if "side" in label else label, at)
    wanted, got = (laid(tmp_path, document, seen=seen) for document in (whole, cut))
    assert said(wanted.defects) == []
    assert said(got.defects) == ["1 opening between parts of layer CORE that no label names is taken as no part"]
    assert got.defects[0].level is Level.NOTE
    assert got.defects[0].at == pytest.approx((0, 320), abs=40)
    assert [s.label for s in got.shapes] == [s.label for s in wanted.shapes]
    for one, other in zip(got.shapes, wanted.shapes, strict=True):
        drawings.assert_same(one.outline, other.outline)


def test_arcs_as_arcs_that_leave_a_corner_along_one_tangent(tmp_path):
    """A line and two arcs leave (0, 0) to the right: only their curvature tells them apart."""
    document = drawings.new()
    space = document.modelspace()
    for radius in (100, 200):
        space.add_arc((0, radius), radius, 270, 360, dxfattribs={"layer": "CORE"})
    loose(space, [((0, 0), (300, 0), 0), ((300, 0), (300, 300), 0), ((300, 300), (200, 200), 0),
                  ((200, 200), (100, 100), 0), ((100, 100), (0, 0), 0)])  # fmt: skip
    for label, at in (("inner", (60, 40)), ("middle", (110, 60)), ("outer", (280, 100))):
        text(space, label, at)
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    quarter = {r: np.pi * r * r / 4 for r in (100, 200)}  # what lies above an arc, in its square
    segment = {r: quarter[r] - r * r / 2 for r in (100, 200)}
    areas = {label: area for label, (area, *_) in measured(shapes).items()}
    assert areas == pytest.approx(
        {"inner": segment[100], "middle": segment[200] - segment[100], "outer": 45_000 - segment[200]}
    )


def test_corners_that_miss_by_less_than_the_limit_are_one(tmp_path):
    document = drawings.new()
    edges = [
        *segments([box(0, 0, 100, 60)]),
        ((100.004, 0), (200, 0), 0),
        ((200, 0.003), (200, 60), 0),
        ((200, 60), (100, 60.005), 0),
    ]
    loose(document.modelspace(), edges)
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "b", (150, 30))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert {s.label: len(s.outline.points) for s in shapes.shapes} == {"a": 4, "b": 4}


def test_an_outer_edge_drawn_twice_is_told(tmp_path):
    document = drawings.new()
    edges = once(segments([box(0, 0, 100, 60), box(100, 0, 250, 60)]))
    loose(document.modelspace(), [*edges, ((0, 60), (0, 0), 0)])
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "b", (175, 30))
    shapes = laid(tmp_path, document)
    said_of = 'outline "a" on layer CORE has a line drawn twice, about y 0.0, z 30.0; it is taken once'
    assert said(shapes.defects) == [said_of]
    assert [s.label for s in shapes.shapes] == ["a", "b"]


def test_holes_in_a_part_stay_its_holes(tmp_path):
    document = drawings.new()
    loose(document.modelspace(), once(segments([box(0, 0, 100, 60), box(100, 0, 250, 60)])))
    rectangle(document.modelspace(), 10, 10, 30, 20)
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "b", (175, 30))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [(s.label, len(s.holes)) for s in shapes.shapes] == [("a", 1), ("b", 0)]


@st.composite
def grids(draw):
    """Columns and rows of a grid, which joints are drawn twice, and a seed for the order of its edges."""
    steps = st.lists(st.floats(5, 200), min_size=1, max_size=5)
    columns, rows = (np.cumsum([0, *draw(steps)]).tolist() for _ in range(2))
    return columns, rows, draw(st.booleans()), draw(st.integers(0, 2**32))


@given(grids())
@settings(max_examples=60)
def test_every_cell_of_a_grid_is_its_own_outline(tmp_path_factory, case):
    columns, rows, twice, seed = case
    cells = {
        f"cell {i} {j}": (left, low, right, high)
        for i, (left, right) in enumerate(pairwise(columns))
        for j, (low, high) in enumerate(pairwise(rows))
    }
    edges = segments([box(*cell) for cell in cells.values()])
    document = drawings.new()
    loose(document.modelspace(), edges if twice else once(edges), random.Random(seed))
    for label, (left, low, right, high) in cells.items():
        text(document.modelspace(), label, ((left + right) / 2, (low + high) / 2))
    shapes = laid(tmp_path_factory.mktemp("grid"), document)
    assert said(d for d in shapes.defects if d.check != "station") == []  # it lies to one side of the centreline
    # a label on either side of the centreline is of another name only where two are alike
    assert {s.label: drawings.corners(s.outline) for s in shapes.shapes} == {
        label: {(round(u, 6), round(v, 6)) for (u, v), _ in box(*cell)} for label, cell in cells.items()
    }


@pytest.mark.parametrize(
    "plan, openings",
    [(HULLS / "pram", False), (HULLS / "skiff", True), (FAULTY, True)],
    ids=["pram", "skiff", "skiff with faults"],
)
def test_a_boat_whose_polylines_are_all_exploded_is_judged_as_before(plan, openings, tmp_path):
    copy = replanning.copy_of(plan, tmp_path / "copy")
    kinds = set()
    for path in sorted(copy.rglob("*.dxf")):
        document = ezdxf.readfile(path)
        for whole in document.modelspace().query("LWPOLYLINE"):
            whole.explode()
        kinds |= {entity.dxftype() for entity in document.modelspace()}
        document.saveas(path)
    assert {"LINE", "ARC"} <= kinds
    assert "LWPOLYLINE" not in kinds
    before, after = (review(assemble(read_plan(folder))) for folder in (plan, copy))
    opening = "that no label names"
    assert not any(opening in finding.message for finding in before)
    told = [finding for finding in after if opening not in finding.message]
    assert (len(told) < len(after)) is openings
    assert_same(before, tuple(told))


# ---- ends that stand on the middle of a line

ON_A_FLOOR = [((20, 30), (20, 90), 0), ((20, 90), (60, 90), -0.5), ((60, 90), (60, 30), 0)]  # a post without its foot


@pytest.mark.parametrize("foot", ["none", "its own", "on an arc"])
@pytest.mark.parametrize("seed", range(3))
def test_a_part_that_stands_on_a_long_edge(foot, seed, tmp_path):
    floor = [((0, 0), 0), ((100, 0), 0), ((100, 30), 0.1 if foot == "on an arc" else 0), ((0, 30), 0)]
    post = [*ON_A_FLOOR, *([((60, 30), (20, 30), 0)] if foot == "its own" else [])]
    if foot == "on an arc":
        radius = 50 * (1 / 0.1 + 0.1) / 2
        rise = {u: 30 + (radius**2 - (u - 50) ** 2) ** 0.5 - (radius - 5) for u in (20, 60)}
        post = [((20, rise[20]), (20, 90), 0), ((20, 90), (60, 90), -0.5), ((60, 90), (60, rise[60]), 0)]
    document = drawings.new()
    loose(document.modelspace(), [*segments([floor]), *post], random.Random(seed))
    text(document.modelspace(), "floor", (50, 10))
    text(document.modelspace(), "post", (40, 60))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    areas = {label: area for label, (area, *_) in measured(shapes).items()}
    bow, crown = (4 * np.arctan(bulge) for bulge in (0.1, 0.5))  # a segment is r^2 / 2 (angle - sin angle)
    if foot == "on an arc":
        assert areas["floor"] == pytest.approx(3000 + radius**2 / 2 * (bow - np.sin(bow)))
    else:
        assert areas == pytest.approx({"floor": 3000, "post": 2400 + 25**2 / 2 * (crown - np.sin(crown))})


def test_two_boxes_that_share_a_corner_and_part_of_an_edge(tmp_path):
    document = drawings.new()
    loose(document.modelspace(), segments([box(0, 0, 100, 60), box(100, 0, 200, 40)]))
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "b", (150, 20))
    shapes = laid(tmp_path, document)
    assert {label: area for label, (area, *_) in measured(shapes).items()} == {"a": 6000, "b": 4000}
    assert said(shapes.defects) == []


# ---- where the drawing does not decide


@pytest.mark.parametrize(("end", "told"), [(60, FORK), (40, "is a lone line")])
def test_a_line_across_a_part_or_into_it_is_a_defect(end, told, tmp_path):
    document = drawings.new()
    loose(document.modelspace(), [*segments([box(0, 0, 100, 60)]), ((50, 0), (50, end), 0)])
    text(document.modelspace(), "a", (25, 30))
    shapes = laid(tmp_path, document)
    assert any(told in message for message in said(shapes.defects, Level.ERROR))
    assert len(shapes.shapes) == (end < 60)


def test_pieces_that_cross_are_a_fork(tmp_path):
    document = drawings.new()
    edges = once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60)]))
    loose(document.modelspace(), [*edges, ((0, 0), (200, 60), 0)])
    for label, at in (("a", (20, 50)), ("b", (180, 10)), ("c", (90, 10)), ("d", (110, 50))):
        text(document.modelspace(), label, at)
    assert_forks(laid(tmp_path, document))


def test_an_end_that_meets_nothing_is_told_and_not_the_forks(tmp_path):
    document = drawings.new()
    edges = once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60)]))
    loose(document.modelspace(), [*edges, ((0, 0), (20, 20), 0)])
    text(document.modelspace(), "a", (60, 30))
    text(document.modelspace(), "b", (150, 30))
    shapes = laid(tmp_path, document)
    (message,) = said(shapes.defects, Level.ERROR)
    assert "ends at y 20.0, z 20.0 and meets no other there" in message


@pytest.mark.parametrize("by", [0.5, 2.0, 4.9])
def test_a_small_gap_in_a_network_is_the_one_thing_told(tmp_path, by):
    document = drawings.new()
    edges = once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60)]))
    short = [edge if set(edge[:2]) != {(0, 0), (0, 60)} else ((0, by), (0, 60), 0) for edge in edges]
    loose(document.modelspace(), short)
    text(document.modelspace(), "a", (60, 30))
    text(document.modelspace(), "b", (150, 30))
    shapes = laid(tmp_path, document)
    (message,) = said(shapes.defects, Level.ERROR)
    assert f"leave a gap of {by:.2f} mm, between y 0.0, z 0.0 and y 0.0, z {by:.1f}" in message
    assert [shape.label for shape in shapes.shapes] == ["a", "b"]


def test_a_face_on_the_outside_without_a_label_is_no_opening(tmp_path):
    """It may be a part whose label is missing: that must not be lost by a note."""
    document = drawings.new()
    loose(document.modelspace(), once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60), box(200, 0, 300, 60)])))
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "c", (250, 30))
    shapes = laid(tmp_path, document)
    errors = said(shapes.defects, Level.ERROR)
    assert any("100 x 60 mm round y 150.0, z 30.0, has no label" in message for message in errors)
    assert not any(FORK in message for message in errors)
    assert [shape.label for shape in shapes.shapes] == ["a", "c", "unlabelled 1"]


def test_where_as_many_labels_lack_as_are_there_all_are_forks(tmp_path):
    document = drawings.new()
    loose(document.modelspace(), once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60)])))
    text(document.modelspace(), "a", (50, 30))
    assert_forks(laid(tmp_path, document))


def test_a_line_that_ends_in_the_open_parts_nothing_in_a_whole_drawing(tmp_path):
    document = drawings.new()
    loose(document.modelspace(), segments([box(0, 0, 100, 60)]))
    line(document.modelspace(), (100, 30), (150, 30))
    text(document.modelspace(), "floor", (50, 30))
    assert [shape.label for shape in laid(tmp_path, document).shapes] == ["floor"]


def test_a_joint_that_bulges_through_an_edge_is_a_fork(tmp_path):
    document = drawings.new()
    joint = {(100, 0), (100, 60)}
    edges = [e for e in once(segments([box(0, 0, 100, 60), box(100, 0, 120, 60)])) if set(e[:2]) != joint]
    loose(document.modelspace(), [*edges, ((100, 0), (100, 60), 0.9)])
    text(document.modelspace(), "a", (50, 30))
    text(document.modelspace(), "b", (105, 1))
    assert_forks(laid(tmp_path, document))


def test_a_corner_on_the_middle_of_a_line_parts_it(tmp_path):
    document = drawings.new()
    edges = once(segments([box(0, 0, 100, 60), box(100, 0, 200, 60)]))
    loose(document.modelspace(), [*edges, ((0, 0), (100, 30), 0), ((100, 30), (0, 60), 0)])
    for label, at in (("a", (20, 30)), ("b", (150, 30)), ("c", (90, 10))):
        text(document.modelspace(), label, at)
    shapes = laid(tmp_path, document)
    assert [shape.label for shape in shapes.shapes] == ["a", "b", "c", "unlabelled 1"]
    assert any("has no label" in message for message in said(shapes.defects, Level.ERROR))

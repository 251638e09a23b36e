"""A frame of which a drawing shows the port half alone."""

import math

import drawings
import numpy as np
import pytest
from drawings import area, assert_same, laid, only, polyline, rectangle, said, text
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.drawing.halves import halves_joined
from scrieve.model.drawing.ring import settled
from scrieve.model.drawing.stroke import Stroke
from scrieve.shared.findings import Level, Source

HALF = "though only the port half is drawn (mirror = true)"


def test_a_part_clear_of_the_centreline_has_its_image(tmp_path):
    document = drawings.new()
    half_a_side(document.modelspace())
    shapes = laid(tmp_path, document, mirror=True)
    assert said(shapes.defects) == []
    assert [s.label for s in shapes.shapes] == ["port side", "starboard side"]
    port, starboard = (s.outline for s in shapes.shapes)
    assert_same(settled(port.points * (-1, 1), -port.bulges), starboard, tolerance=0.0)
    assert port.points[:, 0].min() > 0
    assert starboard.polygon().exterior.is_ccw


def half_a_side(space, label="side"):
    polyline(space, [(100, 0), (300, 20), (280, 200), (120, 180)], [0, 0.2, -0.1, 0])
    space.add_circle((200, 100), 15, dxfattribs={"layer": "CORE"})
    text(space, label, (150, 50))


@pytest.mark.parametrize("label", ["port side", "Port side"])
def test_the_image_of_a_part_called_port_is_called_starboard(tmp_path, label):
    document = drawings.new()
    half_a_side(document.modelspace(), label)
    shapes = laid(tmp_path, document, mirror=True)
    assert said(shapes.defects) == []
    assert [s.label for s in shapes.shapes] == ["port side", "starboard side"]
    assert [len(s.holes) for s in shapes.shapes] == [1, 1]
    assert shapes.shapes[1].holes[0].points[:, 0].max() == -185


def test_an_outline_along_the_centreline_is_joined_with_its_image(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (300, 0), (300, 40), (100, 60), (0, 60)], [0.1, 0, 0.2, 0, 0])
    text(document.modelspace(), "floor", (-5, 20))
    shape = only(laid(tmp_path, document, mirror=True))
    half = area(
        settled(np.array([(0, 0), (300, 0), (300, 40), (100, 60), (0, 60)], float), np.array([0.1, 0, 0.2, 0, 0]))
    )
    assert shape.label == "floor"
    assert area(shape.outline) == pytest.approx(2 * half, rel=1e-12)
    assert_same(settled(shape.outline.points * (-1, 1), -shape.outline.bulges), shape.outline)
    assert sorted(shape.outline.bulges) == pytest.approx([0, 0, 0, 0, 0.1, 0.1, 0.2, 0.2])
    # the edge along the centreline is gone: no corner but the two that cross it is left there
    assert sorted(v for y, v in drawings.corners(shape.outline) if y == 0) == [0, 60]


def test_an_open_chain_from_centreline_to_centreline_is_closed_by_its_image(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0.008, 0), (300, 0), (300, 40), (-0.006, 60)], close=False)
    text(document.modelspace(), "floor", (20, 20))
    shape = only(laid(tmp_path, document, mirror=True))
    assert drawings.corners(shape.outline) == {(0, 0), (300, 0), (300, 40), (0, 60), (-300, 40), (-300, 0)}


def test_half_a_ring_becomes_a_ring(tmp_path):
    document = drawings.new()
    ring = [(0, 0), (300, 0), (300, 400), (0, 400), (0, 340), (240, 340), (240, 60), (0, 60)]
    polyline(document.modelspace(), ring)
    text(document.modelspace(), "bulkhead", (270, 100))
    shape = only(laid(tmp_path, document, mirror=True))
    assert drawings.corners(shape.outline) == {(-300, 0), (300, 0), (300, 400), (-300, 400), (0, 0), (0, 400)}
    (hole,) = shape.holes
    assert drawings.corners(hole) == {(-240, 60), (240, 60), (240, 340), (-240, 340), (0, 60), (0, 340)}


def test_a_hole_aside_in_a_part_over_the_centreline_has_its_image(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    polyline(space, [(0, 0), (300, 0), (300, 100), (0, 100)])
    polyline(space, [(0, 30), (40, 30), (40, 60), (0, 60)], close=False)
    polyline(space, [(100, 20), (180, 20), (180, 60)], [0, 0.3, 0])
    text(space, "floor", (250, 50))
    shape = only(laid(tmp_path, document, mirror=True))
    middle, *aside = sorted(shape.holes, key=lambda hole: abs(hole.points[:, 0].sum()))
    assert drawings.corners(middle) == {(-40, 30), (40, 30), (40, 60), (-40, 60), (0, 30), (0, 60)}
    one, other = aside
    assert_same(settled(one.points * (-1, 1), -one.bulges), other)


def test_half_a_circle_on_the_centreline_becomes_a_circle(tmp_path):
    document = drawings.new()
    document.modelspace().add_arc((0, 100), 50, -90, 90, dxfattribs={"layer": "CORE"})
    text(document.modelspace(), "hoop", (5, 100))
    outline = only(laid(tmp_path, document, mirror=True)).outline
    assert area(outline) == pytest.approx(math.pi * 2500, rel=1e-12)


@pytest.mark.parametrize("along, whole", [(0.9, False), (1.1, True)])
def test_a_touch_is_no_edge(tmp_path, along, whole):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (100, -30), (100, 80), (0, along)])
    text(document.modelspace(), "knee", (50, 20))
    shapes = laid(tmp_path, document, mirror=True)
    assert [s.label for s in shapes.shapes] == (["knee"] if whole else ["port knee", "starboard knee"])


@pytest.mark.parametrize("seen, sign", [("from aft", -1), ("from forward", 1)])
def test_what_is_drawn_to_starboard_of_a_half_is_a_defect(tmp_path, seen, sign):
    document = drawings.new()
    rectangle(document.modelspace(), sign * -200, 0, sign * -100, 50, label="side")
    rectangle(document.modelspace(), sign * 100, 0, sign * 200, 50, label="side")
    document.modelspace().add_circle((sign * -150, 10), 2, dxfattribs={"layer": "SCREWS"})
    shapes = laid(tmp_path, document, seen=seen, mirror=True)
    assert [s.label for s in shapes.shapes] == ["port side", "starboard side"]
    assert shapes.marks == ()
    # its label stands where the image of the port side is not yet
    assert said(shapes.defects, Level.ERROR) == [
        f"a mark on layer SCREWS reaches to starboard (y -150.0, z 10.0), {HALF}",
        f"an outline on layer CORE reaches to starboard (y -200.0, z 0.0), {HALF}",
    ]


def test_marks_have_their_images_but_on_the_centreline(tmp_path):
    document = drawings.new()
    for at in ((0, 0), (0.005, 30), (60, 60)):
        document.modelspace().add_circle(at, 2, dxfattribs={"layer": "SCREWS"})
    shapes = laid(tmp_path, document, mirror=True)
    assert [m.at for m in shapes.marks] == [(-60, 60), (0, 0), (0.005, 30), (60, 60)]


def test_batten_sections_have_their_images(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 300, 0, 332, 20, layer="BATTENS", label="chine")
    rectangle(document.modelspace(), 0, 0, 10, 20, layer="BATTENS", label="keel")
    shapes = laid(tmp_path, document, mirror=True)
    assert said(shapes.defects) == []
    assert [s.label for s in shapes.shapes] == ["keel", "port chine", "starboard chine"]


@given(
    st.lists(st.tuples(st.floats(20, 300), st.sampled_from([0.0, 0.1, -0.1])), min_size=2, max_size=6),
    st.integers(0, 20),
    st.booleans(),
)
@settings(max_examples=80)
def test_the_half_of_a_symmetric_outline_makes_it_whole_again(rows, turned, reverse):
    """Cut along the centreline, begun anywhere and drawn either way round."""
    steps = [(reach, 100.0 * k) for k, (reach, _) in enumerate(rows)]
    chain = [(0.0, 0.0), *[(y, v + 50.0) for y, v in steps], (0.0, 100.0 * len(rows))]
    bulges = [0.0, *[b for _, b in rows]]
    half = np.array(chain)
    half_bulges = np.array([*bulges, 0.0])
    turned %= len(half)
    half, half_bulges = np.roll(half, turned, axis=0), np.roll(half_bulges, turned)
    if reverse:
        half, half_bulges = half[::-1], -np.roll(half_bulges[::-1], -1)
    stroke = Stroke(layer="CORE", makes="part", points=half, bulges=half_bulges, closed=True, source=Source(file="a"))
    (whole,), defects = halves_joined([stroke], 0.01)
    assert defects == []
    assert whole.whole
    wanted = np.array(chain + [(-y, v) for y, v in chain[-2:0:-1]])
    wanted_bulges = np.array([*bulges, *bulges[::-1]])
    assert_same(settled(whole.points, whole.bulges), settled(wanted, wanted_bulges), tolerance=0.0)


@pytest.mark.parametrize("named", ["floor", "port floor", "PORT FLOOR"])
def test_an_outline_along_the_centreline_under_the_label_of_a_side_ends_there(tmp_path, named):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (300, 0), (300, 100), (0, 100)])
    text(document.modelspace(), named, (100, 50))
    labels = ["floor"] if named == "floor" else ["port floor", "starboard floor"]
    shapes = laid(tmp_path, document, mirror=True).shapes
    assert [shape.label for shape in shapes] == labels
    assert [area(shape.outline) for shape in shapes] == [60_000 / len(labels)] * len(labels)


@pytest.mark.parametrize("short", [0.02, 1.0, 7.4])
def test_a_half_that_ends_short_of_the_centreline_is_taken_as_far_as_that(tmp_path, short):
    document = drawings.new()
    polyline(document.modelspace(), [(short, 0), (200, 0), (200, 80), (short, 80)], close=False)
    text(document.modelspace(), "floor", (100, 40))
    shapes = laid(tmp_path, document, mirror=True)
    (message,) = said(shapes.defects, Level.ERROR)
    assert f"ends {short:.2f} mm off the centreline" in message
    (shape,) = shapes.shapes
    assert shape.outline.polygon().area == pytest.approx(400 * 80)


def test_a_gap_beside_the_centreline_stays_a_gap(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(3, 0), (200, 0), (200, 80), (3, 80), (3, 4)], close=False)
    text(document.modelspace(), "floor", (100, 40))
    shapes = laid(tmp_path, document, mirror=True)
    assert any("is left open by 4.00 mm" in message for message in said(shapes.defects, Level.ERROR))

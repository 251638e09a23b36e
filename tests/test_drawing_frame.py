"""One frame of a drawing: its window, its origin, its screws and dowels."""

import drawings
import pytest
from drawings import assert_same, laid, line, only, polyline, read, rectangle, said, text

from scrieve.model.drawing import lay_out
from scrieve.shared.findings import Level

ACROSS = "lies across the edge of the frame's extent"


# ---- from which side it is seen


def half_a_frame(space, sign):
    """A lopsided side to port, a floor, screws: `sign` is 1 where u runs to port."""
    points = [(100, 0), (300, 20), (280, 200), (120, 180)]
    bulges = [0, 0.2, -0.1, 0]
    polyline(space, [(sign * u, v) for u, v in points], [sign * b for b in bulges])
    rectangle(space, -90, 0, 90, 40, label="floor")
    text(space, "port side", (sign * 200, 50))
    space.add_circle((sign * 150, 60), 2, dxfattribs={"layer": "SCREWS"})


def test_seen_from_aft_and_seen_from_forward_drawn_mirrored_are_the_same_frame(tmp_path):
    frames = {}
    for seen, sign in (("from aft", -1), ("from forward", 1)):
        document = drawings.new()
        half_a_frame(document.modelspace(), sign)
        frames[seen] = laid(tmp_path, document, seen=seen)
    aft, forward = frames["from aft"], frames["from forward"]
    assert said(aft.defects) == said(forward.defects) == []
    assert [s.label for s in aft.shapes] == [s.label for s in forward.shapes] == ["floor", "port side"]
    for one, other in zip(aft.shapes, forward.shapes, strict=True):
        assert_same(one.outline, other.outline, tolerance=0.0)
    assert [m.at for m in aft.marks] == [m.at for m in forward.marks] == [(150, 60)]


def test_port_is_on_the_left_of_a_drawing_seen_from_aft(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), -300, 10, -100, 60, label="port side")
    outline = only(laid(tmp_path, document, seen="from aft")).outline
    assert drawings.corners(outline) == {(100, 10), (300, 10), (300, 60), (100, 60)}


def test_the_origin_is_taken_off(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 1100, 510, 1300, 560, label="port side")
    outline = only(laid(tmp_path, document, origin=(1000, 500))).outline
    assert drawings.corners(outline) == {(100, 10), (300, 10), (300, 60), (100, 60)}


# ---- the window


def two_frames():
    """Frame 5 about (0, 0) and frame 6 about (2000, 0)."""
    document = drawings.new()
    for number, u in ((5, 0), (6, 2000)):
        rectangle(document.modelspace(), u - 100, 0, u + 100, 40, label=f"floor {number}")
        document.modelspace().add_circle((u + 50, 20), 2, dxfattribs={"layer": "SCREWS"})
    return document


@pytest.mark.parametrize("number, u", [(5, 0), (6, 2000)])
def test_several_frames_in_one_drawing(tmp_path, number, u):
    shapes = laid(tmp_path, two_frames(), origin=(u, 0), extent=(-900, -200, 900, 900))
    shape = only(shapes)
    assert shape.label == f"floor {number}"
    assert drawings.corners(shape.outline) == {(-100, 0), (100, 0), (100, 40), (-100, 40)}
    assert [m.at for m in shapes.marks] == [(50, 20)]


def test_the_window_turns_with_the_view(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), -500, 0, -100, 40, label="port side")
    rectangle(document.modelspace(), 100, 0, 500, 40, label="other frame")
    shapes = laid(tmp_path, document, seen="from aft", extent=(-600, -100, 0, 300))
    assert only(shapes).label == "port side"


@pytest.mark.parametrize("right, inside", [(500.0, True), (500.1, False)])
def test_what_lies_across_the_edge_of_the_window_is_a_defect(tmp_path, right, inside):
    document = drawings.new()
    rectangle(document.modelspace(), 100, 0, right, 40, label="side")
    shapes = laid(tmp_path, document, extent=(-500, -100, 500, 300))
    assert len(shapes.shapes) == inside
    wanted = f"an outline on layer CORE, from y 100.0, z 0.0 to y {right:.1f}, z 40.0, {ACROSS}"
    errors = said(shapes.defects, Level.ERROR)
    assert errors == ([] if inside else [wanted])


def test_the_wider_extent_cuts_nothing_that_the_narrow_one_left_out(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 40, label="one")
    rectangle(document.modelspace(), 90, 60, 150, 100, label="two")  # met once the box holds the first
    rectangle(document.modelspace(), 140, 70, 170, 80, label="three")
    rectangle(document.modelspace(), 400, 0, 500, 40, label="another frame's")
    defects = laid(tmp_path, document, seen="from forward", extent=(-10, -10, 95, 110)).defects
    (told,) = [defect for defect in defects if ACROSS.removeprefix("lies") in defect.message]
    assert told.of_frame == ("extent", (-10.0, -10.0, 170.0, 110.0))


def test_a_circle_or_a_mark_across_the_edge_is_a_defect_too(tmp_path):
    document = drawings.new()
    document.modelspace().add_circle((500, 0), 20, dxfattribs={"layer": "CORE"})
    document.modelspace().add_circle((500, 50), 2, dxfattribs={"layer": "SCREWS"})
    document.modelspace().add_circle((510, 50), 2, dxfattribs={"layer": "SCREWS"})
    shapes = laid(tmp_path, document, extent=(-500, -100, 500, 300))
    assert (shapes.shapes, shapes.marks) == ((), ())
    assert said(shapes.defects) == [
        f"a mark on layer SCREWS at y 500.0, z 50.0 {ACROSS}",
        f"an outline on layer CORE, from y 480.0, z -20.0 to y 520.0, z 20.0, {ACROSS}",
    ]


def test_a_border_round_the_window_is_not_in_it(tmp_path):
    document = two_frames()
    rectangle(document.modelspace(), -3000, -3000, 5000, 3000)
    assert only(laid(tmp_path, document, extent=(-900, -200, 900, 900))).label == "floor 5"


def test_an_open_outline_and_a_fork_are_told_in_the_window_they_lie_in(tmp_path):
    document = two_frames()
    polyline(document.modelspace(), [(2000, 100), (2050, 100), (2050, 150)], close=False)
    for end in ((1950, 200), (1900, 250), (1950, 300)):
        line(document.modelspace(), (1900, 200), end)
    drawing = read(tmp_path, document)
    frames = [
        lay_out(
            drawing,
            layers=drawings.LAYERS,
            seen="from forward",
            origin=(u, 0),
            extent=(-900, -200, 900, 900),
            frame="5",
        )
        for u in (0, 2000)
    ]
    assert frames[0].defects == ()
    assert any("is left open" in message for message in said(frames[1].defects))
    assert any(
        "3 ends of lines on layer CORE meet at y -100.0, z 200.0" in message for message in said(frames[1].defects)
    )


# ---- the origin


def referenced(centre=0.0, datum=0.0, **more):
    document = drawings.new(**more)
    space = document.modelspace()
    line(space, (centre, -100), (centre, 500), layer="REFERENCE")
    line(space, (-400, datum), (400, datum), layer="REFERENCE")
    line(space, (-400, -400), (400, 400), layer="REFERENCE")
    rectangle(space, -90, 0, 90, 40, label="floor")
    return document


@pytest.mark.parametrize("off", [0, 0.049, -0.049])
def test_an_origin_on_the_reference_lines_is_right(tmp_path, off):
    assert said(laid(tmp_path, referenced(off, off)).defects) == []


@pytest.mark.parametrize("seen, sign", [("from aft", -1), ("from forward", 1)])
def test_an_origin_off_the_centreline_is_a_defect_with_the_cure(tmp_path, seen, sign):
    (defect,) = laid(tmp_path, referenced(centre=12.5), seen=seen).defects
    assert (defect.check, defect.level) == ("station", Level.ERROR)
    assert defect.message == "the origin of frame 5 lies 12.50 mm off the centreline of its drawing"
    assert (defect.measure.value, defect.measure.limit, defect.measure.unit) == (12.5, 0.05, "mm")
    assert defect.at == (sign * 12.5, 0)
    assert defect.cure == "set origin to [12.5, 0]"


def test_an_origin_off_both_lines_is_two_defects_with_one_cure(tmp_path):
    defects = laid(tmp_path, referenced(centre=0.06, datum=-30), origin=(100, 0)).defects
    assert [d.message for d in defects] == [
        "the origin of frame 5 lies 30.00 mm off the datum line of its drawing",
        "the origin of frame 5 lies 99.94 mm off the centreline of its drawing",
    ]
    assert {d.cure for d in defects} == {"set origin to [0.06, -30]"}


def test_the_cure_is_in_the_plans_unit(tmp_path):
    drawing = read(tmp_path, referenced(centre=50.8), plan_unit="in")
    (defect,) = lay_out(drawing, layers=drawings.LAYERS, seen="from aft", origin=(0, 0), frame="5").defects
    assert defect.cure == "set origin to [2, 0]"


def test_the_cure_cures(tmp_path):
    document = referenced(centre=7.25, datum=-3.5)
    assert said(laid(tmp_path, document, origin=(7.25, -3.5)).defects) == []


def test_reference_lines_may_be_a_polyline_and_meet_in_a_corner(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(5, 400), (5, 0), (300, 0)], layer="REFERENCE", close=False)
    (defect,) = laid(tmp_path, document).defects
    assert defect.message == "the origin of frame 5 lies 5.00 mm off the centreline of its drawing"


def test_of_several_reference_lines_one_through_the_origin_is_enough(tmp_path):
    document = referenced()
    for u in (-300, -200, 150):
        line(document.modelspace(), (u, -100), (u, 500), layer="REFERENCE")
    rectangle(document.modelspace(), -500, -200, 500, 600, layer="REFERENCE")
    assert said(laid(tmp_path, document).defects) == []


def test_reference_lines_of_the_next_frame_do_not_count(tmp_path):
    document = two_frames()
    line(document.modelspace(), (2003, -100), (2003, 500), layer="REFERENCE")
    line(document.modelspace(), (-500, 0), (2500, 0), layer="REFERENCE")
    window = {"extent": (-900, -200, 900, 900)}
    assert said(laid(tmp_path, document, **window).defects) == []
    (defect,) = laid(tmp_path, document, origin=(2000, 0), **window).defects
    assert defect.message == "the origin of frame 5 lies 3.00 mm off the centreline of its drawing"


def test_without_reference_lines_nothing_is_said(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), -90, 0, 90, 40, label="floor")
    line(document.modelspace(), (77, 0), (77.5, 100), layer="REFERENCE")
    assert said(laid(tmp_path, document, origin=(0, 0)).defects) == []


# ---- screws and dowels


def test_one_mark_for_each_centre(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    for radius in (2, 4):  # shank and head
        space.add_circle((10, 10), radius, dxfattribs={"layer": "SCREWS"})
    space.add_point((10, 10), dxfattribs={"layer": "SCREWS"})
    space.add_point((30, 10), dxfattribs={"layer": "SCREWS"})
    polyline(space, [(48, 10), (52, 10)], [1, 1], layer="SCREWS")
    space.add_arc((70, 10), 3, 0, 180, dxfattribs={"layer": "DOWELS"})
    space.add_arc((70, 10), 3, 180, 360, dxfattribs={"layer": "DOWELS"})
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    found = [(m.layer, round(m.at[0], 6), round(m.at[1], 6), round(m.radius, 3)) for m in shapes.marks]
    assert found == [("DOWELS", 70, 10, 3), ("SCREWS", 10, 10, 4), ("SCREWS", 30, 10, 0), ("SCREWS", 50, 10, 2)]


def test_a_mark_drawn_twice_is_taken_once_with_a_warning(tmp_path):
    document = drawings.new()
    for shift in (0, 0.005):
        document.modelspace().add_circle((10 + shift, 10), 2, dxfattribs={"layer": "SCREWS"})
    document.modelspace().add_circle((10, 10), 2, dxfattribs={"layer": "DOWELS"})
    shapes = laid(tmp_path, document)
    assert len(shapes.marks) == 2
    (defect,) = shapes.defects
    assert defect.level is Level.WARNING
    assert defect.message == "1 mark is drawn more than once on layer SCREWS and taken once, at y 10.0, z 10.0"


def test_what_is_no_mark_is_noted(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, 0, 0, 10, 30, layer="SCREWS")
    line(space, (20, 20), (50, 50), layer="SCREWS")
    text(space, "4 off", (60, 20), layer="DOWELS")
    space.add_point((5, 5), dxfattribs={"layer": "CORE"})
    shapes = laid(tmp_path, document)
    assert shapes.marks == ()
    assert shapes.unread == {"screw", "dowel"}
    words = "not used, as screws and dowels are circles, points or small crosses, and parts closed outlines: "
    assert said(shapes.defects, Level.WARNING) == [
        f"{words}1 line on layer SCREWS, 1 outline on layer SCREWS and 1 text on layer DOWELS; none are proposed in "
        "their place"
    ]
    assert said(shapes.defects, Level.NOTE) == [f"{words}1 point on layer CORE"]


def test_a_line_in_a_block_with_a_circle_is_its_cross_hair(tmp_path):
    document = drawings.new()
    block = document.blocks.new("SCREW")
    block.add_circle((0, 0), 2, dxfattribs={"layer": "0"})
    line(block, (-3, 0), (3, 0), layer="0")
    line(block, (0, -3), (0, 3), layer="0")
    document.modelspace().add_blockref("SCREW", (10, 20), dxfattribs={"layer": "SCREWS"})
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [m.at for m in shapes.marks] == [(10, 20)]


def test_layers_that_no_one_asks_of_lay_out_are_left_alone(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 10, 10, layer="CORE", label="floor")
    rectangle(document.modelspace(), 20, 0, 30, 10, layer="GUSSETS AFT")
    drawing = read(tmp_path, document)
    layers = {name: use for name, use in drawings.LAYERS.items() if name != "GUSSETS AFT"}
    assert only(lay_out(drawing, layers=layers, seen="from aft", origin=(0, 0), frame="5")).label == "floor"

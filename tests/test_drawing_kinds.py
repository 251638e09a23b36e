"""Every kind of DXF object, in every version, through blocks and mirror images."""

import math

import drawings
import numpy as np
import pytest
import shapely
from drawings import area, laid, only, polyline, rectangle, said, text
from ezdxf.enums import TextEntityAlignment

from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]
VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


def off_circle(outline, centre, radius):
    """How far the flattened outline's corners lie off a circle."""
    return np.abs(np.hypot(*(outline.flattened() - centre).T) - radius).max()


@pytest.mark.parametrize("fmt", ["asc", "bin"])
@pytest.mark.parametrize("version", VERSIONS)
def test_versions_ascii_and_binary(tmp_path, version, fmt):
    document = drawings.new(version)
    space = document.modelspace()
    polyline(space, SQUARE, [0, 1, 0, 0])
    text(space, "floor", (20, 20))
    space.add_circle((30, 30), 2, dxfattribs={"layer": "SCREWS"})
    shapes = laid(tmp_path, document, fmt=fmt)
    shape = only(shapes)
    assert (shape.label, shape.layer, shape.source.file) == ("floor", "CORE", "frames/5.dxf")
    assert area(shape.outline) == pytest.approx(100 * 60 + math.pi * 30**2 / 2, abs=1e-9)
    (mark,) = shapes.marks
    assert (mark.layer, mark.at, mark.radius) == ("SCREWS", (30, 30), 2)


def test_an_outline_drawn_clockwise_comes_back_counter_clockwise(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), SQUARE[::-1], [0, -0.3, 0, 0])
    text(document.modelspace(), "floor", (20, 20))
    shape = only(laid(tmp_path, document))
    assert area(shape.outline) > 6000
    assert shape.outline.bulges.max() == pytest.approx(0.3)


# ---- arcs keep their circle

RADIUS = 500.0


def bulged(space):
    b = math.tan(math.pi / 8)
    polyline(space, [(RADIUS, 0), (0, RADIUS), (-RADIUS, 0), (0, -RADIUS)], [b] * 4)


def bulged_the_other_way(space):
    b = -math.tan(math.pi / 8)
    polyline(space, [(RADIUS, 0), (0, -RADIUS), (-RADIUS, 0), (0, RADIUS)], [b] * 4)


def arcs(space):
    for start, end in ((10, 130), (130, 350), (350, 10)):
        space.add_arc((0, 0), RADIUS, start, end, dxfattribs={"layer": "CORE"})


def circle(space):
    space.add_circle((0, 0), RADIUS, dxfattribs={"layer": "CORE"})


def full_turn_arc(space):
    space.add_arc((0, 0), RADIUS, 30, 390, dxfattribs={"layer": "CORE"})


def round_ellipse(space):
    space.add_ellipse((0, 0), major_axis=(300, 400), ratio=1, dxfattribs={"layer": "CORE"})


def in_a_mirrored_block(space):
    block = space.doc.blocks.new("HALF", base_point=(7, 9))
    block.add_arc((10, 20), RADIUS / 2, 0, 250, dxfattribs={"layer": "0"})
    block.add_arc((10, 20), RADIUS / 2, 250, 360, dxfattribs={"layer": "0"})
    turn = math.radians(33)
    x, y = (10 - 7) * -2, (20 - 9) * 2
    at = (-(x * math.cos(turn) - y * math.sin(turn)), -(x * math.sin(turn) + y * math.cos(turn)))
    attribs = {"layer": "CORE", "xscale": -2, "yscale": 2, "rotation": 33}
    space.add_blockref("HALF", at, dxfattribs=attribs)


def seen_from_behind(space):
    space.add_arc((-3, 4), RADIUS, 20, 200, dxfattribs={"layer": "CORE", "extrusion": (0, 0, -1)})
    space.add_arc((3, 4), RADIUS, 160, 340, dxfattribs={"layer": "CORE"})


@pytest.mark.parametrize(
    "draw", [bulged, bulged_the_other_way, arcs, circle, full_turn_arc, round_ellipse, in_a_mirrored_block]
)
def test_arcs_lie_on_their_circle(tmp_path, draw):
    document = drawings.new()
    draw(document.modelspace())
    text(document.modelspace(), "hoop", (0, 0))
    shape = only(laid(tmp_path, document))
    assert off_circle(shape.outline, (0, 0), RADIUS) < 1e-9
    assert shape.outline.radii() == pytest.approx(RADIUS, abs=1e-9)
    assert area(shape.outline) == pytest.approx(math.pi * RADIUS**2, rel=1e-12)


def test_an_arc_seen_from_behind_is_mirrored(tmp_path):
    document = drawings.new()
    seen_from_behind(document.modelspace())
    text(document.modelspace(), "hoop", (0, 0))
    # centre (-3, 4) seen from behind is (3, 4); 20 to 200 degrees become 160 to -20 the other way round
    shape = only(laid(tmp_path, document))
    assert off_circle(shape.outline, (3, 4), RADIUS) < 1e-9


@pytest.mark.parametrize("bulge", [1e-300, 1e-16, 1e-13])
def test_an_arc_that_is_all_but_straight_is_a_line(tmp_path, bulge):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (10_000, 0), (10_000, 60), (0, 60)], [bulge, 0, 0, 0])
    text(document.modelspace(), "plank", (20, 20))
    outline = only(laid(tmp_path, document)).outline
    assert not outline.bulges.any()
    # and an outline made elsewhere with such an arc is flattened all the same
    same = Outline.of(outline.points, [bulge, 0, 0, 0])
    assert np.array_equal(same.flattened(), outline.points)


# ---- ellipses and splines


@pytest.mark.parametrize("behind", [False, True])
def test_a_full_ellipse(tmp_path, behind):
    document = drawings.new()
    attribs = {"layer": "CORE", "extrusion": (0, 0, -1 if behind else 1)}
    document.modelspace().add_ellipse((50, 20), major_axis=(0, 300), ratio=0.4, dxfattribs=attribs)
    text(document.modelspace(), "port light", (50, 20))
    outline = only(laid(tmp_path, document)).outline
    along, across = outline.points[:, 1] - 20, outline.points[:, 0] - 50
    assert np.abs((along / 300) ** 2 + (across / 120) ** 2 - 1).max() < 1e-12
    assert area(outline) == pytest.approx(math.pi * 300 * 120, rel=1e-4)
    assert sagitta_of_ellipse(outline.points - (50, 20), 120, 300) <= 0.005


def sagitta_of_ellipse(points, a, b):
    """How far the ellipse stands off the chords between neighbouring points on it."""
    t = np.unwrap(np.arctan2(points[:, 1] / b, points[:, 0] / a))
    t = np.append(t, t[0] + 2 * np.pi)
    worst = 0.0
    for share in np.linspace(0.05, 0.95, 19):
        s = t[:-1] + np.diff(t) * share
        on = np.column_stack([a * np.cos(s), b * np.sin(s)])
        chord = np.roll(points, -1, axis=0) - points
        off = on - points
        worst = max(worst, np.abs(chord[:, 0] * off[:, 1] - chord[:, 1] * off[:, 0]).max() / np.hypot(*chord.T).min())
    return worst


def test_part_of_an_ellipse_closed_by_a_line(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    space.add_ellipse((0, 0), (200, 0), 0.5, start_param=0, end_param=math.pi, dxfattribs={"layer": "CORE"})
    drawings.line(space, (-200, 0), (200, 0))
    text(space, "deck beam", (0, 10))
    outline = only(laid(tmp_path, document)).outline
    assert area(outline) == pytest.approx(math.pi * 200 * 100 / 2, rel=1e-4)
    assert outline.points[:, 1].min() == pytest.approx(0, abs=1e-9)


def test_a_closed_spline_keeps_to_the_curve(tmp_path):
    document = drawings.new()
    controls = [(0, 0, 0), (400, -50, 0), (500, 300, 0), (200, 500, 0), (-100, 250, 0)]
    curve = document.modelspace().add_spline(dxfattribs={"layer": "CORE"})
    curve.set_closed(controls)
    tool = curve.construction_tool()
    text(document.modelspace(), "curvy", (200, 200))
    outline = only(laid(tmp_path, document)).outline
    start, end = tool.knots()[tool.order - 1], tool.knots()[tool.count]
    truth = np.array([(p.x, p.y) for p in tool.points(np.linspace(start, end, 5000).tolist())])
    off = shapely.distance(outline.polygon().exterior, shapely.points(truth))
    assert off.max() < 0.005
    assert off.max() > 0.0005  # and not wastefully fine


def test_a_spline_that_is_a_circle_by_its_weights(tmp_path):
    document = drawings.new()
    s = math.sqrt(0.5)
    controls = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    document.modelspace().add_rational_spline(
        [(300 * x, 300 * y) for x, y in controls],
        weights=[1, s, 1, s, 1, s, 1, s, 1],
        degree=2,
        knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
        dxfattribs={"layer": "CORE"},
    )
    text(document.modelspace(), "hoop", (0, 0))
    assert off_circle(only(laid(tmp_path, document)).outline, (0, 0), 300) < 1e-9


def test_a_spline_of_fit_points_goes_through_them(tmp_path):
    document = drawings.new()
    through = [(0, 0), (100, 40), (200, 10), (300, 0)]
    document.modelspace().add_spline(through, dxfattribs={"layer": "CORE"})
    drawings.line(document.modelspace(), (300, 0), (0, 0))
    text(document.modelspace(), "beam", (100, 20))
    outline = only(laid(tmp_path, document)).outline
    for y, v in through:
        assert np.hypot(*(outline.points - (y, v)).T).min() < 0.3
    assert {(0.0, 0.0), (300.0, 0.0)} <= drawings.corners(outline)


# ---- blocks


def block_of_a_part(document, layer="0"):
    block = document.blocks.new("PART", base_point=(5, 5))
    polyline(block, [(0, 0), (100, 0), (100, 60), (40, 60), (0, 30)], [0, 0.4, 0, -0.2, 0], layer=layer)
    return block


INSERTS = [
    {"xscale": 1, "yscale": 1, "rotation": 0},
    {"xscale": -1, "yscale": 1, "rotation": 30},
    {"xscale": 2, "yscale": -2, "rotation": -75},
    {"xscale": 2, "yscale": 1, "rotation": 20},
    {"xscale": -0.5, "yscale": 3, "rotation": 200},
    {"xscale": 1, "yscale": 1, "rotation": 40, "extrusion": (0, 0, -1)},
    {"xscale": -1.5, "yscale": 2, "rotation": 40, "extrusion": (0, 0, -1)},
]


@pytest.mark.parametrize("front", [1, -1])
@pytest.mark.parametrize("attribs", INSERTS)
def test_inserts_lie_where_the_matrices_of_ezdxf_put_them(tmp_path, attribs, front):
    document = drawings.new()
    (part,) = block_of_a_part(document)
    outer = document.blocks.new("OUTER")
    turned = {"layer": "0", "rotation": 15, "xscale": -1, "extrusion": (0, 0, front)}
    inner = outer.add_blockref("PART", (20, -10), dxfattribs=turned)
    insert = document.modelspace().add_blockref("OUTER", (300, 100), dxfattribs={"layer": "CORE", **attribs})
    (outline,) = drawings.read(tmp_path, document).outlines
    assert (outline.layer, outline.source.handle) == ("CORE", insert.dxf.handle)
    there = [p for piece in part.virtual_entities() for p in along(piece)]
    truth = [insert.matrix44().transform(inner.matrix44().transform(p)) for p in there]
    edge = outline.outline.polygon().exterior
    points = shapely.points([(p.x, p.y) for p in truth])
    assert shapely.distance(edge, points).max() < 0.0051
    assert shapely.distance(shapely.MultiPoint(points), shapely.points(outline.outline.flattened())).max() < 0.2


def along(piece):
    """Points a tenth of a millimetre apart or closer, as ezdxf itself places them on a line or arc."""
    if piece.dxftype() == "LINE":
        return [piece.dxf.start.lerp(piece.dxf.end, share) for share in np.linspace(0, 1, 2000)]
    return list(piece.flattening(1e-6))


def test_objects_of_a_block_on_layer_0_take_its_inserts_layer_and_others_keep_theirs(tmp_path):
    document = drawings.new()
    block = document.blocks.new("B")
    rectangle(block, 0, 0, 10, 10, layer="0")
    rectangle(block, 20, 0, 30, 10, layer="BATTENS")
    outer = document.blocks.new("OUTER")
    outer.add_blockref("B", (0, 0), dxfattribs={"layer": "0"})
    document.modelspace().add_blockref("OUTER", (0, 0), dxfattribs={"layer": "GUSSETS AFT"})
    drawing = drawings.read(tmp_path, document)
    assert sorted(outline.layer for outline in drawing.outlines) == ["BATTENS", "GUSSETS AFT"]


def test_an_array_of_blocks(tmp_path):
    document = drawings.new()
    block = document.blocks.new("SCREW")
    block.add_circle((0, 0), 2, dxfattribs={"layer": "0"})
    attribs = {"layer": "SCREWS", "row_count": 2, "column_count": 3, "row_spacing": 50, "column_spacing": 20}
    document.modelspace().add_blockref(
        "SCREW", (10, 10), dxfattribs={**attribs, "rotation": 90, "xscale": 3, "yscale": 3}
    )
    shapes = laid(tmp_path, document)
    places = {(round(m.at[0], 9), round(m.at[1], 9)) for m in shapes.marks}
    assert places == {(10 - 50 * row, 10 + 20 * column) for row in range(2) for column in range(3)}
    assert {round(m.radius, 9) for m in shapes.marks} == {6}


def test_a_block_without_a_circle_marks_its_own_place(tmp_path):
    document = drawings.new()
    block = document.blocks.new("CROSS", base_point=(1, 1))
    drawings.line(block, (0, 1), (2, 1), layer="0")
    drawings.line(block, (1, 0), (1, 2), layer="0")
    document.modelspace().add_blockref("CROSS", (40, 50), dxfattribs={"layer": "DOWELS"})
    shapes = laid(tmp_path, document)
    assert [(m.layer, m.at, m.radius) for m in shapes.marks] == [("DOWELS", (40, 50), 0)]
    assert shapes.defects == ()


def test_a_block_of_several_circles_marks_them_and_not_its_own_place(tmp_path):
    document = drawings.new()
    block = document.blocks.new("PATTERN")
    for x in (10, 20, 30):
        block.add_circle((x, 0), 2, dxfattribs={"layer": "0"})
    document.modelspace().add_blockref("PATTERN", (0, 0), dxfattribs={"layer": "SCREWS"})
    assert [m.at for m in laid(tmp_path, document).marks] == [(10, 0), (20, 0), (30, 0)]


# ---- texts


def test_texts_of_every_kind_name_their_outline(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    for column in range(5):
        rectangle(space, column * 100, 0, column * 100 + 80, 50)
    text(space, "keel  side%%d", (10, 10))
    space.add_mtext(
        r"{\fArial|b0;\H5;deck\Pbeam}", dxfattribs={"layer": "LABELS", "insert": (110, 30), "char_height": 4}
    )
    block = document.blocks.new("TAG")
    block.add_attdef("NAME", (0, 0), dxfattribs={"layer": "0"})
    block.add_attdef("KIND", (0, 20), "never shown", dxfattribs={"layer": "0"})
    tag = space.add_blockref("TAG", (210, 10), dxfattribs={"layer": "LABELS"})
    tag.add_attrib("NAME", "floor", (210, 10), dxfattribs={"layer": "0"})
    tag.add_attrib("PRICE", "12.50", (215, 10), dxfattribs={"layer": "0"}).is_invisible = True
    words = document.blocks.new("WORDS")
    text(words, "carlin", (0, 0), layer="0")
    space.add_blockref("WORDS", (390, 10), dxfattribs={"layer": "LABELS", "xscale": -1})
    text(space, "plate", (900, 900), layer="CORE").set_placement((440, 25), align=TextEntityAlignment.MIDDLE_CENTER)
    shapes = laid(tmp_path, document, origin=(240, 0))
    assert said(shapes.defects) == []
    by_place = sorted(shapes.shapes, key=lambda s: s.outline.points[:, 0].min())
    assert [s.label for s in by_place] == ["keel side°", "deck beam", "floor", "carlin", "plate"]


# ---- what is left out


def test_polylines_of_old_kinds(tmp_path):
    document = drawings.new("R12")
    space = document.modelspace()
    fitted = space.add_polyline2d([(0, 0), (50, -10), (100, 0)], dxfattribs={"layer": "CORE", "flags": 4})
    fitted.append_vertices([(100, 80), (0, 80)])
    fitted.close()
    # a vertex that only steers the fitted curve is not on it
    fitted.vertices[1].dxf.flags = 16
    flat_in_space = space.add_polyline3d(
        [(200, 0, 7), (300, 0, 7), (300, 50, 7), (200, 50, 7)], dxfattribs={"layer": "CORE"}
    )
    flat_in_space.m_close()
    text(space, "a", (10, 20))
    text(space, "b", (210, 20))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [drawings.corners(s.outline) for s in shapes.shapes] == [
        {(0, 0), (100, 0), (100, 80), (0, 80)},
        {(200, 0), (300, 0), (300, 50), (200, 50)},
    ]


def test_what_is_no_outline_is_counted_in_one_note(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    hatch = space.add_hatch(dxfattribs={"layer": "CORE"})
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)])
    space.add_hatch(dxfattribs={"layer": "CORE"}).paths.add_polyline_path([(0, 0), (10, 0), (10, 10)])
    space.add_linear_dim(base=(0, 100), p1=(0, 0), p2=(100, 0), dxfattribs={"layer": "LABELS"}).render()
    space.add_leader([(0, 0), (10, 10), (20, 10)], dxfattribs={"layer": "CORE"})
    space.add_solid([(0, 0), (1, 0), (0, 1), (1, 1)], dxfattribs={"layer": "CORE"})
    space.add_3dface([(0, 0), (1, 0), (0, 1), (1, 1)], dxfattribs={"layer": "CORE"})
    space.add_polymesh((2, 2), dxfattribs={"layer": "CORE"})
    drawing = drawings.read(tmp_path, document)
    (note,) = drawing.defects
    assert note.level is Level.NOTE
    assert note.message == (
        "not read, as they draw no outline: 7 objects: HATCH on layer CORE (2), 3DFACE on layer CORE (1), "
        "DIMENSION on layer LABELS (1), LEADER on layer CORE (1), POLYLINE on layer CORE (1), SOLID on layer CORE (1)"
    )


def test_what_does_not_lie_flat_is_left_out_with_a_warning(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    space.add_polyline3d([(0, 0, 0), (10, 0, 0), (10, 10, 5)], dxfattribs={"layer": "CORE"})
    drawings.line(space, (0, 0, 0), (10, 0, 3))
    space.add_circle((0, 0), 5, dxfattribs={"layer": "CORE", "extrusion": (1, 0, 0)})
    space.add_ellipse((0, 0), (5, 0, 1), 0.5, dxfattribs={"layer": "CORE"})
    drawings.line(space, (0, 0, 2), (100, 0, 2))  # this one only lies high
    drawing = drawings.read(tmp_path, document)
    (warning,) = drawing.defects
    assert warning.level is Level.WARNING
    assert warning.message == (
        "left out, as they do not lie flat in the drawing's plane: 4 objects: CIRCLE on layer CORE (1), "
        "ELLIPSE on layer CORE (1), LINE on layer CORE (1), POLYLINE on layer CORE (1)"
    )
    assert len(drawing.chains) == 1


def test_layers_that_are_off_frozen_or_not_plotted_count(tmp_path):
    document = drawings.new()
    layer = document.layers.add("CORE")
    layer.off()
    layer.freeze()
    layer.dxf.plot = 0
    rectangle(document.modelspace(), 0, 0, 100, 50, label="floor")
    assert only(laid(tmp_path, document)).label == "floor"


def test_layer_names_match_whatever_their_case(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, layer="core", label="floor")
    assert only(laid(tmp_path, document)).layer == "CORE"


def test_paper_space_is_not_read_and_said_so(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, label="floor")
    rectangle(document.paperspace(), 0, 0, 10, 10, label="title")
    drawing = drawings.read(tmp_path, document)
    assert said(drawing.defects) == ["not read: 2 objects in paper space; only model space is"]
    assert len(drawing.outlines) == 1


def test_layers_the_plan_does_not_name_are_counted_in_one_note(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    for x in range(3):
        drawings.line(space, (x, 0), (x, 1), layer="DIM")
    block = document.blocks.new("B")
    text(block, "hello", (0, 0), layer="Notes")
    space.add_blockref("B", (0, 0), dxfattribs={"layer": "CORE"})
    drawing = drawings.read(tmp_path, document)
    assert drawing.unnamed == {"DIM": 3, "Notes": 1}
    assert said(drawing.defects) == ["not read: 4 objects on layers that the plan does not name: DIM (3), Notes (1)"]


def test_all_layers_may_be_asked_for(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, layer="whatever")
    rectangle(document.modelspace(), 0, 100, 100, 150, layer="Else")
    drawing = drawings.read(tmp_path, document, layers=None)
    assert sorted(outline.layer for outline in drawing.outlines) == ["Else", "whatever"]
    assert drawing.defects == ()


def test_a_block_that_is_not_there_is_told(tmp_path):
    document = drawings.new()
    document.modelspace().add_blockref("GONE", (0, 0), dxfattribs={"layer": "CORE"})
    drawing = drawings.read(tmp_path, document)
    assert said(drawing.defects, Level.WARNING) == [
        "left out, as the drawing does not hold their block: 1 insert: GONE (1)"
    ]

"""Drawings that are made to harm: blocks that multiply, numbers out of all bounds, more than any frame could hold."""

import math
import re

import drawings
import pytest
from drawings import laid, line, only, polyline, read, rectangle, refused, text

from scrieve.shared.errors import DrawingError
from scrieve.shared.findings import Level


def test_a_block_that_holds_itself(tmp_path):
    document = drawings.new()
    block = document.blocks.new("SELF")
    block.add_blockref("self", (1, 1))
    document.modelspace().add_blockref("SELF", (0, 0))
    assert refused(tmp_path, document) == "a block may not hold itself (got block self within itself)"


def test_blocks_that_hold_each_other(tmp_path):
    document = drawings.new()
    document.blocks.new("A").add_blockref("B", (0, 0))
    document.blocks.new("B").add_blockref("A", (0, 0))
    document.modelspace().add_blockref("A", (0, 0))
    assert refused(tmp_path, document) == "a block may not hold itself (got block A within itself)"


def nested(depth, times):
    """Blocks within blocks, each holding the one below several times."""
    document = drawings.new()
    rectangle(document.blocks.new("B0"), 0, 0, 1, 1, layer="0")
    for level in range(1, depth + 1):
        block = document.blocks.new(f"B{level}")
        for k in range(times):
            block.add_blockref(f"B{level - 1}", (k, level))
    document.modelspace().add_blockref(f"B{depth}", (0, 0), dxfattribs={"layer": "CORE"})
    return document


def test_blocks_that_multiply(tmp_path):
    message = refused(tmp_path, nested(30, 10))
    assert re.fullmatch(r"at most 200000 objects are wanted \(INSERT \w+ alone draws more by block B30\)", message)
    many = nested(4, 10)  # none alone is too much
    for k in range(30):
        many.modelspace().add_blockref("B4", (0, k))
    assert refused(tmp_path, many).startswith("at most 200000 objects are wanted (INSERT ")


def test_blocks_nested_too_deep(tmp_path):
    assert refused(tmp_path, nested(100, 1)) == "blocks at most 64 deep are wanted (got more)"
    assert len(read(tmp_path, nested(60, 1)).outlines) == 1


def test_a_huge_array_of_blocks(tmp_path):
    document = drawings.new()
    document.blocks.new("NOTHING")
    attribs = {"row_count": 32000, "column_count": 32000, "row_spacing": 1, "column_spacing": 1}
    document.modelspace().add_blockref("NOTHING", (0, 0), dxfattribs=attribs)
    assert (
        refused(tmp_path, document)
        == "at most 200000 objects are wanted (INSERT 32 is an array of 32000 x 32000 blocks)"
    )


def test_the_budget_may_be_set(tmp_path):
    document = drawings.new()
    for k in range(11):
        rectangle(document.modelspace(), k, 0, k + 1, 1)
    assert len(read(tmp_path, document, budget=11).outlines) == 11
    assert refused(tmp_path, document, budget=10).startswith("at most 10 objects are wanted")


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e300", "1e9"])
@pytest.mark.parametrize("code", ["10", "20"])
def test_coordinates_out_of_all_bounds(tmp_path, value, code):
    whole = drawings.content(one_circle()).decode()
    at = whole.index("AcDbCircle")
    handle = one_circle().modelspace()[0].dxf.handle
    here = whole.index(f" {code}\n", at) + 4
    harmed = whole[:here] + value + whole[whole.index("\n", here) :]
    assert left_out(tmp_path, harmed) == (
        f"CIRCLE {handle} on layer CORE cannot be read, and is left out: its coordinates are out of all bounds"
    )


def left_out(folder, document) -> str:
    """What is said of the one object of a drawing that cannot be read: an error with the object's handle."""
    drawing = read(folder, document)
    assert not (drawing.outlines or drawing.chains or drawing.circles or drawing.texts)
    assert all(point.of_block for point in drawing.points)
    (defect,) = drawing.defects
    assert (defect.level, defect.source.file) == (Level.ERROR, "frames/5.dxf")
    assert f" {defect.source.handle} on layer" in defect.message
    return defect.message


def one_circle():
    document = drawings.new()
    document.modelspace().add_circle((1, 2), 3, dxfattribs={"layer": "CORE"})
    return document


BOUNDLESS = {
    "line": lambda space: line(space, (0, 0), (math.nan, 0)),
    "radius": lambda space: space.add_circle((0, 0), math.inf, dxfattribs={"layer": "CORE"}),
    "arc": lambda space: space.add_arc((0, 0), 1e300, 0, 90, dxfattribs={"layer": "CORE"}),
    "angle": lambda space: space.add_arc((0, 0), 10, 0, math.nan, dxfattribs={"layer": "CORE"}),
    "polyline": lambda space: polyline(space, [(0, 0), (math.inf, 0), (0, 1)]),
    "bulge": lambda space: polyline(space, [(0, 0), (5, 0), (0, 1)], [math.nan, 0, 0]),
    "great bulge": lambda space: polyline(space, [(0, 0), (500, 0), (0, 100)], [1e9, 0, 0]),
    "squashed bulge": lambda space: squashed(space, [(0, 0), (500, 0), (0, 100)], [-1e12, 0, 0]),
    "negative radius": lambda space: space.add_circle((0, 0), -1.0, dxfattribs={"layer": "CORE"}),
    "turned insert": lambda space: squashed(space, [(0, 0), (5, 0), (0, 1)], rotation=math.inf),
    "far array": lambda space: squashed(space, [(0, 0), (5, 0), (0, 1)], row_count=3, row_spacing=math.inf),
    "turned text": lambda space: text(space, "x", (0, 0), rotation=math.inf),
    "turned paragraph": lambda space: space.add_mtext("x", dxfattribs={"layer": "LABELS", "rotation": math.inf}),
    "tall text": lambda space: text(space, "x" * 20, (0, 0), width=1e300),
    "ellipse": lambda space: space.add_ellipse((0, 0), (1e200, 0), 0.5, dxfattribs={"layer": "CORE"}),
    "spline": lambda space: space.add_open_spline(
        [(0, 0), (1e300, 0), (1, math.nan), (2, 2)], dxfattribs={"layer": "CORE"}
    ),
    "point": lambda space: space.add_point((math.nan, 0), dxfattribs={"layer": "SCREWS"}),
    "text": lambda space: text(space, "x", (math.inf, 0)),
}


@pytest.mark.parametrize("draw", BOUNDLESS.values(), ids=BOUNDLESS)
def test_every_kind_of_object_out_of_all_bounds(tmp_path, draw):
    document = drawings.new()
    draw(document.modelspace())
    assert " cannot be read, and is left out: " in left_out(tmp_path, document)


def squashed(space, points, bulges=None, **attribs):
    """A polyline in a block that stands half as high."""
    polyline(space.doc.blocks.new("B"), points, bulges)
    return space.add_blockref("B", (0, 0), dxfattribs={"layer": "CORE", "yscale": 0.5, **attribs})


def test_what_cannot_be_read_keeps_nothing_else_from_being_read(tmp_path):
    document = one_circle()
    for _ in range(30):
        document.modelspace().add_circle((0, 0), -1.0, dxfattribs={"layer": "CORE"})
    drawing = read(tmp_path, document)
    assert len(drawing.circles) == 1
    *told, rest = drawing.defects
    assert len({defect.source.handle for defect in told}) == 20
    assert rest.message == "10 more objects cannot be read"


def test_the_same_on_a_layer_that_the_plan_does_not_name_is_nobodys_business(tmp_path):
    document = drawings.new()
    line(document.modelspace(), (0, 0), (math.nan, 0), layer="SKETCH")
    assert read(tmp_path, document).unnamed == {"SKETCH": 1}


def test_an_ellipse_too_big_to_follow(tmp_path):
    document = drawings.new()
    document.modelspace().add_ellipse((0, 0), (9e6, 0), 0.5, dxfattribs={"layer": "CORE"})
    assert "it is too big to follow" in left_out(tmp_path, document)


def test_a_block_without_scale(tmp_path):
    document = drawings.new()
    rectangle(document.blocks.new("B"), 0, 0, 10, 10)
    document.modelspace().add_blockref("B", (0, 0), dxfattribs={"layer": "CORE", "xscale": 1e-11})
    assert "its scale is 0 or no number" in left_out(tmp_path, document)


def test_a_very_long_polyline(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    polyline(
        space, [(1000 * math.cos(k / 20_000 * math.tau), 1000 * math.sin(k / 20_000 * math.tau)) for k in range(20_000)]
    )
    text(space, "hoop", (0, 0))
    assert len(only(laid(tmp_path, document)).outline.points) == 20_000


def test_more_outlines_than_any_frame_could_hold(tmp_path):
    document = drawings.new()
    for k in range(2001):
        document.modelspace().add_circle((k, 0), 5, dxfattribs={"layer": "CORE"})
    with pytest.raises(DrawingError) as error:
        laid(tmp_path, document)
    assert str(error.value) == "frames/5.dxf: frame 5 may hold at most 2000 outlines (got 2001)"


def test_control_characters_in_texts_and_layer_names_do_not_come_through(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), "flo-or", (20, 20))
    line(document.modelspace(), (0, 0), (1, 1), layer="LA-YER")
    whole = drawings.content(document).replace(b"flo-or", b"flo\x1b[31m\xff\x07or").replace(b"LA-YER", b"LA\x1bYER")
    drawing = read(tmp_path, whole)
    assert [words.text for words in drawing.texts] == ["flo [31m or"]
    assert drawing.unnamed == {"LA YER": 1}

"""Files that are no sound drawing: one clear line, never a traceback, never a hang. And units."""

import functools
import math
import os
import re

import drawings
import pytest
from drawings import laid, line, only, polyline, read, rectangle, refused, said, text
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.drawing import Drawing, document, portions, read_drawing
from scrieve.model.drawing.document import LARGEST
from scrieve.shared.errors import DrawingError
from scrieve.shared.findings import Level


def small(version="R2010"):
    """A drawing with a bit of everything."""
    document = drawings.new(version)
    space = document.modelspace()
    polyline(space, [(0, 0), (100, 0), (100, 60)], [0, 0.3, 0])
    block = document.blocks.new("B")
    block.add_circle((0, 0), 2, dxfattribs={"layer": "0"})
    space.add_blockref("B", (20, 20), dxfattribs={"layer": "SCREWS", "xscale": 2})
    space.add_ellipse((0, 200), (100, 0), 0.5, dxfattribs={"layer": "CORE"}) if version != "R12" else None
    space.add_spline([(0, 300), (50, 320), (100, 300)], dxfattribs={"layer": "CORE"}) if version != "R12" else None
    space.add_arc((0, 400), 30, 20, 200, dxfattribs={"layer": "CORE"})
    line(space, (0, -100), (0, 100), layer="REFERENCE")
    text(space, "floor", (50, 20))
    return document


# ---- files that are no drawing

NOT_DXF = {
    "empty": (b"", "a DXF drawing is wanted (the file is empty)"),
    "prose": (b"Dear builder,\nplease find the drawings attached.\n", "a DXF drawing is wanted (this is no DXF file)"),
    "one line": (b"0", "a whole DXF drawing is wanted (the file is cut off: its end mark is missing)"),
    "DWG": (b"AC1027\0\0\0\0\0" + os.urandom(64), "a DXF drawing is wanted (got a DWG file, not DXF: save it as DXF)"),
    "PDF": (b"%PDF-1.7\n%\xe2\xe3", "a DXF drawing is wanted (got a PDF, not DXF: export the drawing as DXF)"),
    "packed": (b"PK\x03\x04" + bytes(40), "a DXF drawing is wanted (got a packed file, not DXF: unpack it first)"),
    "SVG": (b'<svg xmlns="x"></svg>', "a DXF drawing is wanted (got an SVG, not DXF: export the drawing as DXF)"),
    "picture": (b"\x89PNG\r\n\x1a\n", "a DXF drawing is wanted (got a picture, not DXF: export the drawing as DXF)"),
    "noughts": (bytes(5000), "a DXF drawing is wanted (this is no DXF file)"),
    "junk": (bytes(range(1, 256)) * 50, "a DXF drawing is wanted (this is no DXF file)"),
}


@pytest.mark.parametrize("content, message", NOT_DXF.values(), ids=NOT_DXF)
def test_a_file_that_is_no_dxf(tmp_path, content, message):
    assert refused(tmp_path, content) == message


def test_a_file_that_is_missing(tmp_path):
    with pytest.raises(DrawingError) as error:
        read_drawing(tmp_path / "5.dxf", shown="frames/5.dxf", plan_unit="mm", layers=["CORE"])
    assert str(error.value) == "frames/5.dxf: no such file"


def test_a_folder_is_no_drawing(tmp_path):
    with pytest.raises(DrawingError) as error:
        read_drawing(tmp_path, shown="frames", plan_unit="mm", layers=["CORE"])
    assert str(error.value) == "frames: a regular file is wanted (got a folder, pipe or device)"


def test_a_pipe_is_no_drawing_and_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "5.dxf")
    with pytest.raises(DrawingError, match="a regular file is wanted"):
        read_drawing(tmp_path / "5.dxf", shown="5.dxf", plan_unit="mm", layers=["CORE"])


def test_a_file_that_is_too_big(tmp_path):
    path = tmp_path / "5.dxf"
    with open(path, "wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(DrawingError) as error:
        read_drawing(path, shown="5.dxf", plan_unit="mm", layers=["CORE"])
    assert str(error.value) == "5.dxf: a file of at most 64 MiB is wanted (got more)"


def object_of_many_lines():
    whole = drawings.content(small()).decode()
    at = whole.rindex("  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")
    corners = "10\n1.5\n20\n2.5\n" * 250_000
    return f"{whole[:at]}  0\nLWPOLYLINE\n  5\nABC\n{corners}{whole[at:]}"


TOO_MUCH = {
    "corners": (object_of_many_lines, "(LWPOLYLINE ABC takes 1000004): draw it with fewer corners"),
    "objects": (lambda: many("  0\nLINE\n  8\nCORE\n"), "at most 200000 objects are wanted (the file holds 200008)"),
    "binary": (
        lambda: b"AutoCAD Binary DXF\r\n\x1a\0" + bytes(8 << 20) + b"EOF",
        "at most 8 MiB is wanted: save it as text",
    ),
}


def many(text):
    whole = drawings.content(small()).decode()
    at = whole.rindex("  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")
    return whole[:at] + text * 200_001 + whole[at:]


@pytest.mark.parametrize("make, message", TOO_MUCH.values(), ids=TOO_MUCH)
def test_what_is_too_much_is_counted_before_it_is_parsed(tmp_path, monkeypatch, make, message):
    monkeypatch.setattr(document, "_strictly", None)
    assert message in refused(tmp_path, make())


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
def test_a_drawing_read_in_portions_is_the_drawing(tmp_path, monkeypatch, version):
    drawn = small(version)
    drawn.layout("Layout1").add_line((0, 0), (1, 1))
    polyline(drawn.modelspace(), [(0, 500), (100, 500), (100, 560)], [0, 0.3, 0])
    drawn.modelspace()[1].add_attrib("NAME", "ш", (1, 1), dxfattribs={"layer": "LABELS"})
    whole = read(tmp_path, drawn)
    monkeypatch.setattr(portions, "FEW", 0)
    monkeypatch.setattr(portions, "_PORTION", 1)
    cut = read(tmp_path, drawn)
    for kind in ("circles", "points", "texts", "defects", "forks"):
        assert getattr(cut, kind) == getattr(whole, kind)
    for kind in ("outlines", "chains"):
        ones, others = getattr(cut, kind), getattr(whole, kind)
        assert [one.source for one in ones] == [other.source for other in others] != []
    for one, other in zip(cut.outlines, whole.outlines, strict=True):
        drawings.assert_same(one.outline, other.outline)


def test_a_drawing_without_subclass_markers_is_told_what_cures_it(tmp_path):
    whole = drawings.content(small()).decode()
    bare = re.sub(r"100\nAcDb\w+\n *", "", whole)
    assert refused(tmp_path, bare) == (
        "a sound DXF drawing is wanted (LWPOLYLINE(#2F) lacks its subclass marker): save it as R2010 or newer"
    )


def test_a_drawing_with_an_empty_handle_is_read_with_a_note(tmp_path):
    whole = drawings.content(small()).decode()
    drawing = read(tmp_path, re.sub(r"(LWPOLYLINE\n *5\n)\w+\n", r"\1\n", whole))
    assert said(drawing.defects) == [
        "the file is damaged and was read as far as it goes: what is broken in it is left out"
    ]
    assert len(drawing.outlines) == len(read(tmp_path, whole).outlines)


@pytest.mark.parametrize("fmt", ["asc", "bin"])
@pytest.mark.parametrize("share", [0.2, 0.6, 0.95, 0.999])
def test_a_drawing_that_is_cut_off(tmp_path, fmt, share):
    whole = drawings.content(small(), fmt)
    cut = whole[: int(len(whole) * share)]
    assert refused(tmp_path, cut) == ("a whole DXF drawing is wanted (the file is cut off: its end mark is missing)")


def test_a_drawing_with_nonsense_for_a_number_is_refused(tmp_path):
    whole = drawings.content(small()).decode()
    message = refused(
        tmp_path, whole.replace("AcDbArc", "AcDbArc\n 50\nninety").replace("$ACADVER\n  1", "$ACADVER\n  x")
    )
    assert message.startswith("a sound DXF drawing is wanted (it cannot be read: ")


@pytest.mark.parametrize("number", ["1,5", "1.5mm", "1O", "", "0x10"])
def test_what_is_no_number_is_not_taken_for_another(tmp_path, number):
    """A decimal comma, by which the reader that repairs would cut a place off at its whole part."""
    whole = drawings.content(small()).decode()
    lines = whole.split("\n")
    at = next(n for n in range(lines.index("LWPOLYLINE"), len(lines)) if lines[n].strip() == "10" and n % 2 == 0) + 1
    lines[at] = number
    message = refused(tmp_path, "\n".join(lines))
    assert message.startswith(f'line {at + 1}: a number is wanted (got "{number}"')
    assert ("no comma" in message) == ("," in number)


def test_blank_lines_after_the_end_do_not_hide_it(tmp_path):
    assert read(tmp_path, drawings.content(small()).decode() + "\n" * 3000).outlines


def test_a_drawing_of_an_unknown_version_is_refused_or_read_whole(tmp_path):
    whole = drawings.content(small()).decode()
    assert "AC1024" in whole
    assert len(read(tmp_path, whole.replace("AC1024", "AC1099")).chains) == len(read(tmp_path, whole).chains)


def test_a_damaged_drawing_is_read_as_far_as_it_goes_and_said_so(tmp_path):
    whole = drawings.content(small()).decode()
    # an object of an ancient kind: the ends of a line as x, x, y, y
    swapped = " 0\nLINE\n  8\nCORE\n 10\n0.0\n 11\n5.0\n 20\n900.0\n 21\n900.0\n"
    at = whole.rindex("  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")
    drawing = read(tmp_path, whole[:at] + swapped + whole[at:])
    assert said(drawing.defects) == [
        "the file is damaged and was read as far as it goes: what is broken in it is left out"
    ]
    assert drawing.defects[0].level is Level.NOTE
    assert len(drawing.chains) == len(read(tmp_path, whole).chains) + 1


WAYS_TO_WRITE = {
    "lines that end as on Windows": lambda whole: whole.replace(b"\n", b"\r\n"),
    "a remark before all else": lambda whole: b"999\nwritten by hand\n" + whole,
    "white space after the end": lambda whole: whole + b"\r\n \x1a",
    "nothing but the objects": lambda whole: whole[whole.index(b"  0\nSECTION\n  2\nENTITIES") :],
}


@pytest.mark.parametrize("rewrite", WAYS_TO_WRITE.values(), ids=WAYS_TO_WRITE)
def test_ways_in_which_other_programs_write(tmp_path, rewrite):
    document = drawings.new("R12")
    rectangle(document.modelspace(), 0, 0, 100, 50, label="floor")
    drawing = read(tmp_path, rewrite(drawings.content(document)))
    assert [outline.outline.points.max() for outline in drawing.outlines] == [100]
    assert [words.text for words in drawing.texts] == ["floor"]


# ---- drawings that are made to harm


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


@functools.cache
def good_files():
    return [drawings.content(small(version), fmt) for version in ("R12", "R2000", "R2010") for fmt in ("asc", "bin")]


@given(st.data())
@settings(max_examples=60)
def test_changed_bytes_give_a_drawing_or_one_clear_line(tmp_path_factory, data):
    content = bytearray(data.draw(st.sampled_from(good_files())))
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(content) - 1))
        change = data.draw(st.sampled_from(["byte", "cut", "digit", "twice"]))
        if change == "byte":
            content[at] = data.draw(st.integers(0, 255))
        elif change == "digit":
            content[at : at + 1] = data.draw(st.sampled_from([b"-", b"e", b"9999999999", b"nan", b"\n", b"0\nLINE\n"]))
        elif change == "cut":
            del content[at : at + data.draw(st.integers(1, 40))]
        else:
            content[at:at] = content[at : at + data.draw(st.integers(1, 200))]
    folder = tmp_path_factory.mktemp("fuzz")
    try:
        drawing = read(folder, bytes(content))
    except DrawingError as error:
        assert len(error.mistakes) == 1
        assert str(error).startswith("frames/5.dxf: ")
        assert "\n" not in str(error)
    else:
        assert isinstance(drawing, Drawing)
    assert [path.name for path in folder.iterdir()] == ["5.dxf"]


# ---- units

IN_MM = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 10: 914.4, 14: 100.0}


@pytest.mark.parametrize("code, mm", IN_MM.items())
@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_drawing_is_in_its_own_unit(tmp_path, code, mm, version):
    document = drawings.new(version, units=code)
    polyline(document.modelspace(), [(1, 1), (3, 1), (3, 2), (1, 2)], [0, 0.5, 0, 0])
    document.modelspace().add_circle((1.5, 1.5), 0.25, dxfattribs={"layer": "SCREWS"})
    drawing = read(tmp_path, document, plan_unit="ft")
    assert not drawing.unit_assumed
    assert drawing.defects == ()
    assert drawing.outlines[0].outline.points.max() == pytest.approx(3 * mm)
    assert drawing.outlines[0].outline.bulges[1] == 0.5
    assert (drawing.circles[0].centre[0], drawing.circles[0].radius) == pytest.approx((1.5 * mm, 0.25 * mm))


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_drawing_without_a_unit_takes_the_plans_and_says_so(tmp_path, version):
    document = drawings.new(version, units=drawings.NO_UNIT)
    rectangle(document.modelspace(), 0, 0, 4, 2)
    drawing = read(tmp_path, document, plan_unit="in")
    assert (drawing.unit, drawing.unit_assumed) == ("in", True)
    assert drawing.outlines[0].outline.points.max() == pytest.approx(101.6)
    (note,) = drawing.defects
    assert note.level is Level.NOTE
    assert note.message == "the drawing has no unit of its own; its lengths are taken as in, the plan's unit"


@pytest.mark.parametrize("code", [17, 20, 99, -4])
def test_a_drawing_in_a_unit_no_boat_is_drawn_in_takes_the_plans(tmp_path, code):
    whole = drawings.content(drawings.new(units=4)).decode()
    drawing = read(tmp_path, whole.replace("$INSUNITS\n 70\n4", f"$INSUNITS\n 70\n{code}"))
    assert said(drawing.defects) == [
        f"the drawing's unit ($INSUNITS {code}) is unknown; its lengths are taken as mm, the plan's unit"
    ]


def test_inches_and_millimetres_come_to_the_same(tmp_path):
    drawn = {}
    for name, unit, size in (("mm", drawings.MM, 25.4), ("in", drawings.INCH, 1.0)):
        document = drawings.new(units=unit)
        space = document.modelspace()
        polyline(space, [(0, 0), (20 * size, 0), (20 * size, 5 * size), (0, 5 * size)], [0, 0.4, 0, 0])
        space.add_ellipse((40 * size, 0), (10 * size, 0), 0.3, dxfattribs={"layer": "CORE"})
        space.add_circle((80 * size, 0), 3 * size, dxfattribs={"layer": "CORE"})
        for label, at in (("floor", (2, 2)), ("port light", (40, 0)), ("hoop", (80, 0))):
            text(space, label, (at[0] * size, at[1] * size))
        drawn[name] = laid(tmp_path, document)
    assert len(drawn["mm"].shapes) == 3
    for one, other in zip(drawn["mm"].shapes, drawn["in"].shapes, strict=True):
        drawings.assert_same(one.outline, other.outline, tolerance=1e-9)

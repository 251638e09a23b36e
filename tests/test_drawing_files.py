"""Files that are no sound drawing: one clear line, never a traceback, never a hang."""

import functools
import os
import re

import drawings
import pytest
from drawings import line, polyline, read, rectangle, refused, said, text
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

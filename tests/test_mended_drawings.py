"""Edits in the bytes of a drawing: what they are about changes as the library changes it, and nothing else does."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from scrieve.model.drawing.reader import read_drawing
from scrieve.model.mending.drawing_file import DrawingFile
from scrieve.model.mending.dxf_tags import BinaryNotation, _number_form
from scrieve.model.mending.not_editable import NotEditableError
from scrieve.shared.edits import Add, Move, Relabel, Remove, Reshape, Target

BY = (3.25, -2.5)
FORMS = [("R12", "asc"), ("R2000", "asc"), ("R2018", "asc"), ("R12", "bin"), ("R2018", "bin")]
FROM_BEHIND = {"extrusion": (0, 0, -1)}
CORNERS = [(0, 0, 0.5), (40, 0), (40, 30), (0, 30)]


def everything(version: str, form: str, folder: Path) -> tuple[Path, dict[str, str]]:
    """A drawing with an object of every kind, and their handles."""
    document = ezdxf.new(version, units=4)
    space = document.modelspace()
    block = document.blocks.new("PLATE")
    block.add_circle((1, 2), 3)
    block.add_attdef("NAME", (1, 1))
    here = {"layer": "CORE"}
    things = {
        "line": space.add_line((0, 100), (10, 101), dxfattribs=here),
        "arc": space.add_arc((50, 100), 8, 20, 140, dxfattribs=here),
        "arc from behind": space.add_arc((50, 130), 8, 20, 140, dxfattribs={**here, **FROM_BEHIND}),
        "circle": space.add_circle((80, 100), 5, dxfattribs=here),
        "circle from behind": space.add_circle((80, 130), 5, dxfattribs={**here, **FROM_BEHIND}),
        "point": space.add_point((100, 100), dxfattribs=here),
        "text": space.add_text("floor", dxfattribs={**here, "insert": (120, 100), "height": 4}),
        "aligned": space.add_text("side", dxfattribs={**here, "height": 4}).set_placement((150, 100), align=CENTRED),
        "heavy": space.add_polyline2d(CORNERS, format="xyb", close=True, dxfattribs=here),
        "heavy from behind": space.add_polyline2d(
            CORNERS, format="xyb", close=True, dxfattribs={**here, "extrusion": (0, 0, -1)}
        ),
        "spatial": space.add_polyline3d([(0, 200, 5), (10, 200, 5), (10, 210, 5)], close=True, dxfattribs=here),
        "block": space.add_blockref("PLATE", (180, 100), dxfattribs=here),
    }
    things["block"].add_attrib("NAME", "cleat", (181, 101), dxfattribs=here)
    if version != "R12":
        polyline = {"format": "xyb", "close": True}
        things |= {
            "light": space.add_lwpolyline(CORNERS, **polyline, dxfattribs=here),
            "light from behind": space.add_lwpolyline(CORNERS, **polyline, dxfattribs={**here, **FROM_BEHIND}),
            "ellipse": space.add_ellipse((50, 160), (9, 1), 0.5, dxfattribs=here),
            "spline": space.add_spline([(0, 160), (5, 166), (10, 160), (16, 160)], dxfattribs=here),
            "notes": space.add_mtext("deck beam", dxfattribs={**here, "insert": (80, 160), "char_height": 4}),
        }
    file = folder / "drawing.dxf"
    document.saveas(file, fmt=form)
    return file, {name: thing.dxf.handle for name, thing in things.items()}


CENTRED = ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER


def seen(file: Path) -> list[tuple[object, ...]]:
    """All that a drawing holds, in its order, rounded."""
    drawing = read_drawing(file, shown="d.dxf", plan_unit="mm", layers=None)
    return [
        *(("outline", *np.round(each.outline.points, 6).ravel()) for each in drawing.outlines),
        *(("chain", *np.round(each.points, 6).ravel()) for each in drawing.chains),
        *(("circle", *np.round(each.centre, 6), round(each.radius, 6)) for each in drawing.circles),
        *(("point", *np.round(each.at, 6)) for each in drawing.points),
        *((each.text, *np.round([*each.at, *each.middle], 6)) for each in drawing.texts),
    ]


def target(*handles: str, layer: str = "CORE") -> Target:
    return Target(name="it", frame="1", file="d.dxf", layer=layer, unit="mm", handles=handles)


def changed(content: bytes, *edits, near: float = 0.001) -> bytes:
    return DrawingFile(content, list).with_edits(edits, near).content()


@pytest.mark.parametrize(("version", "form"), FORMS)
def test_a_move_is_that_of_the_library_and_leaves_every_other_byte(version, form, tmp_path):
    file, handles = everything(version, form, tmp_path)
    content = file.read_bytes()
    for name, handle in handles.items():
        moved = changed(content, Move(target=target(handle), start=(1.0, 1.0), end=(1.0 + BY[0], 1.0 + BY[1])))
        (tmp_path / "ours.dxf").write_bytes(moved)
        document = ezdxf.readfile(file)
        document.entitydb[handle].translate(*BY, 0)
        document.saveas(tmp_path / "theirs.dxf", fmt=form)
        assert seen(tmp_path / "ours.dxf") == seen(tmp_path / "theirs.dxf"), name
        assert seen(tmp_path / "ours.dxf") != seen(file), name
        gone = Remove(target=target(handle), at=(0.0, 0.0))
        assert changed(moved, gone) == changed(content, gone), name


@pytest.mark.parametrize(("version", "form"), FORMS)
def test_what_is_taken_out_is_gone_and_the_rest_is_read_as_before(version, form, tmp_path):
    file, handles = everything(version, form, tmp_path)
    gone = changed(file.read_bytes(), Remove(target=target(handles["heavy"], handles["text"]), at=(0.0, 0.0)))
    (tmp_path / "ours.dxf").write_bytes(gone)
    document = ezdxf.readfile(file)
    for name in ("heavy", "text"):
        document.modelspace().delete_entity(document.entitydb[handles[name]])
    document.saveas(tmp_path / "theirs.dxf", fmt=form)
    assert seen(tmp_path / "ours.dxf") == seen(tmp_path / "theirs.dxf")


@pytest.mark.parametrize(("version", "form"), FORMS)
def test_what_is_added_is_there_with_a_handle_of_its_own(version, form, tmp_path):
    file, _ = everything(version, form, tmp_path)
    square = ((200.0, 0.0), (220.0, 0.0), (220.0, 20.0), (200.0, 20.0))
    edits = (
        Add(target=target(layer="NEW"), points=((300.0, 5.0),), diameter=7.0),
        Add(target=target(layer="NEW"), points=((300.0, 50.0), (310.0, 60.0))),
        Add(target=target(layer="NEW"), points=square, bulges=(0.5, 0.0, 0.0, 0.0), text="Stück"),
    )
    (tmp_path / "ours.dxf").write_bytes(changed(file.read_bytes(), *edits))
    document = ezdxf.readfile(tmp_path / "ours.dxf")
    assert not document.audit().errors
    new = [each for each in document.modelspace() if each.dxf.layer == "NEW"]
    assert [each.dxftype() for each in new] == [
        "CIRCLE",
        "LINE",
        "POLYLINE" if version == "R12" else "LWPOLYLINE",
        "TEXT",
    ]
    assert len({each.dxf.handle for each in document.entitydb.values()}) == len(document.entitydb)
    assert int(document.header["$HANDSEED"], 16) > max(int(each.dxf.handle, 16) for each in new)
    drawing = read_drawing(tmp_path / "ours.dxf", shown="d.dxf", plan_unit="mm", layers={"NEW"})
    (outline,), (circle,), (text,) = drawing.outlines, drawing.circles, drawing.texts
    assert (circle.centre, circle.radius, text.text) == ((300.0, 5.0), 3.5, "Stück")
    assert outline.outline.points.tolist() == [list(at) for at in square]
    assert outline.outline.bulges.tolist() == [0.5, 0.0, 0.0, 0.0]
    assert 200 < text.at[0] < 220


@pytest.mark.parametrize(
    ("version", "form", "name"),
    [
        (*each, weight + way)
        for each in FORMS
        for weight in ("light", "heavy")
        for way in ("", " from behind")
        if (each[0], weight) != ("R12", "light")
    ],
)
def test_a_corner_is_moved_and_its_neighbours_stay(version, form, name, tmp_path):
    file, handles = everything(version, form, tmp_path)
    side = -1.0 if name.endswith("behind") else 1.0
    edit = Reshape(target=target(handles[name]), corners=(((side * 40.0, 30.0), (side * 44.0, 35.0)),))
    (tmp_path / "ours.dxf").write_bytes(changed(file.read_bytes(), edit))
    before, after = ([each for each in seen(path) if each[0] == "outline"] for path in (file, tmp_path / "ours.dxf"))
    differ = [(one, other) for one, other in zip(before, after, strict=True) if one != other]
    assert len(differ) == 1
    ((old, new),) = differ
    assert [pair for pair in zip(old, new, strict=True) if pair[0] != pair[1]] == [
        (side * 40.0, side * 44.0), (30.0, 35.0)
    ]  # fmt: skip


def test_lines_and_arcs_that_meet_in_a_corner_both_go_there_and_the_arc_turns_as_far(tmp_path):
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    line = space.add_line((0, 0), (40, 0))
    arcs = [space.add_arc((40, 10), 10, -90, 90)]
    arcs.append(space.add_arc((-40, 10), 10, -90, 90, dxfattribs=FROM_BEHIND))
    document.saveas(tmp_path / "d.dxf")
    content = (tmp_path / "d.dxf").read_bytes()
    for arc in arcs:
        edit = Reshape(target=target(line.dxf.handle, arc.dxf.handle), corners=(((40.0, 0.0), (41.0, -2.0)),))
        (tmp_path / "ours.dxf").write_bytes(changed(content, edit, near=0.01))
        new = ezdxf.readfile(tmp_path / "ours.dxf")
        assert new.entitydb[line.dxf.handle].dxf.end == (41.0, -2.0, 0.0)
        ends = (new.entitydb[arc.dxf.handle].start_point, new.entitydb[arc.dxf.handle].end_point)
        assert sorted((at.x, at.y) for at in ends) == [
            pytest.approx((40.0, 20.0), abs=1e-8), pytest.approx((41.0, -2.0), abs=1e-8)
        ]  # fmt: skip
        bent = new.entitydb[arc.dxf.handle].dxf
        assert (bent.end_angle - bent.start_angle) % 360 == pytest.approx(180.0, abs=1e-6)


@pytest.mark.parametrize(("version", "form"), FORMS)
def test_a_label_reads_otherwise_and_stays_where_it_is(version, form, tmp_path):
    file, handles = everything(version, form, tmp_path)
    names = ["text"] if version == "R12" else ["text", "notes"]
    for name, was in zip(names, ("floor", "deck beam"), strict=False):
        edit = Relabel(target=target(handles[name]), was=was, text="Lücke 5")
        (tmp_path / "ours.dxf").write_bytes(changed(file.read_bytes(), edit))
        assert [("Lücke 5", *each[1:3]) if each[0] == was else each[:3] for each in seen(file)] == [
            each[:3] for each in seen(tmp_path / "ours.dxf")
        ]


def test_what_cannot_be_changed_is_said_and_nothing_of_it_is_done(tmp_path):
    file, handles = everything("R2018", "asc", tmp_path)
    content = file.read_bytes()
    drawing = DrawingFile(content, list)
    move = Move(target=target(handles["line"]), start=(0.0, 0.0), end=BY)
    elsewhere = Move(target=target(handles["line"]), start=(0.0, 0.0), end=(9.0, 9.0))
    no_corner = Reshape(target=target(handles["light"]), corners=(((1.0, 1.0), (2.0, 2.0)),))
    for edits in (
        (move, Move(target=target("FFFF"), start=(0.0, 0.0), end=BY)),
        (move, elsewhere),
        (move, no_corner),
        (Relabel(target=target(handles["circle"]), was="a", text="b"),),
    ):
        with pytest.raises(NotEditableError):
            drawing.with_edits(edits, 0.001)
    assert drawing.content() == content
    assert drawing.with_edits((move, move), 0.001).content() == drawing.with_edits((move,), 0.001).content() != content


def test_an_arc_of_a_whole_turn_has_no_corner(tmp_path):
    document = ezdxf.new("R2010", units=4)
    arc = document.modelspace().add_arc((40, 10), 10, 0, 360)
    document.saveas(tmp_path / "d.dxf")
    edit = Reshape(target=target(arc.dxf.handle), corners=(((50.0, 10.0), (51.0, 10.0)),))
    with pytest.raises(NotEditableError):
        changed((tmp_path / "d.dxf").read_bytes(), edit)


def test_what_is_added_has_a_handle_though_the_header_names_no_sound_one(tmp_path):
    file, handles = everything("R2018", "asc", tmp_path)
    content, many = re.subn(rb"(\$HANDSEED\n *5\n)[^\n]*", rb"\1none", file.read_bytes())
    assert many == 1
    (tmp_path / "ours.dxf").write_bytes(changed(content, Add(target=target(), points=((300.0, 5.0),), diameter=7.0)))
    document = ezdxf.readfile(tmp_path / "ours.dxf")
    (new,) = (each for each in document.modelspace() if each.dxf.handle not in handles.values())
    assert int(document.header["$HANDSEED"], 16) > int(new.dxf.handle, 16)


@pytest.mark.parametrize("cut", [600, 5000, 12000])
def test_a_file_that_is_cut_off_is_refused(cut, tmp_path):
    for form in ("asc", "bin"):
        file, handles = everything("R2018", form, tmp_path)
        with pytest.raises(NotEditableError):
            changed(file.read_bytes()[:cut], Remove(target=target(handles["line"]), at=(0.0, 0.0)))


def test_numbers_of_binary_files_are_those_of_the_library():
    """Which group codes have which numbers, as the library that also reads them has it."""
    types = ezdxf.lldxf.types
    sizes = {"<h": types.INT16, "<i": types.INT32, "<q": types.INT64, "<d": types.DOUBLE, "<B": types.BYTES}
    for form, codes in sizes.items():
        assert {code for code in range(1100) if _number_form(code) == form} == set(codes)
    assert BinaryNotation(b"").tag(8, "CORE", "ascii") == b"\x08CORE\0"

"""The drawing of the assembly board and the verb that writes it."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import drawings
import ezdxf
import making
import numpy as np
import pytest
import replanning
import shapely
from drawings import Use
from ezdxf.document import Drawing

from scrieve.model.assemble import assemble
from scrieve.model.boat.board import Board, Hole, board_of
from scrieve.model.drawing import lay_out
from scrieve.model.plan.plan_reader import read_plan
from scrieve.viewer.dxf.board_drawing import CLEAR, LAYERS, LETTERS, WIDE, board_drawing, level_of, placed
from scrieve.viewer.verbs.commands import run

ROOT = Path(__file__).parents[1]
DEMOS = ("pram", "skiff")


def read(text: str) -> Drawing:
    return ezdxf.read(io.StringIO(text))


def demo(name: str) -> tuple[Board, Drawing]:
    boat = assemble(read_plan(ROOT / "hulls" / name))
    board = board_of(boat)
    return board, read(board_drawing(board, boat.name))


def made(*places, faces=("core",), size=None) -> Board:
    dowels = [making.dowel(at, number=n) for n, at in enumerate(places, start=1)]
    parts = [making.part(face, making.rectangle(-5, 0, 5, 9), face=face) for face in faces]
    return board_of(replace(making.assembly([making.frame(parts, dowels=dowels)]), board=size))


def named(hole: Hole) -> str:
    return " ".join(f"F{frame}" for frame in hole.frames)


def boxes(drawing: Drawing) -> dict[str, shapely.Polygon]:
    """What each text takes up, by its words and place, at the widest letters that are reckoned with."""
    return {
        f"{t.dxf.text} {t.dxf.insert}": shapely.box(
            t.dxf.insert.x, t.dxf.insert.y, t.dxf.insert.x + WIDE * t.dxf.height * len(t.dxf.text),
            t.dxf.insert.y + t.dxf.height,
        )
        for t in drawing.modelspace().query("TEXT")
    }  # fmt: skip


# ---- what other programs see


@pytest.mark.parametrize("name", DEMOS)
def test_it_is_a_sound_drawing_in_millimetres_on_named_layers(name):
    _, drawing = demo(name)
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert (drawing.dxfversion, drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == ("AC1024", 4, 1)
    used = {entity.dxf.layer for entity in drawing.modelspace()}
    assert used <= set(LAYERS)
    assert used >= set(LAYERS) - {"LEVEL LINE"}


@pytest.mark.parametrize("seen", ["from forward", "from aft"])
@pytest.mark.parametrize("name", DEMOS)
def test_it_reads_back_with_the_same_positions(name, seen, tmp_path):
    board, _ = demo(name)
    text = board_drawing(replace(board, seen=seen), "Boat")
    layers = {"HOLES": Use("dowel"), "CENTRELINE": Use("reference"), "DATUM LINE": Use("reference")}
    drawing = drawings.read(tmp_path, text, layers=layers)
    shapes = lay_out(drawing, layers=layers, seen=seen, origin=(0.0, 0.0), frame="5")
    assert not [defect for defect in shapes.defects if defect.level != "note"]
    got = sorted((round(mark.at[0], 3), round(mark.at[1], 3), mark.radius) for mark in shapes.marks)
    wanted = sorted((round(h.at[0], 3) + 0.0, round(h.at[1], 3), h.diameter / 2) for h in board.holes)
    np.testing.assert_allclose(got, wanted, rtol=0, atol=1e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_each_hole_has_the_names_of_its_frames_beside_it(name):
    board, drawing = demo(name)
    space = drawing.modelspace()
    texts = [t for t in space.query("TEXT") if t.dxf.layer == "FRAME NUMBERS"]
    circles = {(round(c.dxf.center.x, 2), round(c.dxf.center.y, 2)): c for c in space.query("CIRCLE")}
    assert len(texts) == len(board.holes) == len(circles)
    lines = [line for line in space.query("LINE") if line.dxf.layer == "FRAME NUMBERS"]
    leads = [shapely.LineString([tuple(line.dxf.start)[:2], tuple(line.dxf.end)[:2]]) for line in lines]
    for number, hole in enumerate(board.holes, start=1):
        circle = circles[round(-hole.at[0], 2), round(hole.at[1], 2)]  # seen from aft
        disc = shapely.Point(circle.dxf.center.x, circle.dxf.center.y).buffer(circle.dxf.radius)
        taken = boxes(drawing)
        own = [box for words, box in taken.items() if words.startswith(f"{number}: {named(hole)} ")]
        led = [lead for lead in leads if lead.distance(disc) < 1.1 * CLEAR and lead.distance(own[0]) < 0.1]
        assert len(own) == 1 and own[0].distance(disc) > CLEAR / 2
        assert led or own[0].distance(disc) < 3 * CLEAR


@pytest.mark.parametrize("name", DEMOS)
def test_a_machine_finds_every_hole_once_alone_on_its_layer_and_its_place_in_the_table(name):
    board, drawing = demo(name)
    space = drawing.modelspace()
    drilled = [entity for entity in space if entity.dxf.layer == "HOLES"]
    points = [tuple(entity.dxf.location)[:2] for entity in space if entity.dxf.layer == "DRILL POINTS"]
    assert {entity.dxftype() for entity in drilled} == {"CIRCLE"}
    assert [tuple(circle.dxf.center)[:2] for circle in drilled] == points and len(set(points)) == len(board.holes)
    (edge,) = space.query("LWPOLYLINE")
    left, low = np.min([point[:2] for point in edge.get_points()], axis=0)
    cells: dict[float, list[tuple[float, str]]] = {}
    for text in (text for text in space.query("TEXT") if text.dxf.layer == "HOLE TABLE"):
        cells.setdefault(text.dxf.insert.y, []).append((text.dxf.insert.x, text.dxf.text))
    rows = [[words for _, words in sorted(cells[y])] for y in sorted(cells, reverse=True)]
    assert rows[0] == ["hole", "x", "y", "diameter", "frames"]
    for number, (hole, (u, v), row) in enumerate(zip(board.holes, points, rows[1:-1], strict=True), start=1):
        assert row == [str(number), f"{u - left:.1f}", f"{v - low:.1f}", f"{hole.diameter:g}", named(hole)]


def test_each_frame_lies_lightly_on_a_layer_of_its_own_as_it_is_drawn():
    boat = assemble(read_plan(ROOT / "hulls" / "skiff"))
    space = read(board_drawing(board_of(boat), boat.name, boat.frames)).modelspace()
    for frame in boat.frames:
        lines = [line for line in space.query("LWPOLYLINE") if line.dxf.layer == f"OUTLINE F{frame.number}"]
        core = [part for part in frame.parts if part.face == "core" and part.role != "leg"]
        assert len(lines) == sum(1 + len(part.holes) for part in core)
        corners = np.array([(-x, y) for line in lines for x, y in line.get_points("xy")])  # seen from aft
        wanted = np.concatenate([part.drawn.points for part in core])
        assert np.allclose(np.sort(corners, axis=0), np.sort(wanted, axis=0), atol=1e-3)
        assert sum(bool(b) for line in lines for (b,) in line.get_points("b")) == sum(
            int(np.count_nonzero(part.drawn.bulges)) for part in core
        )


@pytest.mark.parametrize("name", DEMOS)
def test_no_text_stands_on_another_nor_on_a_hole_nor_on_a_line(name):
    _, drawing = demo(name)
    taken = list(boxes(drawing).values())
    assert not any(one.intersects(other) for one, other in combinations(taken, 2))
    for circle in drawing.modelspace().query("CIRCLE"):
        disc = shapely.Point(circle.dxf.center.x, circle.dxf.center.y).buffer(circle.dxf.radius)
        assert not any(disc.intersects(box) for box in taken)
    for line in drawing.modelspace().query("LINE"):
        drawn = shapely.LineString([tuple(line.dxf.start)[:2], tuple(line.dxf.end)[:2]])
        assert not any(drawn.intersects(box.buffer(-1e-3)) for box in taken)  # a lead ends on its name's edge


@pytest.mark.parametrize("name", DEMOS)
def test_all_holes_lie_on_the_board_and_the_lines_cross_in_the_origin(name):
    board, drawing = demo(name)
    (edge,) = drawing.modelspace().query("LWPOLYLINE")
    outline = shapely.Polygon([point[:2] for point in edge.get_points()])
    assert edge.closed and outline.bounds == (-board.half, board.low, board.half, board.high)
    for hole in board.holes:
        assert outline.contains(shapely.Point(hole.at).buffer(1.5 * hole.diameter - 1e-6))
    lines = {line.dxf.layer: line for line in drawing.modelspace().query("LINE")}
    assert lines["CENTRELINE"].dxf.start.x == lines["CENTRELINE"].dxf.end.x == 0.0
    assert lines["DATUM LINE"].dxf.start.y == lines["DATUM LINE"].dxf.end.y == 0.0


def test_the_title_says_the_boat_the_unit_the_size_and_from_where_it_is_seen():
    said = {t.dxf.text for t in read(board_drawing(made((100, 50), (-100, 50)), "Burdock")).modelspace().query("TEXT")}
    assert "Burdock: assembly board, seen from forward (port is on the right)" in said
    assert "Millimetres. Least board 240 x 80; 2 holes, diameter 10." in said


def test_seen_from_aft_port_is_on_the_left():
    board = made((100, 50), faces=("core", "aft"))
    drawing = read(board_drawing(board, "Burdock"))
    (circle,) = drawing.modelspace().query("CIRCLE")
    assert (circle.dxf.center.x, circle.dxf.center.y) == (-100.0, 50.0)
    assert any("seen from aft (port is on the left)" in t.dxf.text for t in drawing.modelspace().query("TEXT"))


@pytest.mark.parametrize(("low", "level"), [(500.0, 500.0), (520.0, 600.0), (-900.0, -800.0)])
def test_a_board_off_the_datum_line_has_a_line_a_whole_number_of_hundreds_from_it(low, level):
    board = made((100, low + 100), size=(400, 200))
    board = replace(board, low=low, high=low + 200)
    assert level_of(board) in (level, level + 100)
    drawing = read(board_drawing(board, "X"))
    (line,) = [line for line in drawing.modelspace().query("LINE") if line.dxf.layer == "LEVEL LINE"]
    assert line.dxf.start.y == line.dxf.end.y == level_of(board)
    assert any(t.dxf.text.endswith("the datum line") for t in drawing.modelspace().query("TEXT"))
    assert level_of(made((100, 50))) is None


# ---- names where there is little room


def crowd(pitch: float, words: str):
    holes = [((x * pitch, y * pitch), 10.0) for x in range(-6, 7) for y in range(5)]
    return holes, placed(holes, [words] * len(holes), [str(n) for n in range(len(holes))], [])


@pytest.mark.parametrize(("pitch", "words"), [(200, "F5"), (90, "F5"), (90, "F5 F12 F13"), (120, "F5 F12 F13 F14 F15")])
def test_names_never_cover_holes_or_each_other(pitch, words):
    holes, names = crowd(pitch, words)
    taken = [name.place.box.buffer(-1e-6) for name in names]  # a lead may run along the edge of its name
    taken += [shapely.LineString(name.place.lead) for name in names if name.place.lead]
    discs = [shapely.Point(at).buffer(diameter / 2) for at, diameter in holes]
    crossed = [
        (one, other) for one, other in combinations(taken, 2) if one.intersects(other) and not one.touches(other)
    ]
    assert crossed == []
    assert not any(disc.intersects(one) for disc in discs for one in taken)


def test_with_room_every_name_stands_close_beside_its_hole():
    _, names = crowd(200, "F5")
    assert all(name.place.lead is None and name.words == "F5" for name in names)


def test_without_room_the_number_stands_there_alone():
    _, names = crowd(90, "F5 F12 F13 F14 F15")
    keys = {n: name.words for n, name in enumerate(names) if name.key}
    assert keys and all(words == str(n) for n, words in keys.items())


def test_letters_are_of_a_size_to_read_from_where_one_stands():
    _, drawing = demo("skiff")
    assert {text.dxf.height for text in drawing.modelspace().query("TEXT")} == {20.0} == {LETTERS}


# ---- the verb


def test_the_verb_writes_it_and_says_so(tmp_path, capsys):
    out = tmp_path / "board.dxf"
    assert run(["board", str(ROOT / "hulls" / "skiff"), str(out)]) == 0
    board, _ = demo("skiff")
    assert out.read_text(encoding="utf-8") == board_drawing(
        board, "Teasel", assemble(read_plan(ROOT / "hulls" / "skiff")).frames
    )
    said = capsys.readouterr().out
    assert f"wrote {out}\n{len(board.holes)} holes for " in said
    assert f"on a board of {2 * board.half:g} x {board.high - board.low:g} mm, seen from aft" in said


def test_it_never_writes_over_a_file_without_leave(tmp_path, capsys):
    out = tmp_path / "board.dxf"
    out.write_text("mine")
    assert run(["board", str(ROOT / "hulls" / "pram"), str(out)]) == 2
    assert out.read_text() == "mine"
    assert capsys.readouterr().err == f"{out}: is there already; --replace writes over it\n"
    assert run(["board", str(ROOT / "hulls" / "pram"), str(out), "--replace"]) == 0
    assert out.read_text().startswith("  0\nSECTION")


def test_it_is_written_under_the_name_of_a_drawing_alone(tmp_path, capsys):
    out = tmp_path / "board.txt"
    assert run(["board", str(ROOT / "hulls" / "pram"), str(out)]) == 2
    assert not out.exists()
    assert capsys.readouterr().err == f"{out}: the board is a drawing: a name ending in .dxf is wanted\n"


def test_a_plan_without_dowels_has_no_board(tmp_path, monkeypatch, capsys):
    boat = making.assembly([making.frame([making.part("core", making.rectangle(-5, 0, 5, 9))])])
    monkeypatch.setattr("scrieve.viewer.verbs.board.assemble", lambda plan: boat)
    out = tmp_path / "board.dxf"
    assert run(["board", str(ROOT / "hulls" / "pram"), str(out)]) == 2
    assert "there is no board" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("size", ["[1, 1]", "[1119, 300]"])
def test_a_board_that_does_not_hold_the_holes_is_not_drawn(size, tmp_path, capsys):
    plan = replanning.copy_of(ROOT / "hulls" / "pram", tmp_path / "pram")
    text = (plan / "plan.toml").read_text(encoding="utf-8")
    (plan / "plan.toml").write_text(text.replace("[dowels]", f"[dowels]\nboard = {size}"), encoding="utf-8")
    line = text.splitlines().index("[dowels]") + 2
    out = tmp_path / "board.dxf"
    assert run(["board", str(plan), str(out)]) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"{plan / 'plan.toml'}:{line}: the board under [dowels] is too small: ")
    assert said.endswith(" of 12 holes do not fit on it; one of 1119 mm across and 325 mm up, or more, is wanted\n")
    assert not out.exists()
    assert run(["check", str(plan), "--only", "board"]) == 1


@pytest.mark.parametrize("size", ["[1119, 325]", "[325, 1119]", "[1118, 324]"])
def test_one_that_does_is_and_thin_wood_at_its_edge_is_for_the_check_to_tell(size, tmp_path):
    plan = replanning.copy_of(ROOT / "hulls" / "pram", tmp_path / "pram")
    text = (plan / "plan.toml").read_text(encoding="utf-8")
    (plan / "plan.toml").write_text(text.replace("[dowels]", f"[dowels]\nboard = {size}"), encoding="utf-8")
    assert run(["board", str(plan), str(tmp_path / "board.dxf")]) == 0
    assert run(["check", str(plan), "--only", "board"]) == 0
    assert run(["check", str(plan), "--only", "board", "--fail-on", "warning"]) == (size == "[1118, 324]")


def test_the_same_plan_gives_the_same_bytes_in_every_run(tmp_path):
    written = []
    for seed in ("1", "2"):
        out = tmp_path / f"{seed}.dxf"
        code = "from scrieve.viewer.verbs.commands import main; main()"
        words = ["board", "hulls/skiff", str(out)]
        environ = {**os.environ, "PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", code, *words], cwd=ROOT, env=environ, check=True, timeout=60)
        written.append(out.read_bytes())
    assert written[0] == written[1]
    assert str(ROOT).encode() not in written[0]

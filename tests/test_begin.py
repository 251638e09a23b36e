"""A plan begun from drawings: what they show is in it, what only the designer knows is blank, and nothing is lost."""

from __future__ import annotations

import errno
import math
import os
import random
import re
import shutil
from pathlib import Path

import drawings
import ezdxf
import pytest
from begun_plans import compared, filled, relayered, renamed, told
from ezdxf.addons.importer import Importer
from ezdxf.math import Matrix44
from measure_begin import report, tried
from styles.habit import Style
from styles.sheet import drawn

from scrieve.model.beginning import begin
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.errors import PlanError
from scrieve.shared.findings import Level
from scrieve.viewer.verbs.commands import run

HULLS = Path(__file__).parents[1] / "hulls"
LAYERS = (
    "CORE", "GUSSETS", "GUSSETS FWD", "LEG INNER", "LEG OUTER", "SCREWS FWD", "SCREWS AFT", "BATTENS", "DOWELS",
    "REFERENCE", "SCREWS LONG", "CLEATS",
)  # fmt: skip
NAMES = {
    "own": {},
    "A1": dict(zip(LAYERS, random.Random(1).sample([f"A{n}" for n in range(1, 13)], 12), strict=True)),
    "layer 7": dict(zip(LAYERS, random.Random(2).sample([f"layer {n}" for n in range(1, 13)], 12), strict=True)),
    "German": dict(
        zip(
            LAYERS,
            (
                "Kern", "Knotenbleche", "Knotenbleche vorn", "Stützen innen", "Stützen außen", "Schrauben vorn",
                "Schrauben achtern", "Leisten", "Dübel", "Bezugslinien", "Schrauben lang", "Klampen",
            ),
            strict=True,
        )
    ),
}  # fmt: skip
EVERY = tuple(Level)


@pytest.mark.parametrize(
    ("boat", "names", "sheets"),
    [("skiff", name, True) for name in NAMES] + [("pram", name, name != "layer 7") for name in NAMES],
)
def test_a_demo_whose_plan_is_lost_checks_as_before_once_the_blanks_are_filled(boat, names, sheets, tmp_path):
    true = renamed(HULLS / boat, tmp_path, NAMES[names], sheets=sheets)
    begun = begin(tmp_path)
    wanted = {"station", "station_at", "rake", "thickness", "length", "rail", "from", "to", "arris"}
    assert {path.rpartition(".")[2] for path in begun.blanks} <= wanted
    assert sum(path.endswith(".station_at") for path in begun.blanks) == len(true.frames)
    (tmp_path / "begun.toml").write_text(filled(begun.text, true))
    plan = read_plan(tmp_path / "begun.toml")
    assert [thing[:2] for thing in compared(plan, true, [layer.layer for layer in begun.layers]) if not thing[2]] == []
    assert told(tmp_path / "begun.toml", EVERY) == told(tmp_path / "true.toml", EVERY)


@pytest.mark.parametrize("names", ["own", "layer 7"])
def test_the_faulty_skiff_differs_by_what_no_drawing_says_and_by_the_line_that_is_drawn_wrong(names, tmp_path):
    true = renamed(HULLS / "skiff-with-faults", tmp_path, NAMES[names])
    (tmp_path / "begun.toml").write_text(filled(begin(tmp_path).text, true))
    text = (tmp_path / "begun.toml").read_text()
    assert text.count("[0, 6]") == 1  # frame 1's datum line is drawn 6 mm too high
    stock = "section = [40, 22]"
    (tmp_path / "begun.toml").write_text(text.replace("[0, 6]", "[0, 0]").replace(stock, f"bend = 250\n{stock}"))
    assert told(tmp_path / "begun.toml", EVERY) == told(tmp_path / "true.toml", EVERY)


def test_the_first_check_names_each_blank_with_its_line(tmp_path, capsys):
    renamed(HULLS / "pram", tmp_path, {}, sheets=False)
    assert run(["begin", str(tmp_path)]) == 0
    assert "the station of 4 frames" in capsys.readouterr().out
    lines = (tmp_path / "plan.toml").read_text().splitlines()
    with pytest.raises(PlanError) as refused:
        read_plan(tmp_path)
    blank = [n for n, line in enumerate(lines, start=1) if '= ""' in line]
    assert [mistake.line for mistake in refused.value.mistakes] == blank
    assert all("still blank: " in mistake.what for mistake in refused.value.mistakes)
    assert all("  # blank: " in lines[n - 1] for n in blank)


def test_nothing_is_written_over_without_leave(tmp_path, capsys):
    renamed(HULLS / "pram", tmp_path, {})
    (tmp_path / "plan.toml").write_text("mine")
    assert run(["begin", str(tmp_path)]) == 2
    assert "--replace writes over it" in capsys.readouterr().err
    assert (tmp_path / "plan.toml").read_text() == "mine"
    assert run(["begin", str(tmp_path), "--output", str(tmp_path / "other.toml")]) == 0
    assert run(["begin", str(tmp_path), "--replace"]) == 0
    assert (tmp_path / "plan.toml").read_text() == (tmp_path / "other.toml").read_text()


def _no_folder(folder: Path) -> Path:
    return folder / "none"


def _a_file(folder: Path) -> Path:
    (folder / "notes.txt").write_text("")
    return folder / "notes.txt"


def _no_drawings(folder: Path) -> Path:
    (folder / "notes.txt").write_text("")
    return folder


def _broken(folder: Path) -> Path:
    shutil.copy(HULLS / "pram" / "frames" / "2.dxf", folder / "2.dxf")
    (folder / "3.dxf").write_bytes((folder / "2.dxf").read_bytes()[:5000])
    return folder


def _link_out(folder: Path) -> Path:
    (folder / "plan").mkdir()
    shutil.copy(HULLS / "pram" / "frames" / "2.dxf", folder / "2.dxf")
    (folder / "plan" / "2.dxf").symlink_to(folder / "2.dxf")
    return folder / "plan"


def _strange_name(folder: Path) -> Path:
    shutil.copy(HULLS / "pram" / "frames" / "2.dxf", folder / "a\x1b[31m\n.dxf")
    return folder


def _no_frames(folder: Path) -> Path:
    (folder / "notes.dxf").write_bytes(drawings.content(drawings.new()))
    return folder


def test_a_folder_that_may_not_be_read_is_told_and_not_passed_over(tmp_path, capsys, monkeypatch):
    shutil.copytree(HULLS / "pram" / "frames", tmp_path / "frames")
    (tmp_path / "more").mkdir()
    look = os.scandir

    def refusing(path):
        if Path(path).name == "more":
            raise PermissionError(errno.EACCES, "Permission denied", path)
        return look(path)

    monkeypatch.setattr(os, "scandir", refusing)
    assert run(["begin", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert said.err == f"{tmp_path}/more: this folder: no permission to read it\n" and said.out == ""
    assert not list(tmp_path.glob("*.toml"))


def _cut_sheets(folder: Path) -> Path:
    shutil.copytree(HULLS / "skiff" / "sheets", folder / "sheets")
    return folder


def _two_boats(folder: Path) -> Path:
    for boat in ("pram", "skiff"):
        shutil.copytree(HULLS / boat / "frames", folder / boat)
    return folder


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (_cut_sheets, "they look like cut sheets"),
        (_two_boats, "pram/1.dxf: one boat is wanted: frame 1 is drawn in skiff/1.dxf too; name the folder of one"),
        (_no_folder, "there is no such folder"),
        (_a_file, "a folder with drawings is wanted (got a file)"),
        (_no_drawings, "there are no DXF drawings in this folder"),
        (_broken, "3.dxf: a whole DXF drawing is wanted"),
        (_link_out, "a file inside the plan's folder is wanted, symbolic links followed"),
        (_strange_name, "a name that a plan can hold is wanted"),
        (_no_frames, "no frame is found in these drawings"),
    ],
)
def test_a_folder_that_gives_no_plan_is_one_clear_line(made, says, tmp_path, capsys):
    folder = made(tmp_path)
    assert run(["begin", str(folder)]) == 2
    said = capsys.readouterr()
    assert (
        said.err.startswith(str(tmp_path))
        and says in said.err
        and said.err.count("\n") == 1
        and said.out == ""
        and "\x1b" not in said.err
    )
    assert not list(tmp_path.rglob("*.toml"))


STYLES = {
    "half drawings": Style(half=True, frames=5, sheets=True, doubler=True),
    "several frames in one drawing": Style(together=True, labels="number"),
    "two views of each": Style(views=True, transoms=True, labels="behind"),
    "views and frames together": Style(views=True, together=True),
    "inches without a header": Style(unit="in", unitless=True, sheets=True),
    "centimetres without a header": Style(unit="cm", unitless=True, sections=False),
    "loose lines, each part its own": Style(loose="each"),
    "loose lines, edges shared": Style(loose="once", joint="half-lap"),
    "no sections": Style(sections=False, flare=9.0, joint="tenon"),
    "layers by thickness": Style(thickness=True, legs="one-ply"),
    "upside down": Style(inverted=True, legs="tongue", beams="all", screws="cross"),
}


@pytest.mark.parametrize("habit", STYLES)
def test_boats_of_other_habits_check_as_before_too(habit, tmp_path):
    true = read_plan((drawn(tmp_path, STYLES[habit]) / "plan.toml").rename(tmp_path / "true.toml"))
    begun = begin(tmp_path)
    (tmp_path / "begun.toml").write_text(filled(begun.text, true))
    plan = read_plan(tmp_path / "begun.toml")
    layers = [layer.layer for layer in begun.layers]
    assert [thing[:2] for thing in compared(plan, true, layers) if not thing[2]] == []
    assert told(tmp_path / "begun.toml") == told(tmp_path / "true.toml")


def test_the_measure_prints_how_much_is_right():
    lines = report([tried(3), tried(29, names=True)])
    assert lines[0] == "2 boats: all right in 1; 2 check to the same errors and warnings"
    assert any(line.split() == ["face", "of", "screws", "2", "0", "0.0", "%"] for line in lines)
    assert any("seed 29: face of screws (2)" in line for line in lines)


def test_labels_in_another_tongue_are_explained(tmp_path):
    says = {b"port ": b"Backbord ", b"starboard ": b"Steuerbord "}
    for file in sorted((HULLS / "pram").glob("frames/*.dxf")):
        drawn_as = re.sub(rb"\b(port|starboard) ", lambda found: says[found[0]], file.read_bytes())
        (tmp_path / file.name).write_bytes(drawn_as)
    words = '[labels]\n"Backbord" = "port"\n"Steuerbord" = "starboard"\n'
    text = (HULLS / "pram" / "plan.toml").read_text().partition("[[cut_sheets]]")[0].replace("frames/", "")
    (tmp_path / "true.toml").write_text(words + text)
    true = read_plan(tmp_path / "true.toml")
    begun = begin(tmp_path)
    assert re.search('seen +=\\s"from aft" +# guess: labels say port on the left', begun.text)
    (tmp_path / "begun.toml").write_text(filled(begun.text, true))
    plan = read_plan(tmp_path / "begun.toml")
    assert [thing[:2] for thing in compared(plan, true, [layer.layer for layer in begun.layers]) if not thing[2]] == []
    assert told(tmp_path / "begun.toml", EVERY) == told(tmp_path / "true.toml", EVERY)


@pytest.mark.parametrize(("radius", "says"), [(5.0, "5 "), (0.0, '""')])
def test_an_arris_is_told_by_round_corners_and_else_left_blank(radius, says, tmp_path):
    document = drawings.new()
    space = document.modelspace()
    drawings.rectangle(space, -500, 200, 500, 300, layer="CORE", label="floor")
    bulge, r = math.tan(math.pi / 8) if radius else 0.0, radius or 1.0
    corners = [(-15 + r, 300), (15 - r, 300), (15, 300 + r), (15, 318 - r), (15 - r, 318), (-15 + r, 318)]
    corners += [(-15, 318 - r), (-15, 300 + r)]
    if not radius:
        corners = [(-15, 300), (15, 300), (15, 318), (-15, 318)]
    section = [(*at, n % 2 * bulge) for n, at in enumerate(corners)]
    space.add_lwpolyline(section, format="xyb", close=True, dxfattribs={"layer": "BATTENS"})
    drawings.text(space, "keel", (0, 309), layer="BATTENS")
    drawings.line(space, (0, -50), (0, 600), layer="REF")
    drawings.line(space, (-600, 0), (600, 0), layer="REF")
    (tmp_path / "a.dxf").write_bytes(drawings.content(document))
    text = begin(tmp_path).text
    assert re.search(r"section = \[30, 18\]", text)
    assert re.search(rf"arris +=\s{says}", text)


def _with_a_border(space, number: str) -> None:
    for corners in ((-700, -200, 700, 900), (400, -190, 690, -130)):
        drawings.rectangle(space, *corners, layer="BORDER")
    drawings.text(space, f"Frame {number}, scale 1:10", (410, -170), layer="TITLE")
    for n in range(5):
        drawings.line(space, (100 * n - 600, -80), (100 * n - 500, -80), layer="DIMENSIONS")
        drawings.text(space, f"{100 + n}", (100 * n - 560, -75), layer="DIMENSIONS")


def _without_reference(space, number: str) -> None:
    for line in list(space.query('*[layer=="REFERENCE"]')):
        space.delete_entity(line)


@pytest.mark.parametrize("changed", [_with_a_border, _without_reference])
def test_borders_titles_and_missing_lines_change_nothing_of_the_boat(changed, tmp_path):
    for file in sorted((HULLS / "pram").glob("frames/*.dxf")):
        document = ezdxf.readfile(file)
        changed(document.modelspace(), file.stem)
        document.saveas(tmp_path / file.name)
    begun = begin(tmp_path)
    text = (HULLS / "pram" / "plan.toml").read_text().partition("[[cut_sheets]]")[0].replace("frames/", "")
    (tmp_path / "true.toml").write_text(text)
    true = read_plan(tmp_path / "true.toml")
    (tmp_path / "begun.toml").write_text(filled(begun.text, true))
    plan = read_plan(tmp_path / "begun.toml")
    assert [thing[:2] for thing in compared(plan, true, [layer.layer for layer in begun.layers]) if not thing[2]] == []
    assert told(tmp_path / "begun.toml") == told(tmp_path / "true.toml")


def test_titles_and_the_other_side_are_read(tmp_path):
    document = ezdxf.new("R2010", units=drawings.MM)
    for n, file in enumerate(sorted((HULLS / "pram").glob("frames/*.dxf"))):
        frame = ezdxf.readfile(file)
        for entity in frame.modelspace():
            entity.transform(Matrix44.scale(-1, 1, 1) @ Matrix44.translate(n % 2 * 1800, n // 2 * 1500, 0))
        drawings.text(frame.modelspace(), f"SPANT {9 - n}  x = {100 * n} mm", (n % 2 * 1800, n // 2 * 1500 - 150))
        Importer(frame, document).import_modelspace()
    document.saveas(tmp_path / "boat.dxf")
    begun = begin(tmp_path)
    assert [(frame.number, frame.because, frame.station) for frame in begun.frames] == [
        (str(number), "a title says so", 100.0 * (9 - number)) for number in (6, 7, 8, 9)
    ]
    assert re.search('seen +=\\s"from forward" +# guess: labels say port on the right', begun.text)


def test_colours_in_place_of_layers_are_told(tmp_path, capsys):
    relayered(HULLS / "pram", tmp_path, dict.fromkeys(LAYERS, "0"))
    assert run(["begin", str(tmp_path)]) == 0
    assert "A plan goes by layers, not by colours" in capsys.readouterr().out
    assert "lie over others" in (tmp_path / "plan.toml").read_text()


def test_stations_and_thicknesses_that_are_written_are_guesses_with_their_reason(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    drawings.rectangle(space, -500, 200, 500, 300, layer="PLY 12MM", label="floor")
    drawings.line(space, (0, -50), (0, 600), layer="REF")
    drawings.line(space, (-600, 0), (600, 0), layer="REF")
    drawings.text(space, "FRAME 3  Station 1450", (100, 400), layer="TITLES")
    (tmp_path / "a.dxf").write_bytes(drawings.content(document))
    text = begin(tmp_path).text
    assert re.search(r'number +=\s"3" +# guess: a title says so', text)
    assert re.search(r"station +=\s1450 +# guess: a text in the drawing says so", text)
    assert re.search(r'thickness = 12 +# guess: the name "PLY 12MM"', text)


def test_a_hundred_thousand_objects_are_read_or_refused_and_not_searched_for_ever(tmp_path, capsys):
    document = drawings.new()
    space = document.modelspace()
    for n in range(3000):
        drawings.rectangle(space, 7.0 * (n % 40), 5.0 * (n // 40), 7.0 * (n % 40) + 50, 5.0 * (n // 40) + 30)
    drawings.line(space, (150, -10), (150, 900), layer="REF")
    drawings.line(space, (0, 0), (300, 0), layer="REF")
    (tmp_path / "a.dxf").write_bytes(drawings.content(document))
    assert run(["begin", str(tmp_path)]) == 2
    assert "may hold at most 2000 outlines (got 3000)" in capsys.readouterr().err


def test_a_plan_may_lie_above_its_drawings_and_never_in_place_of_one(tmp_path, capsys):
    shutil.copytree(HULLS / "pram" / "frames", tmp_path / "boat" / "frames")
    frames, drawing = str(tmp_path / "boat" / "frames"), tmp_path / "boat" / "frames" / "2.dxf"
    assert run(["begin", frames, "--output", str(tmp_path / "boat" / "plan.toml")]) == 0
    assert 'drawing    = "frames/2.dxf"' in (tmp_path / "boat" / "plan.toml").read_text()
    before = drawing.read_bytes()
    assert run(["begin", frames, "--output", str(drawing), "--replace"]) == 2
    assert run(["begin", frames, "--output", str(tmp_path / "other.toml")]) == 0
    (tmp_path / "elsewhere").mkdir()
    assert run(["begin", frames, "--output", str(tmp_path / "elsewhere" / "plan.toml")]) == 2
    assert "a plan names drawings of its own folder and those below it" in capsys.readouterr().err
    assert drawing.read_bytes() == before


@pytest.mark.parametrize("name", ['a "b" \\ c', "# [layers]", "x" * 120, "\u00fc = {", "'''", " edge "])
def test_whatever_layers_and_labels_are_called_the_plan_can_be_read(name, tmp_path):
    document = drawings.new()
    space = document.modelspace()
    layers = ["A_NAME", "B_NAME", "C_NAME"]
    for left, right in ((-500, -30), (30, 500)):
        drawings.rectangle(space, left, 200, right, 300, layer=layers[0], label="floor _NAME")
        drawings.rectangle(space, left / 5 - 30, 150, left / 5 + 30, 260, layer=layers[1], label="plate _NAME")
        drawings.rectangle(space, right - 40, 300, right, 322, layer=layers[2])
        drawings.text(space, "keel _NAME", (right - 30, 310), layer=layers[2])
    drawings.line(space, (0, -50), (0, 600), layer="REF")
    drawings.line(space, (-600, 0), (600, 0), layer="REF")
    (tmp_path / "a.dxf").write_bytes(drawings.content(document).replace(b"_NAME", name.encode()))
    (tmp_path / "plan.toml").write_text(begin(tmp_path).text)
    with pytest.raises(PlanError) as refused:
        read_plan(tmp_path)
    assert [m.what for m in refused.value.mistakes if "still blank" not in m.what] == []

"""A plan begun from drawings: what they show is in it, what only the designer knows is blank, and nothing is lost."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import drawings
import pytest
from begun_plans import compared, filled, renamed, told

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


@pytest.mark.parametrize("sheets", [True, False], ids=["with sheets", "without"])
@pytest.mark.parametrize("names", NAMES)
@pytest.mark.parametrize("boat", ["skiff", "pram"])
def test_a_demo_whose_plan_is_lost_checks_as_before_once_the_blanks_are_filled(boat, names, sheets, tmp_path):
    true = renamed(HULLS / boat, tmp_path, NAMES[names], sheets=sheets)
    begun = begin(tmp_path)
    wanted = {"station", "rake", "thickness", "length", "rail", "from", "to"}
    assert {path.rpartition(".")[2] for path in begun.blanks} <= wanted
    (tmp_path / "begun.toml").write_text(filled(begun.text, true))
    plan = read_plan(tmp_path / "begun.toml")
    assert [thing[:2] for thing in compared(plan, true, [layer.layer for layer in begun.layers]) if not thing[2]] == []
    assert told(tmp_path / "begun.toml", EVERY) == told(tmp_path / "true.toml", EVERY)


@pytest.mark.parametrize("names", ["own", "layer 7", "German"])
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


@pytest.mark.parametrize(
    ("made", "says"),
    [
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
    assert says in said.err and said.err.count("\n") == 1 and said.out == "" and "\x1b" not in said.err
    assert not list(tmp_path.rglob("*.toml"))

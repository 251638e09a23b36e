"""A name of something else than was wanted, or of nothing: one line that says what was got and what to do next."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from faults import HULLS

from scrieve.viewer.verbs.commands import run

TAKES_PLAN = {
    "check": "check PLAN",
    "view": "view PLAN",
    "steps": "steps PLAN",
    "board": "board PLAN out.dxf",
    "screws": "screws PLAN out.dxf",
    "share": "share PLAN out.html",
    "export": "export PLAN out.3mf",
    "picture": "picture PLAN out.svg --frame 2",
}
INSTEAD = {
    "boat/frames/1.dxf": "boat/frames/1.dxf: a plan is wanted: name the plan's folder, boat (got a DXF drawing)",
    "binary.dxf": "binary.dxf: a plan is wanted: name the folder that holds plan.toml (got a DXF drawing)",
    "sheet.pdf": "sheet.pdf: a plan is wanted: name the folder that holds plan.toml (got a PDF)",
    "empty": "empty: there is no plan.toml in this folder, which is empty: name one that holds a plan, "
    "or have `scrieve draft LINES FOLDER` make one from a table of offsets",
    "boat/sheets": "boat/sheets: there is no plan.toml in this folder: name one that holds a plan, "
    "or have `scrieve draft LINES FOLDER` make one from a table of offsets",
    "lined": "lined: there is no plan.toml in this folder, but a lines file: "
    "`scrieve draft lined/lines.toml lined` makes a plan of it",
    ".": ".: there is no plan.toml in this folder, but in those below: name boat",
}
NO_LINES = {
    "boat": "boat: a lines file with a table of offsets is wanted: name boat/lines.toml (got a folder)",
    "empty": "empty: a lines file with a table of offsets is wanted (got a folder)",
    "boat/frames/1.dxf": "boat/frames/1.dxf: a lines file with a table of offsets is wanted (got a DXF drawing)",
    "boat/plan.toml": "boat/plan.toml:1: a lines file is wanted, with a table [boat] "
    "(got a plan; `scrieve draft` wants a lines file, with a table of offsets)",
}


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The working folder, with a boat in it and what is none."""
    shutil.copytree(HULLS / "pram", tmp_path / "boat")
    for name in ("empty", "lined"):
        (tmp_path / name).mkdir()
    shutil.copy(HULLS / "pram" / "lines.toml", tmp_path / "lined")
    (tmp_path / "binary.dxf").write_bytes(b"AutoCAD Binary DXF\r\n\x1a\x00\x00")
    (tmp_path / "sheet.pdf").write_bytes(b"%PDF-1.7\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("name", INSTEAD)
@pytest.mark.parametrize("verb", TAKES_PLAN)
def test_what_is_no_plan(verb, name, capsys):
    assert run(TAKES_PLAN[verb].replace("PLAN", name).split()) == 2
    assert capsys.readouterr() == ("", f"{INSTEAD[name]}\n")


@pytest.mark.parametrize("verb", sorted(set(TAKES_PLAN) - {"view"}))  # the window says it
def test_a_lines_file_is_no_plan(verb, capsys):
    assert run(TAKES_PLAN[verb].replace("PLAN", "lined/lines.toml").split()) == 2
    assert capsys.readouterr().err == (
        "lined/lines.toml:1: a plan is wanted, with a table [plan] "
        "(got a lines file; `scrieve draft` makes a plan of it)\n"
    )


@pytest.mark.parametrize("name", NO_LINES)
def test_what_is_no_lines_file(name, capsys):
    assert run(["draft", name, "new"]) == 2
    assert capsys.readouterr() == ("", f"{NO_LINES[name]}\n")


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["check", "boat", "--output", ""], 'scrieve check: --output needs a value (got "")'),
        (["check", "boat", "--output="], 'scrieve check: --output needs a value (got "")'),
        (["check", "boat", "--cure", ""], 'scrieve check: --cure needs a value (got "")'),
        (["check", "boat", "--only", ""], 'scrieve check: --only needs a value (got "")'),
        (["check", ""], 'scrieve check: a name is wanted (got "")'),
        (["board", "boat", ""], 'scrieve board: a name is wanted (got "")'),
        (["draft", "", "x"], 'scrieve draft: a name is wanted (got "")'),
        (["view", ""], 'scrieve view: a name is wanted (got "")'),
        ([""], 'scrieve: a name is wanted (got "")'),
    ],
)
def test_a_name_of_nothing(words, line, capsys):
    assert run(words) == 2
    assert capsys.readouterr() == ("", f"{line}\n")


@pytest.mark.parametrize("link", [os.link, os.symlink])
def test_two_names_of_one_file_are_not_two_files(link, place, capsys):
    (place / "a.csv").write_text("mine")
    link(place / "a.csv", place / "b.txt")
    words = ["check", "boat", "--only", "station", "--cure", "a.csv", "--output", "b.txt", "--replace"]
    assert run(words) == 2
    assert capsys.readouterr().err == "a.csv: --cure and --output want two files\n"
    assert (place / "b.txt").read_text() == "mine"

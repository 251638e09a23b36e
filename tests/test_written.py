"""No verb writes over the plan or its drawings, whatever leave it is given."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
import replanning
from faults import HULLS

from scrieve.viewer.verbs import run


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    return replanning.copy_of(HULLS / "pram", tmp_path / "boat")


@pytest.mark.parametrize(
    ("words", "own"),
    [
        ("board PLAN frames/2.dxf", "the plan's own drawing frames/2.dxf"),
        ("board PLAN sheets/ply6-1.dxf", "the plan's own drawing sheets/ply6-1.dxf"),
        ("board PLAN frames/../frames/3.dxf", "the plan's own drawing frames/3.dxf"),
        ("screws PLAN frames/1.dxf", "the plan's own drawing frames/1.dxf"),
        ("steps PLAN --output plan.toml", "the plan itself"),
        ("check PLAN --only station --output plan.toml", "the plan itself"),
        ("check PLAN --only station --cure frames/4.dxf", "the plan's own drawing frames/4.dxf"),
    ],
)
def test_the_plan_and_its_drawings_are_not_written_over(plan, words, own, capsys):
    before = contents(plan)
    given = [str(plan / word) if "." in word else word.replace("PLAN", str(plan)) for word in words.split()]
    assert run([*given, "--replace"]) == 2
    assert capsys.readouterr().err.endswith(f": cannot be written: it is {own}\n")
    assert contents(plan) == before


def test_nor_by_a_link(plan, tmp_path, capsys):
    before = contents(plan)
    link = tmp_path / "out.dxf"
    os.symlink(plan / "frames" / "2.dxf", link)
    assert run(["board", str(plan), str(link), "--replace"]) == 2
    assert capsys.readouterr().err == f"{link}: cannot be written: it is the plan's own drawing frames/2.dxf\n"
    assert contents(plan) == before


def test_another_file_in_the_folder_is(plan, capsys):
    out = plan / "frames" / "board.dxf"
    out.write_text("old")
    assert run(["board", str(plan), str(out), "--replace"]) == 0
    assert "AcDb" in out.read_text(encoding="utf-8")

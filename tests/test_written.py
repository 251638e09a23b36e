"""No verb writes over the plan or its drawings, whatever leave it is given."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
import replanning
from faults import HULLS

from scrieve.viewer.verbs.commands import run


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


def test_nor_does_a_picture_of_whatever_ending(plan, capsys):
    """A plan may call its drawings what it likes; SVG and PNG are what `picture` writes."""
    os.rename(plan / "frames" / "2.dxf", plan / "frames" / "2.svg")
    text = (plan / "plan.toml").read_text(encoding="utf-8")
    (plan / "plan.toml").write_text(text.replace("frames/2.dxf", "frames/2.svg"), encoding="utf-8")
    before = contents(plan)
    out = plan / "frames" / "2.svg"
    assert run(["picture", str(plan), str(out), "--frame", "2", "--replace"]) == 2
    assert capsys.readouterr().err == f"{out}: cannot be written: it is the plan's own drawing frames/2.svg\n"
    assert contents(plan) == before
    assert run(["picture", str(plan), str(plan / "frame.svg"), "--frame", "2"]) == 0


# ---- a plan that cannot be read


BROKEN = {
    "no TOML": lambda text: text.replace("[plan]", "[plan", 1),
    "a mistake": lambda text: text.replace("[plan]", "[plan]\nnmae = 1", 1),
    "a drawing missing": lambda text: text.replace("frames/1.dxf", "frames/one.dxf"),
    "names in single quotes": lambda text: text.replace('"', "'").replace("[plan]", "[plan"),
}


@pytest.fixture(params=BROKEN)
def broken(request, plan: Path) -> Path:
    """The plan's folder, its plan broken in some way, one drawing of another ending."""
    os.rename(plan / "frames" / "2.dxf", plan / "frames" / "2.drawn")
    text = (plan / "plan.toml").read_text(encoding="utf-8").replace("frames/2.dxf", "frames/2.drawn")
    (plan / "plan.toml").write_text(BROKEN[request.param](text), encoding="utf-8")
    (plan / "frames" / "unnamed.DXF").write_text("mine")
    return plan


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ("plan.toml", "it is the plan itself"),
        ("lines.toml", "it may be a drawing of PLAN"),
        ("frames/1.dxf", "it may be a drawing of PLAN"),
        ("frames/2.drawn", "it is the plan's own drawing frames/2.drawn"),
        ("frames/unnamed.DXF", "it may be a drawing of PLAN"),
        ("sheets/ply6-1.dxf", "it may be a drawing of PLAN"),
    ],
)
@pytest.mark.parametrize("form", ["sarif", "junit", "github"])
def test_nothing_of_a_plan_that_cannot_be_read_is_written_over(broken, own, said, form, capsys):
    before = contents(broken)
    out = broken / own
    assert run(["check", str(broken), "--format", form, "--output", str(out), "--replace"]) == 2
    assert capsys.readouterr().err == f"{out}: cannot be written: {said.replace('PLAN', str(broken))}\n"
    assert contents(broken) == before


def test_nor_of_one_that_goes_beside_one_that_can(broken, capsys):
    before = contents(broken)
    words = ["check", str(HULLS / "pram"), str(broken), "--only", "station", "--replace"]
    assert run([*words, "--output", str(broken / "frames" / "1.dxf")]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert contents(broken) == before


def test_a_plan_whose_drawing_is_broken_keeps_it(plan):
    (plan / "frames" / "3.dxf").write_text("no drawing")
    before = contents(plan)
    for own in ("frames/3.dxf", "frames/2.dxf", "plan.toml"):
        words = ["check", str(plan), "--format", "sarif", "--output", str(plan / own), "--replace"]
        assert run(words) == 2
    assert contents(plan) == before


def test_a_report_beside_a_broken_plan_is_written_and_written_over(broken, capsys):
    for name in ("report.sarif", "frames/report.txt"):
        out = broken / name
        out.write_text("old")
        assert run(["check", str(broken), "--format", "sarif", "--output", str(out), "--replace"]) == 2
        assert out.read_text(encoding="utf-8").startswith("{")
    capsys.readouterr()


# ---- what is no file


def test_where_the_commands_own_words_go_is_no_place_for_a_file(tmp_path):
    words = [sys.executable, "-c", "from scrieve.viewer.verbs.commands import main; main()"]
    words += ["check", str(HULLS / "pram"), "--only", "station", "--replace", "--output"]
    wanted = "cannot be written: a file of its own is wanted (what the command says goes there already)"

    def said(out: str, **to: object) -> str:
        ended = subprocess.run([*words, out], stderr=subprocess.PIPE, text=True, timeout=60, check=False, **to)
        assert ended.returncode == 2
        return ended.stderr

    log = tmp_path / "log.txt"
    assert said("/dev/stdout", stdout=subprocess.PIPE) == f"/dev/stdout: {wanted}\n"
    with log.open("w") as stream:
        assert said("/dev/stdout", stdout=stream) == f"/dev/stdout: {wanted}\n"
        assert said(str(log), stdout=stream) == f"{log}: {wanted}\n"
    assert log.read_text() == ""


def test_nor_is_a_device_a_pipe_or_a_folder(tmp_path, capsys):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for out, kind in ((pipe, "a device or pipe"), (Path(os.devnull), "a device or pipe"), (tmp_path, "a folder")):
        assert run(["steps", str(HULLS / "pram"), "--output", str(out), "--replace"]) == 2
        assert capsys.readouterr().err == f"{out}: cannot be written: an ordinary file is wanted (got {kind})\n"

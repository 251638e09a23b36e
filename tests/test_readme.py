"""What the README shows is what comes out, and its commands are those that CI runs."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from scrieve.model.plan.plan_reader import read_plan
from scrieve.viewer.verbs.commands import run

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks() -> list[str]:
    """The fenced blocks, without the fences."""
    return re.findall(r"^```\w*\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def said(plan: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    monkeypatch.chdir(ROOT)
    run(["check", plan])
    return capsys.readouterr().out


def test_the_report_on_the_skiff_is_the_one_shown(monkeypatch, capsys):
    shown = next(block for block in blocks() if block.startswith("Teasel (hulls/skiff):"))
    report = said("hulls/skiff", monkeypatch, capsys)
    assert re.sub(r"^Looked at: .*\n", "", report, flags=re.MULTILINE) == shown


def test_the_steps_of_a_frame_are_those_shown(monkeypatch, capsys):
    shown = next(block for block in blocks() if block.startswith("F5, open: "))
    monkeypatch.chdir(ROOT)
    run(["steps", "hulls/skiff"])
    said = capsys.readouterr().out
    assert [passage for passage in shown.strip().split("\n...\n") if passage not in said] == []


def test_the_excerpt_on_the_faulty_skiff_is_from_its_report(monkeypatch, capsys):
    shown = next(block for block in blocks() if block.startswith("Teasel (hulls/skiff-with-faults):"))
    report = said("hulls/skiff-with-faults", monkeypatch, capsys).split("\n\n")
    for passage in shown.strip().split("\n\n"):
        assert any(whole.startswith(passage) for whole in report), passage


def test_what_mend_and_compare_say_is_what_is_shown(tmp_path, monkeypatch, capsys):
    shown = next(block for block in blocks() if " findings mended, " in block).splitlines()
    (tmp_path / "hulls").symlink_to(ROOT / "hulls")
    monkeypatch.chdir(tmp_path)
    assert run(["mend", "hulls/skiff-with-faults", "mended"]) == 1
    said = iter(capsys.readouterr().out.splitlines())
    assert [line for line in shown if line != "..." and line not in said] == []
    shown = next(block for block in blocks() if " to mended: " in block).splitlines()
    assert run(["compare", "hulls/skiff-with-faults", "mended"]) == 1
    said = iter(capsys.readouterr().out.splitlines())
    assert [line for line in shown if line != "..." and line not in said] == []


def test_the_skiff_of_thin_stock_is_reported_as_shown(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    command, shown = next(block for block in blocks() if "--measured" in block).split("\n", 1)
    run(command.split()[2:])
    assert capsys.readouterr().out.startswith(shown)


def test_what_tolerance_brings_is_what_is_shown(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    command, shown = next(block for block in blocks() if block.startswith("$") and "--tolerance" in block).split(
        "\n", 1
    )
    assert run(command.split()[2:]) == 0
    assert f"\n\n{shown}\n" in capsys.readouterr().out


@pytest.mark.parametrize("verb", ["board", "export", "share"])
def test_what_is_written_for_others_is_told_as_shown(verb, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    command, *shown = next(block for block in blocks() if block.startswith(f"$ scrieve {verb}")).splitlines()
    assert run([word.replace("hulls/", f"{ROOT}/hulls/") for word in command.split()[2:]]) == 0
    assert capsys.readouterr().out.replace(f"{ROOT}/", "").splitlines()[:-1] == shown


def test_ci_runs_the_test_command_of_the_readme():
    command = next(block for block in blocks() if "pytest" in block).strip()
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_the_plan_begun_is_the_one_shown(tmp_path, monkeypatch, capsys):
    shutil.copytree(ROOT / "hulls" / "pram", tmp_path / "pram", ignore=shutil.ignore_patterns("plan.toml"))
    monkeypatch.chdir(tmp_path)
    assert run(["begin", "pram"]) == 0
    report, excerpt, blanks = blocks()[blocks().index(next(b for b in blocks() if b.startswith("layer "))) :][:3]
    assert capsys.readouterr().out.startswith(report)
    text = (tmp_path / "pram" / "plan.toml").read_text()
    assert len(excerpt.split("\n\n")) == 4
    assert [passage for passage in excerpt.strip().split("\n\n") if passage not in text] == []
    assert run(["check", "pram"]) == 2
    assert capsys.readouterr().err.startswith(blanks)


def test_the_plan_shown_is_one_that_can_be_read(tmp_path):
    shown = next(block for block in blocks() if block.startswith("[plan]"))
    for drawing in ("frames/5.dxf", "sheets/ply12-1.dxf"):
        (tmp_path / drawing).parent.mkdir()
        (tmp_path / drawing).touch()
    (tmp_path / "plan.toml").write_text(shown, encoding="utf-8")
    assert read_plan(tmp_path).name == "Burdock"

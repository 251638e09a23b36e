"""The hook for pre-commit: its definition is valid, and what it runs is there and does what it says."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import yaml

from scrieve.viewer.verbs.commands import VERBS, run

ROOT = Path(__file__).parents[1]
FILE = ROOT / ".pre-commit-hooks.yaml"
(HOOK,) = yaml.safe_load(FILE.read_text(encoding="utf-8"))


def test_pre_commit_takes_the_definition(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "pre_commit", "validate-manifest", str(FILE)],
        env={**os.environ, "PRE_COMMIT_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout + done.stderr) == (0, "")


def test_what_it_runs_is_a_command_of_this_project_and_one_of_its_verbs():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    command, verb = shlex.split(HOOK["entry"])
    assert command in project["scripts"]
    assert verb in {known.name for known in VERBS}
    assert HOOK["language"] == "python"


@pytest.mark.parametrize(
    ("name", "runs"),
    [("hulls/skiff/plan.toml", True), ("hulls/skiff/frames/3.dxf", True), ("A.DXF", True), ("README.md", False)],
)
def test_it_runs_when_a_plan_or_a_drawing_is_in_the_commit(name, runs):
    assert bool(re.search(HOOK["files"], name)) is runs


def test_without_arguments_of_the_users_it_checks_the_plan_at_the_root(tmp_path, monkeypatch, capsys):
    assert HOOK["pass_filenames"] is False
    shutil.copytree(ROOT / "hulls" / "pram", tmp_path / "plan")
    monkeypatch.chdir(tmp_path / "plan")
    words = [*shlex.split(HOOK["entry"])[1:], *HOOK["args"]]
    assert run(words) == 0
    assert "Burdock (.): " in capsys.readouterr().out

"""The command as a process of its own: pipes that close, streams that are full, encodings that are poor."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

from scrieve.model.checks import CHECKS
from scrieve.viewer.reports.formats import Format

ROOT = Path(__file__).parents[1]
PLANS = [f"hulls/{path.parent.name}" for path in sorted((ROOT / "hulls").glob("*/plan.toml"))]
COMMAND = [sys.executable, "-c", "from scrieve.viewer.verbs.commands import main; main()"]


def scrieve(*words: str, **environ: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, **environ},
        cwd=ROOT,
        timeout=600,
    )


def test_the_process_ends_as_the_verb_does():
    assert scrieve("--version").returncode == 0
    assert scrieve("chekc").returncode == 2


def test_a_plan_that_is_not_there_is_one_line_and_no_traceback(tmp_path):
    done = scrieve("check", str(tmp_path / "nowhere"))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{tmp_path / 'nowhere'}")
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("content", [b"", b"[plan", b"\x00\xff\xfe", b"[plan]\nname = 3\nfoo = 1\n"])
def test_a_plan_that_is_no_plan_is_lines_and_no_traceback(tmp_path, content):
    (tmp_path / "plan.toml").write_bytes(content)
    done = scrieve("check", str(tmp_path))
    assert (done.returncode, done.stdout) == (2, "")
    assert all("plan.toml" in line for line in done.stderr.splitlines())
    assert "Traceback" not in done.stderr and "please report" not in done.stderr


@pytest.mark.parametrize("words", [["explain"], ["explain", "foul"], ["--help"], ["check", "--help"]])
def test_a_reader_that_goes_away_is_no_error_worth_a_word(words):
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run([*COMMAND, *words], stdout=writing, stderr=subprocess.PIPE, text=True, timeout=60)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_poor_encoding_gets_letters_it_has():
    listed = scrieve("explain", "screw-foul", PYTHONIOENCODING="ascii")
    assert listed.returncode == 0
    assert listed.stdout.isascii()


def test_asking_for_help_loads_none_of_the_boat():
    code = "from scrieve.viewer.verbs.commands import run; import sys; run(['--help']); print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=600, check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert not loaded & {"numpy", "shapely", "ezdxf", "manifold3d", "pydantic", "scrieve.model"}


# ---- the demonstration boats, all the way through


EVERY_FORMAT = """
import sys
from scrieve.viewer.verbs import check
from scrieve.viewer.verbs.commands import run

forms, *plans = sys.argv[1:]
examined, seen = check._examined, {}

def once(plan, *how, **more):
    if plan not in seen:
        seen[plan] = examined(plan, *how, **more)
    return seen[plan]

check._examined = once
for form in forms.split():
    assert run(["check", *plans, "--format", form, "--fail-on", "never"]) == 0
    print("\\x1e", end="")
"""
"""Writes the reports in every format after looking at the boats once."""


@cache
def reports(seed: str) -> dict[str, str]:
    """What `check` says of the demonstration boats in each format, where sets have an order of their own."""
    forms = get_args(Format)
    done = subprocess.run(
        [sys.executable, "-c", EVERY_FORMAT, " ".join(forms), *PLANS],
        capture_output=True, encoding="utf-8", cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed}, check=True,
    )  # fmt: skip
    assert done.stderr == ""
    return dict(zip(forms, done.stdout.split("\x1e"), strict=False))


def test_the_demonstration_boats_give_the_same_bytes_whatever_the_order_of_sets():
    assert reports("1") == reports("2")
    assert all(text.strip() for text in reports("1").values())


def test_both_formats_say_the_same_of_the_demonstration_boats():
    plans = json.loads(reports("1")["json"])["plans"]
    text = reports("1")["text"]
    assert [plan["plan"] for plan in plans] == PLANS
    for plan in plans:
        assert f"({plan['plan']}): " in text
        for finding in plan["findings"]:
            assert finding["check"] in CHECKS
            assert finding["level"] == "note" or finding["waived"] or finding["message"] in text


def test_no_report_names_the_place_where_the_plans_lie():
    assert not [form for form, text in reports("1").items() if str(ROOT) in text]

"""The command as a process of its own: pipes that close, streams that are full, encodings that are poor."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest

from scrieve.shared.slugs import SLUGS
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
        timeout=60,
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
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert not loaded & {"numpy", "shapely", "ezdxf", "manifold3d", "pydantic", "scrieve.model"}


# ---- the demonstration boats, all the way through


def test_the_demonstration_boats_give_the_same_bytes_whatever_the_order_of_sets():
    for form in get_args(Format):
        words = ("check", *PLANS, "--format", form, "--fail-on", "never")
        one, other = scrieve(*words, PYTHONHASHSEED="1"), scrieve(*words, PYTHONHASHSEED="2")
        assert (one.returncode, one.stderr) == (0, "")
        assert one.stdout == other.stdout


def test_both_formats_say_the_same_of_the_demonstration_boats():
    plans = json.loads(scrieve("check", *PLANS, "--format", "json").stdout)["plans"]
    text = scrieve("check", *PLANS).stdout
    assert [plan["plan"] for plan in plans] == PLANS
    for plan in plans:
        assert f"({plan['plan']}): " in text
        for finding in plan["findings"]:
            assert finding["check"] in SLUGS
            assert finding["level"] == "note" or finding["waived"] or finding["message"] in text


def test_no_report_names_the_place_where_the_plans_lie():
    for form in get_args(Format):
        done = scrieve("check", *PLANS, "--format", form, "--fail-on", "never")
        assert done.returncode == 0
        assert str(ROOT) not in done.stdout

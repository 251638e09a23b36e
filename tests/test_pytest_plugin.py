"""The plugin for pytest, in runs of pytest of its own: `pytest --plans hulls/`."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Level
from scrieve.viewer import plan_items

HULLS = Path(__file__).parents[1] / "hulls"
WAIVER = """
[[waivers]]
check  = "{check}"
where  = "{where}"
reason = "agreed with the builder"
"""


@pytest.fixture
def hulls(pytester: pytest.Pytester) -> Path:
    """A folder of plans in the place of the inner run, with the pram in it."""
    shutil.copytree(HULLS / "pram", pytester.path / "hulls" / "pram")
    return pytester.path / "hulls"


def faulty(hulls: Path) -> Path:
    """The skiff with faults, beside the pram."""
    shutil.copytree(HULLS / "skiff-with-faults", hulls / "faulty")
    return hulls / "faulty" / "plan.toml"


def broken(hulls: Path) -> None:
    """A plan that cannot be read."""
    (hulls / "broken").mkdir()
    (hulls / "broken" / "plan.toml").write_text('[plan]\nname = "X"\nunits = "mm"\nseen = "from above"\n')


def ran(result: pytest.RunResult) -> dict[str, str]:
    """How each test ended, by its name, from a run with -v."""
    return dict(re.findall(r"^(\S+::\S+) (PASSED|FAILED|ERROR)", result.stdout.str(), flags=re.MULTILINE))


# ---- what is made into tests


def test_each_check_of_each_plan_is_one_test(pytester, hulls):
    result = pytester.runpytest("--plans", "hulls/", "-v")
    assert result.ret == 0
    assert ran(result) == {f"hulls/pram/plan.toml::{slug}": "PASSED" for slug in CHECKS}


def test_they_are_listed_without_running(pytester, hulls, monkeypatch):
    monkeypatch.setattr(plan_items, "review", None)
    result = pytester.runpytest("--plans", "hulls/", "--collect-only", "-q")
    assert result.ret == 0
    assert {f"hulls/pram/plan.toml::{slug}" for slug in CHECKS} <= set(result.outlines)


def test_they_are_chosen_by_k_and_by_name(pytester, hulls):
    assert list(ran(pytester.runpytest("--plans", "hulls", "-v", "-k", "notch-slack"))) == [
        "hulls/pram/plan.toml::notch-slack"
    ]
    for words in (["hulls/pram/plan.toml::foul", "--plans", "hulls"], ["--plans", "hulls/pram/plan.toml::foul"]):
        assert ran(pytester.runpytest("-v", *words)) == {"hulls/pram/plan.toml::foul": "PASSED"}


def test_a_plan_is_set_up_once_and_each_check_run_once(pytester, hulls, monkeypatch):
    counted: list[object] = []
    for name in ("read_plan", "assemble", "review"):
        real = getattr(plan_items, name)

        def told(*given, name=name, real=real, **how):
            counted.append((name, *how.get("only", ())))
            return real(*given, **how)

        monkeypatch.setattr(plan_items, name, told)
    assert pytester.runpytest("--plans", "hulls").ret == 0
    assert sorted(counted) == sorted([("assemble",), ("read_plan",), *(("review", slug) for slug in CHECKS)])


def test_a_plan_may_have_another_name_if_it_is_named(pytester, hulls):
    (hulls / "pram" / "plan.toml").rename(hulls / "pram" / "mine.toml")
    result = pytester.runpytest("--plans", "hulls/pram/mine.toml", "-v", "-k", "station")
    assert ran(result) == {"hulls/pram/mine.toml::station": "PASSED"}


def test_plans_alone_are_tested_unless_another_place_is_named(pytester, hulls):
    pytester.makepyfile(test_own="def test_own(): pass")
    assert not any("own" in name for name in ran(pytester.runpytest("--plans", "hulls", "-v")))
    both = ran(pytester.runpytest("test_own.py", "--plans", "hulls", "-v"))
    assert both["test_own.py::test_own"] == "PASSED"
    assert len(both) == 1 + len(CHECKS)


# ---- how they end


def test_the_faulty_skiff_fails_the_checks_that_find_errors_and_tells_them(pytester, hulls):
    plan = faulty(hulls)
    result = pytester.runpytest("--plans", "hulls", "-v")
    assert result.ret == 1
    wrong = {finding.check for finding in review(assemble(read_plan(plan))) if finding.level is Level.ERROR}
    assert {name.split("::")[1] for name, end in ran(result).items() if end == "FAILED"} == wrong >= {"joint-gap"}
    text = result.stdout.str()
    assert "  error    F4 floor and F4 port side stand 0.80 mm apart at their joint" in text
    assert "           cure: lengthen F4 floor, or F4 port side, by 0.8 mm at the joint" in text
    assert "joint-gap at x 2106" in text and FIT_ONLY in text
    assert "FAILED hulls/faulty/plan.toml::joint-gap - 1 error (F4), " in text
    assert "Traceback" not in text and str(pytester.path / "hulls") not in text


def test_a_broken_plan_is_one_failing_test_with_the_readers_lines_and_hides_no_other(pytester, hulls):
    broken(hulls)
    result = pytester.runpytest("--plans", "hulls", "-v")
    ends = ran(result)
    assert ends.pop("hulls/broken/plan.toml::plan") == "FAILED"
    assert set(ends) == {f"hulls/pram/plan.toml::{slug}" for slug in CHECKS}
    assert re.search(r"^hulls/broken/plan.toml:4: plan.seen: .*from above", result.stdout.str(), flags=re.MULTILINE)
    assert "Traceback" not in result.stdout.str()


def test_a_broken_plan_fails_whichever_check_is_chosen(pytester, hulls):
    broken(hulls)
    result = pytester.runpytest("--plans", "hulls", "-v", "-k", "joint-gap")
    assert ran(result) == {"hulls/broken/plan.toml::plan": "FAILED", "hulls/pram/plan.toml::joint-gap": "PASSED"}


def test_a_drawing_that_cannot_be_read_breaks_the_plan(pytester, hulls):
    (hulls / "pram" / "frames" / "2.dxf").write_text("no drawing")
    result = pytester.runpytest("--plans", "hulls", "-v")
    assert ran(result) == {"hulls/pram/plan.toml::plan": "FAILED"}
    assert "hulls/pram/frames/2.dxf: " in result.stdout.str()


def test_a_waiver_of_the_plan_counts_and_is_shown(pytester, hulls):
    plan = faulty(hulls)
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text + WAIVER.format(check="joint-gap", where="F4 floor"), encoding="utf-8")
    result = pytester.runpytest("--plans", "hulls/faulty", "-v", "-rP", "-k", "joint-gap")
    assert ran(result) == {"hulls/faulty/plan.toml::joint-gap": "PASSED"}
    result.stdout.fnmatch_lines(["*findings*", "  waived   F4 floor and*", "*accepted: agreed with the builder"])


@pytest.mark.parametrize(("level", "end"), [("error", 0), ("warning", 0), ("note", 1), ("never", 0)])
def test_the_level_that_fails_is_chosen(pytester, hulls, level, end):
    assert pytester.runpytest("--plans", "hulls", "--plans-fail-on", level, "-k", "screw-bite").ret == end


def test_findings_below_that_level_are_in_the_tests_report(pytester, hulls):
    result = pytester.runpytest("--plans", "hulls", "-rP", "-k", "screw-bite")
    result.stdout.fnmatch_lines(["*findings*", "  note     16 screws (No. 6 x 1/2 in) hold 6.70 mm*"])


@pytest.mark.parametrize(
    ("word", "line"),
    [
        ("nowhere", "ERROR: --plans nowhere: no such file or folder"),
        ("hulls/pram/frames", "ERROR: --plans hulls/pram/frames: there is no plan.toml in it"),
    ],
)
def test_a_place_without_a_plan_is_misuse_not_success(pytester, hulls, word, line):
    result = pytester.runpytest("--plans", "hulls", word)
    assert result.ret == pytest.ExitCode.USAGE_ERROR
    assert line in result.errlines


# ---- when it is not asked for


def test_a_plan_is_no_test_unless_it_is_asked_for(pytester, hulls):
    assert pytester.runpytest("hulls").ret == pytest.ExitCode.NO_TESTS_COLLECTED


def test_it_loads_nothing_heavy_until_plans_are_asked_for(pytester, hulls):
    code = "import pytest, sys; pytest.main(sys.argv[1:]); print(); print(*sorted(sys.modules))"
    loaded = {}
    for words in ((), ("--plans", "hulls")):
        done = subprocess.run(
            [sys.executable, "-c", code, "--collect-only", "-q", "-p", "no:hypothesispytest", *words],
            cwd=pytester.path,
            capture_output=True,
            text=True,
            timeout=60,
        )
        loaded[words] = set(done.stdout.splitlines()[-1].split())
    light, asked = loaded.values()
    assert "scrieve.viewer.pytest_plugin" in light, "the plugin is not installed: install the project again"
    assert {name for name in light if name.startswith("scrieve")} == {
        "scrieve",
        "scrieve.viewer",
        "scrieve.viewer.pytest_plugin",
    }
    heavy = {"numpy", "shapely", "ezdxf", "pydantic", "manifold3d", "cyclopts", "rich"}
    assert not light & heavy
    assert {"shapely", "ezdxf"} <= asked

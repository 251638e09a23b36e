"""How a verb ends: the code it gives back, and what it says of a plan that cannot be read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from verbs_making import stand_in_boats  # noqa: F401  a fixture

from scrieve.shared.errors import UseError
from scrieve.viewer.verbs import check as check_verb
from scrieve.viewer.verbs.commands import run


@pytest.mark.parametrize(
    ("plan", "fail_on", "ending"),
    [
        ("clean", "note", 0),
        ("errs", "error", 1),
        ("errs", "never", 0),
        ("warns", "error", 0),
        ("warns", "warning", 1),
        ("notes", "warning", 0),
        ("notes", "note", 1),
        ("waived", "note", 0),
        ("bad", "never", 2),
    ],
)
def test_the_ending_goes_by_the_level_that_fails(plan, fail_on, ending, capsys):
    assert run(["check", plan, "--fail-on", fail_on]) == ending


def test_errors_fail_unless_said_otherwise_and_warnings_do_not(capsys):
    assert run(["check", "errs"]) == 1
    assert run(["check", "warns"]) == 0


def test_a_broken_plan_says_each_mistake_on_a_line_with_its_place_first(capsys):
    assert run(["check", "hulls/bad"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == ("hulls/bad/plan.toml:2: no such key (got 3)\nhulls/bad/plan.toml:14: no such key (got 3)\n")


def test_a_broken_plan_hides_nothing_of_the_others(capsys):
    assert run(["check", "errs", "bad", "clean", "--format", "json"]) == 2
    said = capsys.readouterr()
    assert [plan["plan"] for plan in json.loads(said.out)["plans"]] == ["errs", "clean"]
    assert said.err.count("bad/plan.toml:") == 2


def test_with_two_plans_asked_for_and_one_read_the_shape_is_still_that_of_several(capsys):
    run(["check", "errs", "bad", "--format", "json"])
    assert list(json.loads(capsys.readouterr().out)) == ["plans"]


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ("junit", '<error type="unread" message="no such key (got 3)">\nbad/plan.toml:2: no such key (got 3)\n'),
        ("sarif", '"executionSuccessful": false'),
        ("github", "::error file=bad/plan.toml,line=2,title=the plan cannot be read::no such key (got 3)\n"),
    ],
)
def test_a_format_with_a_place_for_unread_plans_is_written_even_if_none_could_be_read(form, said, capsys):
    assert run(["check", "bad", "--format", form]) == 2
    told = capsys.readouterr()
    assert said in told.out
    assert told.err.count("bad/plan.toml:") == 2


@pytest.mark.parametrize(("fail_on", "failures"), [("error", 0), ("warning", 1), ("never", 0)])
def test_the_level_that_fails_is_that_of_the_junit_report_too(fail_on, failures, capsys):
    run(["check", "warns", "--format", "junit", "--fail-on", fail_on])
    assert capsys.readouterr().out.count("<failure") == failures


def test_an_error_without_a_place_is_said_by_scrieve(monkeypatch, capsys):
    def refuse(path: Path) -> None:
        raise UseError.at("there is nothing to do")

    monkeypatch.setattr(check_verb, "read_plan", refuse)
    assert run(["check", "x"]) == 2
    assert capsys.readouterr().err == "scrieve: there is nothing to do\n"


def test_stopping_by_the_keyboard_says_one_line_and_ends_130(monkeypatch, capsys):
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(check_verb, "advised", interrupt)
    assert run(["check", "errs"]) == 130
    assert capsys.readouterr() == ("", "scrieve: stopped\n")


def test_a_mistake_in_scrieve_is_owned_in_one_line_and_shown_only_on_demand(monkeypatch, capsys):
    def stumble(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(check_verb, "advised", stumble)
    assert run(["check", "errs"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "please report it" in said and "ZeroDivisionError: by nought" in said
    monkeypatch.setenv("SCRIEVE_DEBUG", "1")
    assert run(["check", "errs"]) == 2
    assert "Traceback" in capsys.readouterr().err

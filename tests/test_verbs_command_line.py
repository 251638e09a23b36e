"""What is asked for on the command line: verbs, options and checks by their names, help."""

from __future__ import annotations

import re

import pytest
from verbs_making import stand_in_boats  # noqa: F401  a fixture

from scrieve.model.checks import CHECKS
from scrieve.viewer.verbs.commands import VERBS, run

NAMES = ", ".join(verb.name for verb in VERBS)


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("chekc x", f'scrieve: the verb must be one of {NAMES} (got "chekc"; did you mean "check"?)'),
        ("--helpp", 'scrieve: no such option (got "--helpp"; did you mean "--help"?)'),
        ("check x --fromat json", 'scrieve check: no such option (got "--fromat"; did you mean "--format"?)'),
        ("check x --zzz", 'scrieve check: no such option (got "--zzz")'),
        ("check x --no-replace", 'scrieve check: no such option (got "--no-replace"; did you mean "--replace"?)'),
        (
            "check x --format jsno",
            "scrieve check: --format must be one of text, json, junit, sarif, github "
            '(got "jsno"; did you mean "json"?)',
        ),
        (
            "check x --fail-on=erorr",
            'scrieve check: --fail-on must be one of error, warning, note, never (got "erorr"; did you mean "error"?)',
        ),
        ("check x --format", "scrieve check: --format needs a value"),
        ("check x --format text --format json", "scrieve check: --format may be given once only"),
        ("check x --replace=maybe", 'scrieve check: --replace takes no value (got "maybe")'),
        ("check", "scrieve check: name at least one plan, a folder or a file"),
        (
            "draft lines.toml",
            "scrieve draft: FOLDER is missing: where the plan and its drawings go "
            "(scrieve draft LINES FOLDER [--replace])",
        ),
        ("draft a b c", 'scrieve draft: one word too many (got "c" besides what was asked for)'),
        (
            "check x --only screwfoul",
            'scrieve check: --only must name a check (got "screwfoul"; did you mean "screw-foul"?)',
        ),
        ("check x --only ,", 'scrieve check: --only must name a check (got ",")'),
        ("check x --skip qqqq", 'scrieve check: --skip must name a check (got "qqqq")'),
    ],
)
def test_a_command_line_that_cannot_be_is_one_line_and_ends_two(words, line, capsys):
    assert run(words.split()) == 2
    assert capsys.readouterr() == ("", f"{line}\n")


def test_every_unknown_check_is_named_at_once(capsys):
    assert run(["check", "x", "--only", "aaaa,bbbb", "--skip", "cccc"]) == 2
    assert [re.findall(r'"(\w+)"', line) for line in capsys.readouterr().err.splitlines()] == [
        ["aaaa"],
        ["bbbb"],
        ["cccc"],
    ]


def test_checks_are_chosen_by_commas_and_by_repeating(boat, capsys):
    first, second, third = list(CHECKS)[:3]
    run(["check", "clean", "--only", f"{third}, {first}", "--only", second])
    run(["check", "clean", "--skip", f"{first},{second}"])
    run(["check", "clean"])
    assert [how["only"] for how in boat] == [(first, second, third), tuple(CHECKS)[2:], tuple(CHECKS)]


def test_what_was_left_out_is_said(capsys):
    left = next(iter(CHECKS))
    run(["check", "clean", "--skip", left])
    assert f"Not looked at: {left}.\n" in capsys.readouterr().out


def test_leaving_out_every_check_is_refused_not_called_clean(capsys):
    assert run(["check", "clean", "--skip", ",".join(CHECKS)]) == 2
    assert capsys.readouterr().err == "scrieve check: --skip leaves no check to run\n"


def test_waivers_run_out_by_todays_date(boat, capsys):
    run(["check", "clean"])
    assert boat[0]["today"] is not None


def test_help_is_there_for_the_whole_and_for_every_verb(capsys):
    for words in ([], ["--help"], *([verb.name, "--help"] for verb in VERBS)):
        assert run(words) == 0
        said = capsys.readouterr()
        assert said.out.startswith("Usage: scrieve")
        assert said.err == ""
        assert not set(said.out) & set("╭─│╰")


def test_the_version_is_that_of_the_installed_package(capsys):
    assert run(["--version"]) == 0
    assert re.fullmatch(r"\d+\.\d+\.\d+\S*\n", capsys.readouterr().out)

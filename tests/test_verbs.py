"""The verbs in this process, with stand-ins for what reads and reviews the boat."""

from __future__ import annotations

import io
import json
import re
from dataclasses import dataclass
from pathlib import Path
from time import sleep
from types import SimpleNamespace

import pytest
from making import assembly, frame, part, rectangle

from scrieve.model.checks import CHECKS
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY
from scrieve.shared.errors import Mistake, PlanError, UseError
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.system.progress import ProgressBar
from scrieve.viewer.system.terminal import spelled, style_of
from scrieve.viewer.verbs import check as check_verb
from scrieve.viewer.verbs import draft as draft_verb
from scrieve.viewer.verbs.commands import VERBS, run

NAMES = ", ".join(verb.name for verb in VERBS)
LEVELS = {"errs": Level.ERROR, "warns": Level.WARNING, "notes": Level.NOTE}


@dataclass
class StandInPlan:
    """What the verb needs of a plan; its name decides what is found on it."""

    name: str
    frames: tuple[SimpleNamespace, ...] = (SimpleNamespace(drawing="1.dxf"),)
    cut_sheets: tuple[object, ...] = ()
    drawings: tuple[str, ...] = ("1.dxf",)
    waivers: tuple[object, ...] = ()
    folder: Path = Path("no such folder")
    file: Path = Path("no such folder/plan.toml")


@pytest.fixture(autouse=True)
def boat(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """Plans named "errs", "warns", "notes", "waived" hold such a finding, "bad" cannot be read; gives the reviews."""
    asked: list[dict[str, object]] = []
    found: list[Finding] = []

    def read_plan(path: Path) -> StandInPlan:
        if path.name.startswith("bad"):
            raise PlanError([Mistake(path=f"{path}/plan.toml", line=n, what="no such key (got 3)") for n in (14, 2)])
        return StandInPlan(name=path.name)

    def assemble(plan: StandInPlan, *, progress: object):
        level = LEVELS.get(plan.name, Level.ERROR)
        waived = "agreed" if plan.name == "waived" else ""
        standing = Finding(check="foul", level=level, message="[F5] two parts foul", frame="5", waived=waived)
        found[:] = [] if plan.name == "clean" else [standing]
        return assembly([frame([part("side", rectangle(0, 0, 10, 10))])])

    def review(boat: object, **how: object):
        asked.append(how)
        return tuple(found)

    for name, stand_in in (("read_plan", read_plan), ("assemble", assemble), ("examine", review)):
        monkeypatch.setattr(check_verb, name, stand_in)
    for variable in ("NO_COLOR", "FORCE_COLOR", "SCRIEVE_DEBUG"):
        monkeypatch.delenv(variable, raising=False)
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("TERM", "xterm")
    return asked


class Terminal(io.StringIO):
    """A stream that calls itself a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


# ---- how it ends


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

    monkeypatch.setattr(check_verb, "examine", interrupt)
    assert run(["check", "errs"]) == 130
    assert capsys.readouterr() == ("", "scrieve: stopped\n")


def test_a_mistake_in_scrieve_is_owned_in_one_line_and_shown_only_on_demand(monkeypatch, capsys):
    def stumble(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(check_verb, "examine", stumble)
    assert run(["check", "errs"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "please report it" in said and "ZeroDivisionError: by nought" in said
    monkeypatch.setenv("SCRIEVE_DEBUG", "1")
    assert run(["check", "errs"]) == 2
    assert "Traceback" in capsys.readouterr().err


# ---- what is asked for


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


# ---- where it goes


def test_the_plan_is_named_as_the_user_wrote_it(capsys):
    run(["check", "./here/../errs/", "--format", "json"])
    assert json.loads(capsys.readouterr().out)["plan"] == "./here/../errs/"


def test_the_same_boat_gives_the_same_bytes(capsys):
    for form in ("text", "json"):
        run(["check", "errs", "--format", form])
        first = capsys.readouterr().out
        run(["check", "errs", "--format", form])
        assert capsys.readouterr().out == first


def test_output_goes_to_the_file_and_is_said_on_stderr(tmp_path, capsys):
    target = tmp_path / "report.json"
    assert run(["check", "errs", "--format", "json", "--output", str(target)]) == 1
    assert capsys.readouterr() == ("", f"wrote {target}\n")
    assert json.loads(target.read_text(encoding="utf-8"))["counts"]["error"] == 1
    assert [path.name for path in tmp_path.iterdir()] == ["report.json"]


def test_a_file_is_written_over_only_with_leave_and_the_refusal_comes_before_the_work(boat, tmp_path, capsys):
    target = tmp_path / "report.txt"
    target.write_text("mine")
    assert run(["check", "errs", "--output", str(target)]) == 2
    assert capsys.readouterr().err == f"{target}: is there already; --replace writes over it\n"
    assert (target.read_text(), boat) == ("mine", [])
    assert run(["check", "errs", "--output", str(target), "--replace"]) == 1
    assert "two parts foul" in target.read_text(encoding="utf-8")


def test_output_to_a_folder_or_into_a_missing_one_is_refused(tmp_path, capsys):
    assert run(["check", "errs", "--output", str(tmp_path), "--replace"]) == 2
    assert "an ordinary file is wanted (got a folder)" in capsys.readouterr().err
    assert run(["check", "errs", "--output", str(tmp_path / "no" / "report.txt")]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_a_report_in_a_file_is_plain_even_if_the_terminal_is_not(tmp_path, monkeypatch):
    monkeypatch.setattr("sys.stdout", Terminal())
    monkeypatch.setenv("FORCE_COLOR", "1")
    run(["check", "errs", "--output", str(tmp_path / "report.txt")])
    assert "\x1b" not in (tmp_path / "report.txt").read_text(encoding="utf-8")


def test_when_no_plan_could_be_read_no_file_is_written(tmp_path, capsys):
    assert run(["check", "bad", "--output", str(tmp_path / "report.txt")]) == 2
    assert list(tmp_path.iterdir()) == []


class Full(Terminal):
    """A stream to a disk with no room left; a closed one, if told so."""

    def __init__(self, beneath: Path, *, error: type[OSError] = OSError) -> None:
        super().__init__()
        self._beneath = beneath.open("w")
        self._error = error

    def fileno(self) -> int:
        return self._beneath.fileno()

    def write(self, text: str) -> int:
        raise self._error(28, "No space left on device")

    def close(self) -> None:
        self._beneath.close()


@pytest.mark.parametrize("words", [["check", "clean"], ["explain"], ["--help"]])
def test_output_that_cannot_be_written_is_one_line_and_ends_two(words, tmp_path, monkeypatch, capsys):
    stdout = Full(tmp_path / "beneath")
    monkeypatch.setattr("sys.stdout", stdout)
    assert run(words) == 2
    assert capsys.readouterr().err.splitlines() == [
        "scrieve: the output could not be written (No space left on device)"
    ]
    stdout.close()


def test_a_reader_that_has_gone_changes_no_ending(tmp_path, monkeypatch, capsys):
    stdout = Full(tmp_path / "beneath", error=BrokenPipeError)
    monkeypatch.setattr("sys.stdout", stdout)
    assert [run(["check", plan]) for plan in ("errs", "clean", "bad")] == [1, 0, 2]
    assert "could not be written" not in capsys.readouterr().err
    stdout.close()


# ---- how it looks


def test_on_a_terminal_it_is_coloured_and_wrapped(monkeypatch):
    stdout = Terminal()
    monkeypatch.setattr("sys.stdout", stdout)
    run(["check", "errs"])
    text = re.sub(r"\x1b\[[0-9;]*m", "", stdout.getvalue())
    assert text != stdout.getvalue()
    assert max(map(len, text.splitlines())) <= 60


def test_in_a_pipe_it_is_neither(capsys):
    run(["check", "errs"])
    text = capsys.readouterr().out
    assert "\x1b" not in text
    assert f"\n{FIT_ONLY}\n" in text
    assert "  error    [F5] two parts foul\n" in text


@pytest.mark.parametrize(
    ("terminal", "environ", "colour"),
    [
        (True, {"TERM": "xterm"}, True),
        (True, {"TERM": "dumb"}, False),
        (True, {"TERM": "xterm", "NO_COLOR": "1"}, False),
        (True, {"TERM": "xterm", "NO_COLOR": ""}, True),
        (True, {"TERM": "xterm", "NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
        (False, {"TERM": "xterm"}, False),
        (False, {"FORCE_COLOR": "1"}, True),
    ],
)
def test_colour_goes_by_the_terminal_and_the_two_known_variables(terminal, environ, colour):
    stream = Terminal() if terminal else io.StringIO()
    assert style_of(stream, environ).colour is colour
    assert (style_of(stream, environ).width is None) is not terminal


def test_signs_an_encoding_lacks_are_spelled():
    assert spelled("90° × 2 …", "ascii") == "90 deg x 2 ..."
    assert spelled("90° × 2 …", "utf-8") == "90° × 2 …"
    assert spelled("Blåhval 舟", "latin-1") == "Blåhval \\u821f"


# ---- progress


def test_long_work_on_a_terminal_shows_a_bar_that_is_gone_at_the_end():
    stream = Terminal()
    with ProgressBar(stream, patience=0) as progress:
        progress.expect(2)
        progress.tell("[frame] 5")
        for _ in range(200):
            if "[frame] 5" in stream.getvalue():
                break
            sleep(0.05)
    assert "[frame] 5" in stream.getvalue()
    assert stream.getvalue().rstrip().endswith("\x1b[2K")


def test_short_work_shows_no_bar_and_nothing_off_a_terminal_ever_does():
    terminal, pipe = Terminal(), io.StringIO()
    for stream, patience in ((terminal, 60.0), (pipe, 0.0), (None, 0.0)):
        with ProgressBar(stream, patience=patience) as progress:
            progress.expect(1)
            progress.tell("frame 5")
    assert terminal.getvalue() == pipe.getvalue() == ""


# ---- draft


def test_draft_names_each_file_its_remarks_and_what_to_do_next(monkeypatch, capsys):
    @dataclass
    class StandInDraft:
        files: tuple[Path, ...] = (Path("b/plan.toml"), Path("b/frames/1.dxf"))
        remarks: tuple[str, ...] = ("Screws are left out.",)

    calls = []

    def draft(lines: Path, folder: Path, *, replace: bool) -> StandInDraft:
        calls.append((lines, folder, replace))
        return StandInDraft()

    monkeypatch.setattr(draft_verb, "draft_plan", draft)
    assert run(["draft", "lines.toml", "b", "--replace"]) == 0
    assert calls == [(Path("lines.toml"), Path("b"), True)]
    assert capsys.readouterr().out == (
        f"wrote {Path('b/plan.toml')}\n"
        f"wrote {Path('b/frames/1.dxf')}\n"
        "\n"
        "Screws are left out.\n"
        "\n"
        "To see whether it fits: scrieve check b\n"
        f"{FIT_ONLY}\n"
    )


# ---- the standing cautions


def test_every_caution_says_where_it_was_read_and_all_defer():
    assert set(CAUTIONS) >= {"epoxy", "pot", "solvent", "dust", "tools", "lifting", "weights"}
    for caution in CAUTIONS.values():
        assert caution.topic and caution.text.endswith(".") and caution.origin
    assert "data sheet" in DEFER and "local codes" in DEFER and "licensed" in DEFER
    assert "strength" in FIT_ONLY and "stability" in FIT_ONLY and "seaworthiness" in FIT_ONLY

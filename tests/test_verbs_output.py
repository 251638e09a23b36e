"""Where the output of a verb goes: to the stream or into a file, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from verbs_making import Terminal, stand_in_boats  # noqa: F401  one is a fixture

from scrieve.viewer.verbs.commands import run


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

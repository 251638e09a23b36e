"""How output looks on a terminal and off one: its colour, its width, its signs and the bar of progress."""

from __future__ import annotations

import io
import re
from time import sleep

import pytest
from verbs_making import Terminal, stand_in_boats  # noqa: F401  one is a fixture

from scrieve.shared.cautions import FIT_ONLY
from scrieve.viewer.system.progress import ProgressBar
from scrieve.viewer.system.terminal import spelled, style_of
from scrieve.viewer.verbs.commands import run


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

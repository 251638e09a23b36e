"""The two streams: what they can show, and writing to them whatever becomes of them."""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterable, Mapping
from typing import TextIO

from scrieve.shared.errors import ScrieveError, UseError

from ..reports.style import Style, plain

WIDEST = 100
"""Columns; longer lines are hard on the eyes."""

_SPELLED = str.maketrans(
    {
        "°": " deg",
        "×": "x",
        "±": "+/-",
        "²": "2",
        "³": "3",
        "–": "-",
        "—": "-",
        "−": "-",
        "…": "...",
        "‘": "'",
        "’": "'",
        "“": '"',
        "”": '"',
        "→": "->",
        "≥": ">=",
        "≤": "<=",
    }
)


_RAW = re.compile(r"(\x1b\[[0-9;]*m)|[\x00-\x09\x0b-\x1f\x7f-\x9f]")
"""What a terminal obeys, our own colours apart."""


def style_of(stream: TextIO | None, environ: Mapping[str, str] = os.environ) -> Style:
    """How to lay out text for a stream: wrapped and in colour only on a terminal.

    NO_COLOR (not empty) takes colour away, FORCE_COLOR brings it even into a pipe, TERM=dumb has none.
    """
    terminal = stream is not None and stream.isatty()
    width = min(shutil.get_terminal_size().columns, WIDEST) if terminal else None
    if environ.get("NO_COLOR"):
        colour = False
    elif environ.get("FORCE_COLOR"):
        colour = True
    else:
        colour = terminal and environ.get("TERM") != "dumb" and _obeys_colour(environ)
    return Style(width=width, colour=colour)


def _obeys_colour(environ: Mapping[str, str]) -> bool:
    """Old consoles of Windows show colour signs as rubbish; those that do not say who they are."""
    return os.name != "nt" or bool(environ.get("WT_SESSION") or environ.get("TERM"))


def say(text: str) -> None:
    """Writes to stdout. If nobody listens any more it is quiet; if it cannot be written, raises UseError."""
    _write(sys.stdout, text)


def say_lines(lines: Iterable[str], *, quiet: str = "") -> None:
    """Writes these to stdout as it shows them: each wrapped, and as far in as it begins; `quiet` words last."""
    style = style_of(sys.stdout)
    said = [row for line in lines for row in style.lines(line.lstrip(), first=line[: len(line) - len(line.lstrip())])]
    say("\n".join([*said, *(style.lines(quiet, sign="quiet") if quiet else [])]) + "\n")


def remark(line: str) -> None:
    """Writes one line to stderr: what was written, what is to be known."""
    _write(sys.stderr, f"{plain(line)}\n")


def complain(error: ScrieveError) -> None:
    """Writes a line for each mistake to stderr, its place first so that it can be clicked."""
    for mistake in error.mistakes:
        remark(str(mistake) if mistake.path else f"scrieve: {mistake}")


def spelled(text: str, encoding: str) -> str:
    """The text with every sign that the encoding lacks spelled in letters that it has."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return text.translate(_SPELLED).encode(encoding, "backslashreplace").decode(encoding)
    return text


def _write(stream: TextIO | None, text: str) -> None:
    if stream is None:
        return
    try:
        shown = _RAW.sub(lambda raw: raw[1] or f"\\x{ord(raw[0]):02x}", text)
        stream.write(spelled(shown, stream.encoding or "utf-8"))
        stream.flush()
    except BrokenPipeError:
        hush(stream)
    except OSError as error:
        hush(stream)
        if stream is sys.stdout:
            raise UseError.at(f"the output could not be written ({error.strerror})") from error


def hush(stream: TextIO | None) -> None:
    """Points a stream that is closed or full at nothing, so that Python's own last flush is quiet too."""
    if stream is None:
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)

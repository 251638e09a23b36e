"""The formats of a report, and the writer of each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, Literal

from scrieve.shared.findings import Level

from .report import Report, Unread
from .style import Style
from .text_report import text_report

Format = Literal["text", "json", "junit", "sarif", "github"]

TELL_UNREAD = ("junit", "sarif", "github")
"""Formats that have a place for a plan that could not be read, and so are written even where none could."""


def written_as(
    form: Format,
    reports: Sequence[Report],
    *,
    unread: Unread,
    several: bool,
    fails_on: Level | None,
    style: Style,
    every: bool = False,
) -> str:
    """The reports in a format, its paths told from where the command was given.

    `several` as the user asked for several plans, `fails_on` the level that fails. Only text goes by the style, and by
    `every`, with which no finding is folded into another.
    """
    if form == "text":
        return text_report(reports, style, every=every)
    if form != "json":
        reports = [report.with_tolerance() for report in reports]
    given: dict[str, Any] = {
        "json": {"several": several},
        "junit": {"unread": unread, "fails_on": fails_on, "here": Path.cwd()},
        "sarif": {"unread": unread, "here": Path.cwd()},
        "github": {"unread": unread, "here": Path.cwd()},
    }
    return _writer(form)(reports, **given[form])


def _writer(form: Format) -> Callable[..., str]:
    """The writer for machines, whose module is loaded for this one format: all of them cost a check 5 ms."""
    name = f"{form}_report"
    writer: Callable[..., str] = getattr(import_module(f"{__name__.rpartition('.')[0]}.{name}"), name)
    return writer

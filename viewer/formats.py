"""The formats of a report, and the writer of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from .json_report import json_report
from .report import Report
from .style import Style
from .text_report import text_report

Format = Literal["text", "json"]


def written_as(form: Format, reports: Sequence[Report], *, several: bool, style: Style) -> str:
    """The reports in a format; `several` as the user asked for several plans. Only text goes by the style."""
    match form:
        case "text":
            return text_report(reports, style)
        case "json":
            return json_report(reports, several=several)

"""`scrieve explain`: what a check looks at, why, its limit, and the cure."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.checks import CHECKS
from scrieve.shared.errors import UseError

from ..reports.explain_page import listing, page
from ..system.endings import Ending
from ..system.terminal import say, style_of
from .misuse import got

WIDEST = 80
"""Columns: prose wants a shorter line than a report."""


def explain(
    check: Annotated[str | None, Parameter(help="The check; without a name, the list of all.")] = None, /
) -> Ending:
    """The ending, after the page of a check or the list of all checks. Raises UseError for an unknown check."""
    style = style_of(sys.stdout)
    if style.width is not None:
        style = replace(style, width=min(style.width, WIDEST))
    if check is None:
        say(listing(CHECKS.values(), style))
    elif check in CHECKS:
        say(page(CHECKS[check], style))
    else:
        raise UseError.at(f"there is no such check {got(check, CHECKS)}", path="scrieve explain")
    return Ending.CLEAN

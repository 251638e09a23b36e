"""What a plan with errors is told by wherever parts of it are cut or put together."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePath

from scrieve.shared.findings import Finding, Level

from ...reports.style import count


def unsound(findings: Iterable[Finding], plan: str, what: str = "plan") -> str:
    """ "This plan has 5 errors: see scrieve check skiff"; empty where none stands."""
    errors = [each for each in findings if each.level is Level.ERROR and not each.waived and each.because is None]
    if not errors:
        return ""
    return f"This {what} has {count(len(errors), 'error')}: see scrieve check {PurePath(plan).name}"

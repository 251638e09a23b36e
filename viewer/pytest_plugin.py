"""The plugin for pytest: `pytest --plans hulls/` makes one test of each plan and check.

Only the options stand here, for pytest loads this module in every run wherever Scrieve is installed;
what makes the tests is loaded when plans are asked for (`plan_items`).
"""

from __future__ import annotations

from importlib import import_module

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """The two options."""
    group = parser.getgroup("scrieve", "plans of plywood boats (scrieve)")
    group.addoption(
        "--plans",
        action="extend",
        nargs="+",
        default=[],
        metavar="PATH",
        help="Test these plans, a test for each check: plan files, plan folders, or folders that hold some. "
        "Without any other place to collect from, nothing else is tested.",
    )
    group.addoption(
        "--plans-fail-on",
        choices=("error", "warning", "note", "never"),
        default="error",
        help="Fail on a finding of this level or worse (default: %(default)s); waived ones do not count.",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Loads what makes the tests, if plans are asked for."""
    if config.getoption("plans"):
        try:
            items = import_module(f"{__name__.rpartition('.')[0]}.plan_items")
        except SystemExit as told:  # a run that a library ends with 0 would pass for one without findings
            raise pytest.UsageError(f"--plans: a library ended the run (exit {told.code!r})") from told
        config.pluginmanager.register(items.Plans(config), "scrieve-plans")

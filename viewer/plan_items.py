"""Tests of plans for pytest: a file is a plan, an item is a check of it.

A plan is read and set up once, when its tests are collected, and each check runs once, in its own test.
A plan that cannot be read is one test, which fails with a line for each cause.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.errors import ScrieveError
from scrieve.shared.findings import Level
from scrieve.shared.library_exits import exits_refused

from .reports.report import Report
from .reports.style import Style
from .reports.text_report import counted, text_report

UNREAD = "plan"
"""The name of the one test of a plan that cannot be read."""


class Plans:
    """Collects the plans that were asked for. Registered with pytest only if some were."""

    def __init__(self, config: pytest.Config) -> None:
        here = config.invocation_params.dir
        asked: list[str] = config.getoption("plans")
        self._asked = {word: _place(here, word) for word in asked}
        self._met: set[str] = set()
        missing = [word for word, place in self._asked.items() if not place.exists()]
        if missing:
            raise pytest.UsageError(*(f"--plans {word}: no such file or folder" for word in missing))
        given = config.args if config.args_source is pytest.Config.ArgsSource.ARGS else []
        places = [_place(here, word) for word in given]
        config.args = [
            *given,
            *(word for word, plan in self._asked.items() if not any(place.is_relative_to(plan) for place in places)),
        ]

    def pytest_collect_file(self, file_path: Path, parent: pytest.Collector) -> PlanTests | None:
        """A file's tests, if it is a plan that was asked for."""
        for word, place in self._asked.items():
            if file_path == place or (file_path.name == PLAN_NAME and file_path.is_relative_to(place)):
                self._met.add(word)
                return PlanTests.from_parent(parent, path=file_path)
        return None

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection_modifyitems(self, config: pytest.Config) -> None:
        """Refuses a place that holds no plan, before anything is run: no tests must not look like no findings."""
        collected = {_place(config.invocation_params.dir, word) for word in config.args}
        empty = [word for word, place in self._asked.items() if word not in self._met and place in collected]
        if empty:
            raise pytest.UsageError(*(f"--plans {word}: there is no {PLAN_NAME} in it" for word in empty))


class PlanTests(pytest.File):
    """The tests of one plan."""

    def collect(self) -> Iterator[pytest.Item]:
        """A test for each check by name, or the one that fails for a plan that cannot be read."""
        shown = Path(os.path.relpath(self.path, self.config.invocation_params.dir))
        try:
            with exits_refused():
                plan = read_plan(shown)
                assembly = assemble(plan)
        except ScrieveError as error:
            yield UnreadPlan.from_parent(self, name=UNREAD, error=error)
            return
        for slug in CHECKS:
            yield CheckOfPlan.from_parent(self, name=slug, plan=plan, assembly=assembly)


class CheckFailed(Exception):
    """A check found something at the failing level or worse."""


class CheckOfPlan(pytest.Item):
    """One check of one plan."""

    def __init__(self, *, plan: Plan, assembly: Assembly, **more: object) -> None:
        super().__init__(**more)  # type: ignore[arg-type]  # name and parent, as pytest gives them
        self.plan, self.assembly = plan, assembly

    def runtest(self) -> None:
        """Raises CheckFailed, with the counts in a line and the report, if it fails; else keeps what it found."""
        plan, assembly = self.plan, self.assembly
        findings = review(assembly, only=(self.name,), today=date.today())
        folder = plan.folder if plan.file.name == PLAN_NAME else plan.file
        report = Report.of(assembly, findings, plan=folder.as_posix(), ran=(self.name,), left_out=())
        fail_on = self.config.getoption("plans_fail_on")
        if report.fails(None if fail_on == "never" else Level(fail_on)):
            raise CheckFailed(f"{counted(report)}\n\n{text_report([report], Style())}")
        if findings:
            self.add_report_section("call", "findings", text_report([report], Style()))

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], *args: object) -> str:
        """The report, without a traceback; with one for what is no finding."""
        if isinstance(excinfo.value, CheckFailed):
            return str(excinfo.value)
        return str(super().repr_failure(excinfo))

    def reportinfo(self) -> tuple[Path, None, str]:
        """The plan file and the name of the check."""
        return self.path, None, f"{self.plan.file.as_posix()}: {self.name}"


class UnreadPlan(pytest.Item):
    """The test of a plan that cannot be read: it fails. Choosing tests by a check's name with -k leaves it in."""

    def __init__(self, *, error: ScrieveError, **more: object) -> None:
        super().__init__(**more)  # type: ignore[arg-type]  # name and parent, as pytest gives them
        self.error = error
        self.extra_keyword_matches.update(CHECKS)

    def runtest(self) -> None:
        """Raises what the reader of plans or drawings raised."""
        raise self.error

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], *args: object) -> str:
        """A line for each cause, its place first."""
        if isinstance(excinfo.value, ScrieveError):
            return "\n".join(str(mistake) for mistake in excinfo.value.mistakes)
        return str(super().repr_failure(excinfo))

    def reportinfo(self) -> tuple[Path, None, str]:
        """The plan file."""
        return self.path, None, f"{self.path.name}: {self.name}"


def _place(here: Path, word: str) -> Path:
    """Where a word of the command line points, the `::name` of a test left out; links stay, as pytest has it."""
    return Path(os.path.abspath(here / word.partition("::")[0]))

"""Stand-ins for what the verbs read and review, and a terminal to write to."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import pytest
from making import assembly, frame, part, rectangle

from scrieve.shared.errors import Mistake, PlanError
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.verbs import check as check_verb

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


@pytest.fixture(autouse=True, name="boat")
def stand_in_boats(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
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

    for name, stand_in in (("read_plan", read_plan), ("assemble", assemble), ("advised", review)):
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

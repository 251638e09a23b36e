"""What a script or notebook of one's own needs: a plan's folder to a boat, and its findings."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date
from os import PathLike
from pathlib import Path

from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding
from scrieve.shared.library_exits import exits_refused
from scrieve.shared.nearest import did_you_mean

from .assemble import assemble
from .boat.assembly import Assembly
from .checks import CHECKS
from .mending.advice import advised
from .plan.plan_reader import read_plan


def open_plan(plan: str | PathLike[str], *, progress: Callable[[str], None] | None = None) -> Assembly:
    """The boat of a plan, a folder or a file, every part in its place. `progress` is told each frame as it is read.

    Raises a ScrieveError, whose `mistakes` name file, line and cause, where the plan or a drawing cannot be read.
    """
    with exits_refused():
        return assemble(read_plan(Path(plan)), progress=progress)


def check(
    boat: Assembly, *, only: Collection[str] = (), skip: Collection[str] = (), today: date | None = None
) -> tuple[Finding, ...]:
    """The findings of all checks (or `only` these, less those to `skip`, by name), worst first, then from aft forward.

    Those that the plan waives are among them, with its reason; a waiver counts up to its date, seen from `today`.
    Raises UseError for a check that there is not.
    """
    if unknown := sorted({*only, *skip} - set(CHECKS)):
        raise UseError.at(f'there is no such check (got "{unknown[0]}"{did_you_mean(unknown[0], CHECKS)})')
    with exits_refused():
        return advised(boat, only=only, skip=skip, today=today or date.today())

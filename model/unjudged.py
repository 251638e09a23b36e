"""What a plan or its drawings leave unjudged: said in notes, so that silence is never taken for a clean bill."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Level, Source
from scrieve.shared.limits import LIMITS

from .checks import CHECKS
from .defect import Defect
from .frame import Frame
from .plan import Plan


def unjudged(plan: Plan, frames: Sequence[Frame]) -> tuple[Defect, ...]:
    """A note for each thing that the plan says and no check looks at, and for what no drawing shows."""
    return (*_unread(plan), *_unlimited(plan), *_undrawn(plan, frames))


def _unread(plan: Plan) -> Iterator[Defect]:
    if plan.cut_sheets and "cut-sheet" not in CHECKS:
        yield _note("the cut sheets that the plan names are not looked at", plan.source_of("cut_sheets", 0))


def _unlimited(plan: Plan) -> Iterator[Defect]:
    judged = {name for check in CHECKS.values() for name in check.limits}
    for name, limit in LIMITS.items():
        if name not in judged and plan.limits[name] != limit.default:
            yield _note(f"no check goes by the limit {name} yet", plan.source_of("limits", name))


def _undrawn(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """Screws are checked as drawn: where a gusseted frame shows none there was nothing to check."""
    without = [f.name for f in frames if not f.screws and any(part.role == "gusset" for part in f.parts)]
    if without:
        message = f"no screws are drawn in {', '.join(without)}: nothing about them was checked there"
        yield _note(message, Source(file=plan.file.name))


def _note(message: str, source: Source) -> Defect:
    return Defect(message=message, level=Level.NOTE, source=source)

"""Wishes of a plan's `[[order]]` that cannot be kept: refused in one line each, with what stands against them."""

from __future__ import annotations

from collections.abc import Sequence

from scrieve.shared.errors import Mistake, PlanError

from ...boat.assembly import Assembly
from ..order_names import unknown
from ..order_refused import why_not
from .step import Step


def refuse_strangers(assembly: Assembly, file: str) -> None:
    """Raises PlanError, its places in `file`, where a wish names a part or batten that no drawing shows."""
    found = unknown(assembly.order, assembly.frames, assembly.battens)
    _refuse([(defect.source.line, defect.message) for defect in found], assembly, file)


def refuse_unmet(steps: Sequence[Step], assembly: Assembly, file: str) -> None:
    """Raises PlanError, its places in `file`, where these steps do not keep a wish; two that go on as one do not."""
    place = {
        name: (step.number, number)
        for step in steps
        for number, adding in enumerate(step.adds)
        for name in adding.names
    }
    unmet = [wish for wish in assembly.order if place[wish.first] >= place[wish.then]]
    _refuse([(wish.source.line, why_not(wish, assembly)) for wish in unmet], assembly, file)


def _refuse(refused: Sequence[tuple[int, str]], assembly: Assembly, file: str) -> None:
    if refused:
        path = file or assembly.source.file
        raise PlanError(Mistake(path=path, line=line, what=what) for line, what in refused)

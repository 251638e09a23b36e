"""What a plan says is larger than any of its frames: a slip in the plan, at which every search would be endless."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from scrieve.shared.errors import Mistake, PlanError
from scrieve.shared.wording import trimmed

from ..boat.frame import Frame
from ..plan.plan import Plan
from ..plan.toml_words import dotted


def refuse_too_large(plan: Plan, frames: Sequence[Frame]) -> None:
    """Raises PlanError, a mistake each, for sections of battens and sheets larger than the largest frame is across."""
    boxes = [shapely.total_bounds([part.shape for part in frame.parts]) for frame in frames if frame.parts]
    across = max((float(max(box[2:] - box[:2])) for box in boxes), default=0.0)
    wrong = [
        Mistake(
            path=str(plan.file),
            line=plan.line_of(*key),
            what=f"{dotted(key)}: no more than the largest frame is across, {trimmed(across, 0)} mm, is wanted "
            f"(got {trimmed(size, 2)} mm)",
        )
        for key, size in _sizes(plan)
        if size > across > 0.0
    ]
    if wrong:
        raise PlanError(wrong)


def _sizes(plan: Plan) -> Iterator[tuple[tuple[str, str, str], float]]:
    yield from ((("battens", name, "section"), batten.section[0]) for name, batten in plan.battens.items())
    for name, stock in plan.stock.items():
        yield ("stock", name, "thickness" if stock.measured is None else "measured"), stock.real_thickness

"""The way from a frame's own (y, v), mm, back to the coordinates and units of the drawing that shows it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from scrieve.shared.units import MM_PER_UNIT

from ...boat.frame import Frame
from ...drawing import Drawing, read_drawing
from ...plan.plan import FrameSpec, Plan

Point = tuple[float, float]


class DrawingView(NamedTuple):
    """How a frame lies in its drawing: `origin` (u, v) in `unit`s, `side` -1 where port is to the left.

    `shown` is the drawing as the plan names it; `half`: only the port half is drawn there.
    """

    shown: str
    unit: str
    origin: Point
    side: float
    half: bool

    @property
    def scale(self) -> float:
        """mm in one unit of the drawing."""
        return MM_PER_UNIT[self.unit]

    def point(self, at: Point) -> Point:
        """A point of the frame (y, v), mm, in the drawing's own coordinates and units."""
        return self.origin[0] + self.side * at[0] / self.scale + 0.0, self.origin[1] + at[1] / self.scale + 0.0


class Views(NamedTuple):
    """The views of some frames of a plan by number, and their drawings by the plan's names for them."""

    of: Mapping[str, DrawingView]
    drawings: Mapping[str, Drawing]


def views(plan: Plan, frames: Sequence[Frame]) -> Views:
    """The views of these frames; their drawings are read again. Raises DrawingError."""
    specs = {frame.number: _spec(plan, frame) for frame in frames}
    drawings = {
        shown: read_drawing(
            plan.folder / shown,
            shown=shown,
            plan_unit=plan.units,
            layers=tuple(plan.layers),
            gap=plan.limits["outline"],
        )
        for shown in sorted({spec.drawing for spec in specs.values()})
    }
    found = {}
    for number, spec in specs.items():
        unit = drawings[spec.drawing].unit
        scale = MM_PER_UNIT[unit]
        found[number] = DrawingView(
            shown=spec.drawing,
            unit=unit,
            origin=(spec.origin[0] / scale, spec.origin[1] / scale),
            side=-1.0 if plan.seen == "from aft" else 1.0,
            half=spec.mirror,
        )
    return Views(of=found, drawings=drawings)


def _spec(plan: Plan, frame: Frame) -> FrameSpec:
    return next(spec for spec in plan.frames if spec.number == frame.number)

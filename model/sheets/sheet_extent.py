"""Which part of a drawing is a cut sheet's where frames or other cut sheets are drawn in it too."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from ..drawing import Drawing, DrawingWindow, cropped, rounded_extent, told_extent
from ..plan.plan import Plan
from ..plan.plan_tables import CutSheetSpec, FrameSpec

_ROUND = 10.0  # mm that are left round what is drawn, in an extent that is proposed


def drawing_of_sheet(plan: Plan, index: int, drawing: Drawing) -> tuple[Drawing | None, tuple[Defect, ...]]:
    """What of a drawing is the cut sheet that the plan lists at `index`, and what is to be said of that.

    With an extent that is what lies in it. Without one, where frames are drawn there too, what lies in the extent of
    none of them; None where they have none themselves.
    """
    spec = plan.cut_sheets[index]
    if spec.extent is not None:
        window = _window(spec)
        return cropped(drawing, lambda line: window.holds_line(line) == "inside"), _across(plan, index, drawing, window)
    frames = [frame for frame in plan.frames if frame.drawing == spec.drawing]
    if not frames:
        return drawing, ()
    others = [_window(each) for each in plan.cut_sheets if each.drawing == spec.drawing and each.extent is not None]
    windows = [*others, *(_of_frame(plan, frame) for frame in frames if frame.extent is not None)]
    rest = cropped(drawing, lambda line: _is_outside(line, windows))
    if len(windows) < len(others) + len(frames) or not rest.outlines:
        return None, (_undecided(plan, index, drawing, frames),)
    return rest, (_taken(plan, index, rest, frames),)


def without_sheets(plan: Plan, drawing: Drawing) -> Drawing:
    """A drawing of frames without the cut sheets that the plan names an extent of in it."""
    windows = [_window(spec) for spec in plan.cut_sheets if spec.drawing == drawing.shown and spec.extent is not None]
    return cropped(drawing, lambda line: _is_outside(line, windows)) if windows else drawing


def _window(spec: CutSheetSpec) -> DrawingWindow:
    return DrawingWindow.of(seen="from forward", origin=(0.0, 0.0), extent=spec.extent)


def _of_frame(plan: Plan, frame: FrameSpec) -> DrawingWindow:
    return DrawingWindow.of(seen=plan.seen_of(frame), origin=frame.origin, extent=frame.extent)


def _is_outside(line: NDArray[np.float64], windows: Sequence[DrawingWindow]) -> bool:
    return all(window.holds_line(window.points(line)) == "outside" for window in windows)


def _across(plan: Plan, index: int, drawing: Drawing, window: DrawingWindow) -> tuple[Defect, ...]:
    """The defect of outlines that lie across the edge of a cut sheet's extent."""
    across = [each for each in drawing.outlines if window.holds_line(each.outline.flattened()) == "across"]
    if not across:
        return ()
    u, v = across[0].outline.points[0]
    return (
        Defect(
            message=Sentence.of(
                "{many} in {drawing} across the edge of the extent of a cut sheet of {stock}, the first at {place}, "
                "and {left} not taken for part of it",
                many="an outline lies" if len(across) == 1 else Quantity.of(len(across), f"{len(across)} outlines lie"),
                drawing=Name(drawing.shown),
                stock=Name(plan.cut_sheets[index].stock),
                place=Name(f"u {u:.1f}, v {v:.1f}"),
                left="is" if len(across) == 1 else "are",
            ),
            source=across[0].source,
            cure="set an extent that holds all of the sheet and nothing else, in the drawing's axes",
        ),
    )


def _undecided(plan: Plan, index: int, drawing: Drawing, frames: Sequence[FrameSpec]) -> Defect:
    return Defect(
        message=Sentence.of(
            "{drawing} holds {frames} and is a cut sheet as well: what of it is the sheet cannot be "
            "told, and no cut sheet is looked at",
            drawing=Name(drawing.shown),
            frames=_listed(frames),
        ),
        source=plan.source_of("cut_sheets", index),
        cure="give the cut sheet an extent = [left, bottom, right, top], in the drawing's axes, or a file of its own",
    )


def _taken(plan: Plan, index: int, rest: Drawing, frames: Sequence[FrameSpec]) -> Defect:
    points = np.concatenate([each.outline.flattened() for each in rest.outlines])
    low, high = points.min(axis=0) - _ROUND, points.max(axis=0) + _ROUND
    extent = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    source = plan.source_of("cut_sheets", index)
    return Defect(
        message=Sentence.of(
            "the cut sheet {drawing} has no extent, and holds {frames} too: what lies in none of their "
            "extents is taken for the sheet",
            drawing=Name(rest.shown),
            frames=_listed(frames),
        ),
        source=source,
        cure=Sentence.of(
            "give it {extent}, which counts in the drawing's axes, or one for each sheet if they are several",
            extent=Name(told_extent(extent, rest)),
        ),
        edits=plan.keys.set(source, "extent", rounded_extent(extent, rest)),
    )


def _listed(frames: Sequence[FrameSpec]) -> Name:
    return Name(", ".join(f"F{frame.number}" for frame in frames))

"""Proves a frame's origin by the reference lines: the centreline stands upright, the datum line lies level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Measure, Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.units import MM_PER_UNIT
from scrieve.shared.wording import mm

from ..boat.defect import Defect
from .drawn import Drawing
from .frame_shapes import LayerUse
from .window import DrawingWindow

ORIGIN_PLAY = 0.05
"""mm; a reference line this close passes through the origin: a tenth of the tightest limit of fit (no source)."""

_UPRIGHT = 0.01
"""mm; a line whose ends are no further out of plumb or level is meant so. What an outline may be left open by."""

_WIDE = 130.0
"""mm to each side of an origin; the feet of the legs are within."""

_ASIDE = 1.0  # mm; a frame less off the centreline is told by how its two sides differ
_PAIRED = 3  # parts at least, to be mirror images about another line by more than chance

_SHORTEST = 1.0
"""mm; a shorter line is a tick, and says nothing of where the axes lie."""


def origin_defects(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, *, frame: str
) -> list[Defect]:
    """A defect where no upright line on the reference layers, or no level one, passes through the origin.

    Lines within the window count, also those that reach out of it. Without any upright line nothing
    is said of the centreline, without any level one nothing of the datum line.
    """
    upright: list[tuple[float, Source]] = []
    level: list[tuple[float, Source]] = []
    for line in drawing.lines:
        use = layers.get(line.layer)
        if use is None or use.makes != "reference":
            continue
        ends = window.points((line.start, line.end))
        width, height = np.abs(ends[1] - ends[0])
        if max(width, height) <= _SHORTEST or window.holds_line(ends) == "outside":
            continue
        y, v = ends.mean(axis=0)
        if width <= _UPRIGHT:
            upright.append((float(y), line.source))
        elif height <= _UPRIGHT:
            level.append((float(v), line.source))
    off_y, off_v = _nearest(upright), _nearest(level)
    to_y, to_v = (found[0] if found else 0.0 for found in (off_y, off_v))
    scale = MM_PER_UNIT[drawing.plan_unit]
    u, v = (window.origin[0] + to_y * window.side) / scale, (window.origin[1] + to_v) / scale
    cure = Sentence.of("set origin to [{u}, {v}]", u=Quantity.of(u, _bare(u)), v=Quantity.of(v, _bare(v)))
    defects = []
    for found, what, at in ((off_y, "centreline", (to_y, 0.0)), (off_v, "datum line", (0.0, to_v))):
        dy, dv = (_WIDE, 0.0) if what == "datum line" else (0.0, _WIDE)
        if found and abs(found[0]) > ORIGIN_PLAY:
            defects.append(
                Defect(
                    message=Sentence.of(
                        "the origin of frame {frame} lies {off} off the {line} of its drawing",
                        frame=Name(frame),
                        off=mm(abs(found[0]), ORIGIN_PLAY),
                        line=what,
                    ),
                    source=found[1],
                    at=at,
                    measure=Measure(value=abs(found[0]), limit=ORIGIN_PLAY),
                    cure=cure,
                    of_frame=("origin", (u * scale, v * scale)),
                    check="station",
                    span=((0.0, 0.0), at),
                    lines=(
                        (f"{what} by the plan", ((-dy, -dv), (dy, dv))),
                        (f"{what} as drawn", ((at[0] - dy, at[1] - dv), (at[0] + dy, at[1] + dv))),
                    ),
                )
            )
    return defects


def off_centre(
    drawing: Drawing, regions: Sequence[shapely.Polygon], window: DrawingWindow, *, frame: str
) -> list[Defect]:
    """A defect where all parts of a frame are mirror images, but about another line than the centreline."""
    if len(regions) < _PAIRED:
        return []
    boxes = shapely.bounds(np.array(regions, dtype=object))
    left, right = float(boxes[:, 0].min()), float(boxes[:, 2].max())
    middle = (left + right) / 2
    if abs(middle) <= _ASIDE or not _mirrored_about(middle, boxes):
        return []
    low, high = float(boxes[:, 1].min()), float(boxes[:, 3].max())
    u = (window.origin[0] + middle * window.side) / MM_PER_UNIT[drawing.plan_unit]
    return [
        Defect(
            message=Sentence.of(
                "the parts of frame {frame} lie {off} off its centreline: they run from y {left} to y {right}",
                frame=Name(frame),
                off=mm(abs(middle), _ASIDE),
                left=Quantity.of(left, f"{left:.1f}"),
                right=Quantity.of(right, f"{right:.1f}"),
            ),
            source=Source(file=drawing.shown),
            at=(middle, (low + high) / 2),
            cure=Sentence.of(
                "set origin to where its centreline meets the datum line in the drawing; u {u} is in their middle",
                u=Quantity.of(u, _bare(u)),
            ),
            of_frame=("origin", (u * MM_PER_UNIT[drawing.plan_unit], window.origin[1])),
            measure=Measure(value=abs(middle), limit=_ASIDE),
            check="station",
            span=((0.0, (low + high) / 2), (middle, (low + high) / 2)),
            lines=(("centreline by the plan", ((0.0, low), (0.0, high))),),
        )
    ]


def _mirrored_about(middle: float, boxes: NDArray[np.float64]) -> bool:
    """Whether the mirror image of every box about an upright line is one of the boxes."""
    images = np.column_stack([2 * middle - boxes[:, 2], boxes[:, 1], 2 * middle - boxes[:, 0], boxes[:, 3]])
    return bool(np.all(np.abs(images[:, None] - boxes).max(axis=2).min(axis=1) <= ORIGIN_PLAY))


def _nearest(lines: list[tuple[float, Source]]) -> tuple[float, Source] | None:
    return min(lines, key=lambda line: (abs(line[0]), line[0], line[1]), default=None)


def _bare(value: float) -> str:
    """A number of the plan's units, to a micrometre or so."""
    return f"{round(value, 4) + 0.0:g}" if abs(value) < 1e5 else f"{round(value, 4) + 0.0}"

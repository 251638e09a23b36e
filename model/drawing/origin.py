"""Proves a frame's origin by the reference lines: the centreline stands upright, the datum line lies level."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

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
                    origin=(u * scale, v * scale),
                    check="station",
                    span=((0.0, 0.0), at),
                    lines=(
                        (f"{what} by the plan", ((-dy, -dv), (dy, dv))),
                        (f"{what} as drawn", ((at[0] - dy, at[1] - dv), (at[0] + dy, at[1] + dv))),
                    ),
                )
            )
    return defects


def _nearest(lines: list[tuple[float, Source]]) -> tuple[float, Source] | None:
    return min(lines, key=lambda line: (abs(line[0]), line[0], line[1]), default=None)


def _bare(value: float) -> str:
    """A number of the plan's units, to a micrometre or so."""
    return f"{round(value, 4) + 0.0:g}" if abs(value) < 1e5 else f"{round(value, 4) + 0.0}"

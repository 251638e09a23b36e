"""Writes a frame's drawing: a DXF R2000, in mm, the same bytes for the same frame."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from ..geometry.outline import Outline
from ..plan.plan_tables import Seen
from .document import add_outline, in_bytes, new_document, rounded
from .sketch import BATTENS, CORE, DOWELS, GUSSETS, GUSSETS_FORWARD, LEG_INNER, LEG_OUTER, REFERENCE, SCREWS, Sketch

_COLOURS = {
    CORE: 7, GUSSETS: 5, GUSSETS_FORWARD: 5, LEG_INNER: 34, LEG_OUTER: 32, SCREWS["forward"]: 1,
    SCREWS["aft"]: 6, BATTENS: 3, DOWELS: 30, REFERENCE: 8,
}  # fmt: skip
_LETTERS, _SMALL = 10.0, 4.0  # mm; height of labels on parts, and in battens
_WIDE = 0.8  # width of a letter for its height, a little more than any font's
_PAST = 60.0  # mm by which the reference lines run on past the frame


def frame_drawing(sketch: Sketch, *, seen: Seen, screw_diameter: float, dowel_diameter: float) -> bytes:
    """The drawing as a file, with the lines of reference through its origin."""
    return in_bytes(_document(sketch, seen, screw_diameter, dowel_diameter))


def _document(sketch: Sketch, seen: Seen, screw_diameter: float, dowel_diameter: float) -> Any:
    used = {shape.layer for shape in sketch.shapes} | {SCREWS[s.driven_from] for s in sketch.screws}
    document = new_document({layer: _COLOURS[layer] for layer in (*sorted(used), DOWELS, REFERENCE)})
    space = document.modelspace()
    for shape in sketch.shapes:
        outline = shape.outline.mirrored() if seen == "from aft" else shape.outline
        add_outline(space, outline, shape.layer)
        height = _SMALL if shape.layer == BATTENS else _LETTERS
        space.add_text(
            shape.label,
            dxfattribs={"layer": shape.layer, "height": height, "insert": _label_place(outline, shape.label, height)},
        )
    sign = -1.0 if seen == "from aft" else 1.0
    for screw in sketch.screws:
        _circle(space, (sign * screw.at[0], screw.at[1]), screw_diameter, SCREWS[screw.driven_from])
    for y, v in sketch.dowels:
        _circle(space, (sign * y, v), dowel_diameter, DOWELS)
    _reference(space, sketch)
    return document


def _circle(space: Any, at: tuple[float, float], diameter: float, layer: str) -> None:
    space.add_circle(rounded(at), round(diameter / 2, 4), dxfattribs={"layer": layer})


def _label_place(outline: Outline, label: str, height: float) -> tuple[float, float]:
    """Where the label begins: well inside the outline, so that it stands in the middle if there is room."""
    shape = outline.polygon()
    middle = shapely.maximum_inscribed_circle(shape, tolerance=0.5).coords[0]
    start = middle[0] - height * _WIDE * len(label) / 2, middle[1] - height / 2
    inside = shape.buffer(-height / 4)
    return rounded(start if shapely.contains_xy(inside, *start) else middle)


def _reference(space: Any, sketch: Sketch) -> None:
    """The centreline and the datum line, crossing in the origin."""
    points = np.concatenate([shape.outline.points for shape in sketch.shapes])
    wide = float(np.ceil(np.abs(points[:, 0]).max() + _PAST))
    low = float(np.floor(min(points[:, 1].min(), 0.0) - _PAST))
    high = float(np.ceil(max(points[:, 1].max(), 0.0) + _PAST))
    style = {"layer": REFERENCE}
    space.add_line((0.0, low), (0.0, high), dxfattribs=style)
    space.add_line((-wide, 0.0), (wide, 0.0), dxfattribs=style)

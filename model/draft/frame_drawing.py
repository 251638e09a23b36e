"""Writes DXF as the draft does, R2000 in mm, lean, the same bytes for the same content; and the drawing of a frame."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from ..drawing.dxf_file import new_drawing, text_of
from ..geometry.outline import Outline
from ..plan.plan_tables import Seen
from .sketch import BATTENS, CORE, DOWELS, GUSSETS, GUSSETS_FORWARD, LEG_INNER, LEG_OUTER, REFERENCE, SCREWS, Sketch

_KEPT = {"$ACADVER", "$DWGCODEPAGE", "$HANDSEED", "$INSUNITS", "$MEASUREMENT"}
"""Settings of a drawing's header that are its own; all others are optional, and each costs time whenever it is read."""

_COLOURS = {
    CORE: 7, GUSSETS: 5, GUSSETS_FORWARD: 5, LEG_INNER: 34, LEG_OUTER: 32, SCREWS["forward"]: 1,
    SCREWS["aft"]: 6, BATTENS: 3, DOWELS: 30, REFERENCE: 8,
}  # fmt: skip
_LETTERS, _SMALL = 10.0, 4.0  # mm; height of labels on parts, and in battens
_WIDE = 0.8  # width of a letter for its height, a little more than any font's
_PAST = 60.0  # mm by which the reference lines run on past the frame


def new_document(layers: dict[str, int]) -> Any:
    """An empty document with these layers, each of a colour (an index of DXF)."""
    document = new_drawing("R2000", layers=layers)
    for name in list(document.header.varnames()):
        if name not in _KEPT:
            del document.header[name]
    return document


def in_bytes(document: Any) -> bytes:
    """The document as a file, in the code page that its header names."""
    return bytes(document.encode(text_of(document)))


def add_outline(space: Any, outline: Outline, layer: str) -> None:
    """Draws an outline as one closed polyline with true arcs."""
    corners = [
        (*rounded(point), round(float(bulge), 9)) for point, bulge in zip(outline.points, outline.bulges, strict=True)
    ]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})


def rounded(point: Any) -> tuple[float, float]:
    """To a ten-thousandth of a millimetre, without a minus zero."""
    return round(float(point[0]), 4) + 0.0, round(float(point[1]), 4) + 0.0


def frame_drawing(sketch: Sketch, *, seen: Seen, screw_diameter: float, dowel_diameter: float) -> bytes:
    """The drawing as a file, with the lines of reference through its origin."""
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
    return in_bytes(document)


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

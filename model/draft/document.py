"""DXF documents as the draft writes them: R2000, in mm, lean, the same bytes for the same content."""

from __future__ import annotations

from typing import Any

from ..drawing.dxf_file import new_drawing, text_of
from ..geometry.outline import Outline

_KEPT = {"$ACADVER", "$DWGCODEPAGE", "$HANDSEED", "$INSUNITS", "$MEASUREMENT"}
"""Settings of a drawing's header that are its own; all others are optional, and each costs time whenever it is read."""


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

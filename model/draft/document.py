"""DXF documents as the draft writes them: R2000, in mm, lean, the same bytes for the same content."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any

from ezdxf import options  # type: ignore[attr-defined]  # public by its manual, not by its __all__
from ezdxf.filemanagement import new

from ..outline import Outline

_MM = 4  # $INSUNITS
_KEPT = {"$ACADVER", "$DWGCODEPAGE", "$HANDSEED"}
"""Settings of a drawing's header that are its own; all others are optional, and each costs time whenever it is read."""


def new_document(layers: dict[str, int]) -> Any:
    """An empty document with these layers, each of a colour (an index of DXF)."""
    with _without_a_clock():
        document = new("R2000")
    for name in list(document.header.varnames()):
        if name not in _KEPT:
            del document.header[name]
    document.header["$INSUNITS"] = _MM
    document.header["$MEASUREMENT"] = 1
    for layer, colour in layers.items():
        document.layers.add(layer, color=colour)
    return document


def in_bytes(document: Any) -> bytes:
    """The document as a file."""
    stream = StringIO()
    with _without_a_clock():
        document.write(stream)
    return stream.getvalue().encode("utf-8")


@contextmanager
def _without_a_clock() -> Iterator[None]:
    """Keeps the time of day and random numbers out of what ezdxf makes meanwhile."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def add_outline(space: Any, outline: Outline, layer: str) -> None:
    """Draws an outline as one closed polyline with true arcs."""
    corners = [
        (*rounded(point), round(float(bulge), 9)) for point, bulge in zip(outline.points, outline.bulges, strict=True)
    ]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})


def rounded(point: Any) -> tuple[float, float]:
    """To a ten-thousandth of a millimetre, without a minus zero."""
    return round(float(point[0]), 4) + 0.0, round(float(point[1]), 4) + 0.0

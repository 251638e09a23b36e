"""What drawings are written as: DXF in millimetres, the same text for the same content."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from io import StringIO
from typing import TypeAlias

from ezdxf import options  # type: ignore[attr-defined]  # public by its manual, not by its __all__
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

_MM = 4  # $INSUNITS
_METRIC = 1  # $MEASUREMENT

Draw: TypeAlias = Callable[[Modelspace], None]


def drawing_text(draw: Draw, layers: Mapping[str, int]) -> str:
    """The text of a DXF R2010 with these layers, by the number of their colour, and what `draw` puts into it."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no clock, no random numbers in the file
    try:
        return _text(_document(draw, layers))
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document(draw: Draw, layers: Mapping[str, int]) -> Drawing:
    document = new("R2010", units=_MM)
    document.header["$MEASUREMENT"] = _METRIC
    for name, colour in layers.items():
        document.layers.add(name, color=colour)
    draw(document.modelspace())
    return document


def _text(document: Drawing) -> str:
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()

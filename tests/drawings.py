"""Writes DXF drawings for tests, and reads them back.

Layers are those of `LAYERS` unless said otherwise; lengths are in the drawing's own unit.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.document import Drawing as Document

from scrieve.model.boat.defect import Defect
from scrieve.model.drawing import Drawing, FrameShapes, lay_out, read_drawing
from scrieve.model.drawing.ring import signed_area
from scrieve.model.geometry.outline import Outline
from scrieve.shared.errors import DrawingError
from scrieve.shared.findings import Level

MM, INCH, NO_UNIT = 4, 1, 0


@dataclass(frozen=True)
class Use:
    """What a layer makes, and on which face."""

    makes: str
    face: str | None = None


LAYERS = {
    "CORE": Use("part"),
    "GUSSETS AFT": Use("part", "aft"),
    "GUSSETS FWD": Use("part", "forward"),
    "BATTENS": Use("batten"),
    "SCREWS": Use("screw"),
    "DOWELS": Use("dowel"),
    "LABELS": Use("label"),
    "REFERENCE": Use("reference"),
}


def new(version: str = "R2010", units: int = MM) -> Document:
    """An empty document."""
    document = ezdxf.new(version, units=units)
    document.unit_of_r12 = units if version == "R12" else 0
    return document


def polyline(
    block,
    points: Iterable[tuple[float, float]],
    bulges: Iterable[float] | None = None,
    *,
    layer: str = "CORE",
    close: bool = True,
    **attribs,
):
    """A polyline, of the kind that the document's version has."""
    points = list(points)
    rows = [(*p, b) for p, b in zip(points, bulges or [0.0] * len(points), strict=True)]
    attribs = {"layer": layer, **attribs}
    if block.doc.dxfversion == "AC1009":
        return block.add_polyline2d(rows, format="xyb", close=close, dxfattribs=attribs)
    return block.add_lwpolyline(rows, format="xyb", close=close, dxfattribs=attribs)


def rectangle(block, left: float, low: float, right: float, high: float, *, layer: str = "CORE", label: str = ""):
    """A closed rectangle, with a label in its middle if one is given."""
    polyline(block, [(left, low), (right, low), (right, high), (left, high)], layer=layer)
    if label:
        text(block, label, ((left + right) / 2, (low + high) / 2))


def text(block, words: str, at: tuple[float, float], *, layer: str = "LABELS", **attribs):
    """A text anchored at its lower left."""
    return block.add_text(words, dxfattribs={"layer": layer, "insert": at, "height": 5, **attribs})


def line(block, start: tuple[float, ...], end: tuple[float, ...], *, layer: str = "CORE"):
    """A straight line."""
    return block.add_line(start, end, dxfattribs={"layer": layer})


def content(document: Document, fmt: str = "asc") -> bytes:
    """The bytes of the file."""
    if fmt == "bin":
        binary = io.BytesIO()
        document.write(binary, fmt="bin")
        return binary.getvalue()
    stream = io.StringIO()
    document.write(stream)
    written = stream.getvalue()
    if document.unit_of_r12:  # other programs write it, ezdxf does not
        written = written.replace("HEADER\n", f"HEADER\n  9\n$INSUNITS\n 70\n{document.unit_of_r12}\n", 1)
    return written.encode(document.output_encoding, errors="dxfreplace")


def saved(folder: Path, document: Document | bytes | str, *, fmt: str = "asc", name: str = "5.dxf") -> Path:
    """The path of the document, or of the bytes, written into the folder."""
    if isinstance(document, str):
        document = document.encode()
    path = folder / name
    path.write_bytes(document if isinstance(document, bytes) else content(document, fmt))
    return path


def read(folder: Path, document: Document | bytes | str, *, fmt: str = "asc", **more) -> Drawing:
    """The drawing as read."""
    options = {"shown": "frames/5.dxf", "plan_unit": "mm", "layers": LAYERS, **more}
    return read_drawing(saved(folder, document, fmt=fmt), **options)


def laid(
    folder: Path, document: Document, *, layers: Mapping[str, Use] = LAYERS, fmt: str = "asc", **more
) -> FrameShapes:
    """The frame of the drawing; by default seen from forward (y = u), with its origin at 0."""
    options = {"seen": "from forward", "origin": (0.0, 0.0), "frame": "5", **more}
    half = [options["origin"][0]] if options.get("mirror") else []
    return lay_out(read(folder, document, fmt=fmt, layers=layers, centrelines=half), layers=layers, **options)


def refused(folder: Path, document: Document | bytes | str, **more) -> str:
    """What is said of a drawing that cannot be read: one line, beginning with how it is shown."""
    try:
        read(folder, document, **more)
    except DrawingError as error:
        (mistake,) = error.mistakes
        assert str(mistake).startswith("frames/5.dxf: ")
        assert str(mistake).isprintable()
        return str(mistake).removeprefix("frames/5.dxf: ")
    raise AssertionError("the drawing was read")


def said(defects: Iterable[Defect], level: Level | None = None) -> list[str]:
    """The messages of defects, of one level if so asked."""
    return [defect.message for defect in defects if level in (None, defect.level)]


def only(shapes: FrameShapes):
    """The one shape of a frame without defects."""
    assert said(shapes.defects) == []
    (shape,) = shapes.shapes
    return shape


def assert_same(one: Outline, other: Outline, tolerance: float = 1e-9) -> None:
    """That two outlines have the same corners and bulges in the same order."""
    assert one.points.shape == other.points.shape
    np.testing.assert_allclose(one.points, other.points, rtol=0, atol=tolerance)
    np.testing.assert_allclose(one.bulges, other.bulges, rtol=0, atol=tolerance)


def corners(outline: Outline, digits: int = 6) -> set[tuple[float, float]]:
    """The corners of an outline, in no order."""
    return {(round(float(y), digits) + 0.0, round(float(v), digits) + 0.0) for y, v in outline.points}


def area(outline: Outline) -> float:
    """mm2, arcs and all; less than 0 where it runs clockwise."""
    return signed_area(outline.points, outline.bulges)

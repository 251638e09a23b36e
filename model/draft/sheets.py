"""The cut sheets of a draft: the frames' parts laid out on sheets, and a drawing of each sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import shapely

from ..geometry.outline import Outline
from ..plan.plan_tables import Seen, Stock
from ..sheets.arrangement import LaidSheet, Piece, laid_out
from .frame_drawing import add_outline, in_bytes, new_document, rounded
from .lines import Framing
from .sketch import CORE, GUSSETS, GUSSETS_FORWARD, LEG_INNER, LEG_OUTER, Sketch

PARTS, LABELS, SHEET = "PARTS", "LABELS", "SHEET"
_COLOURS = {PARTS: 7, LABELS: 3, SHEET: 8}
_LETTERS = 5.0  # mm, height of labels
_WIDE = 0.8  # width of a letter for its height, a little more than any font's


def sheets_for(
    pieces: Iterable[Piece], *, stock: Mapping[str, Stock], cutter: float, seen: Seen
) -> tuple[tuple[LaidSheet, ...], tuple[str, ...]]:
    """The sheets that pieces (seen from forward) are laid out on, with the face up that the drawings show; remarks."""
    shown = [_mirrored(piece) for piece in pieces] if seen == "from aft" else list(pieces)
    return laid_out(shown, sizes={name: sheet.size for name, sheet in stock.items()}, cutter=cutter)


def pieces_of_sketches(sketches: Iterable[Sketch], framing: Framing) -> list[Piece]:
    """Every part that the frames' drawings show, by the name that the plan gives it, seen from forward."""
    of_layer = {
        CORE: (framing.core, ("",)),
        GUSSETS: (framing.gusset, (", forward", ", aft")),
        GUSSETS_FORWARD: (framing.gusset, ("",)),
        LEG_INNER: (framing.core, ("",)),
        LEG_OUTER: (framing.legs, ("",)),
    }
    return [
        Piece(f"F{sketch.frame.number} {shape.label}{face}", of_layer[shape.layer][0], shape.outline, ())
        for sketch in sketches
        for shape in sketch.shapes
        if shape.layer in of_layer
        for face in of_layer[shape.layer][1]
    ]


def names_of(sheets: Sequence[LaidSheet]) -> list[str]:
    """The name of each sheet's drawing, relative to the plan's folder: "sheets/ply12-1.dxf"."""
    plain: dict[str, str] = {}
    for stock in sorted({sheet.stock for sheet in sheets}):
        name = "".join(c if c.isalnum() or c in "-_." else "-" for c in stock).strip(".") or "sheet"
        while name in plain.values():
            name += "-"
        plain[stock] = name
    return [f"sheets/{plain[sheet.stock]}-{sheet.number}.dxf" for sheet in sheets]


def sheet_drawing(sheet: LaidSheet) -> bytes:
    """The sheet as a DXF file: its edge, the parts' outlines, in each its name; the same bytes for the same sheet."""
    document = new_document(_COLOURS)
    space = document.modelspace()
    long, wide = sheet.size
    add_outline(space, Outline.of([(0, 0), (long, 0), (long, wide), (0, wide)]), SHEET)
    for piece in sheet.pieces:
        for outline in (piece.outline, *piece.holes):
            add_outline(space, outline, PARTS)
        place = {"layer": LABELS, "height": _LETTERS, "insert": _label_place(piece)}
        space.add_text(piece.name, dxfattribs=place)
    return in_bytes(document)


def _mirrored(piece: Piece) -> Piece:
    return piece._replace(outline=piece.outline.mirrored(), holes=tuple(hole.mirrored() for hole in piece.holes))


def _label_place(piece: Piece) -> tuple[float, float]:
    """Where the name begins: so that it stands in the middle of the wood if there is room, in any case on it."""
    wood = shapely.Polygon(piece.outline.flattened(), [hole.flattened() for hole in piece.holes])
    middle = shapely.point_on_surface(wood)
    start = middle.x - _LETTERS * _WIDE * len(piece.name) / 2, middle.y - _LETTERS / 2
    inside = shapely.buffer(wood, -_LETTERS / 4)
    return rounded(start if shapely.contains_xy(inside, *start) else (middle.x, middle.y))

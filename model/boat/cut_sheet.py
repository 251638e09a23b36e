"""Cut sheets: what goes to the machine. Outlines in the sheet's own axes (u to the right, v up), mm."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from scrieve.shared.findings import Source

from ..geometry.outline import Outline
from .pocket import PocketFace


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetPocket:
    """An outline on a layer that makes pockets, `depth` mm deep, in that `face` of the part."""

    outline: Outline
    layer: str
    face: PocketFace
    depth: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetShape:
    """A closed outline that is to be cut out, counter-clockwise, and what is drawn inside it.

    `holes` are the outlines in it on its own layer, `marks` those on others: inside cuts or engraving.
    `texts` stand in it. `region` is what the outline bounds, holes not taken out, flattened. `gap`: how
    far the outline is left open, mm. `written` are where the texts come from. `pockets` may reach over its edge.
    """

    outline: Outline
    region: shapely.Polygon
    layer: str
    source: Source
    texts: tuple[str, ...] = ()
    holes: tuple[Outline, ...] = ()
    marks: tuple[Outline, ...] = ()
    gap: float = 0.0
    written: tuple[Source, ...] = ()
    pockets: tuple[SheetPocket, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutSheet:
    """A sheet of `stock` and the shapes on it, sorted by place, whatever their order in the drawing.

    `name` is that of its drawing. `size` is that of the stock, (long, wide), None where the plan does
    not say; `edges` are the rectangles (left, low, right, high) drawn around the shapes as edges of the
    sheet, the outermost of each. `unit` is the one the drawing was read in, `unit_assumed` whether that
    was the plan's because the drawing has none. `source` is the plan's line.
    """

    name: str
    stock: str
    size: tuple[float, float] | None
    shapes: tuple[SheetShape, ...]
    edges: tuple[tuple[float, float, float, float], ...]
    unit: str
    unit_assumed: bool
    source: Source

"""Makes cut sheets in memory, outlines and texts as a drawing holds them; and gives what is found on them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import shapely
from making import assembly, frame, part, rectangle

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.cut_sheet import CutSheet
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.checks.cut_sheet import CHECK
from scrieve.model.drawing import Drawing, DrawnChain, DrawnCircle, DrawnOutline, DrawnText
from scrieve.model.geometry.outline import Outline
from scrieve.model.sheets.reading import sheet_of
from scrieve.shared.findings import Finding, Level, Source

SIZE = (2440.0, 1220.0)


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """One outline on a sheet and what is written in it."""

    outline: Outline
    text: str = ""
    layer: str = "CUT"


def side(length: float = 500.0, *, notch: float = 0.0, radius: float = 0.0) -> Outline:
    """A part without any symmetry: 80 mm high, its end cut at a slant, a notch of 30 x 20 in its top, moved `notch` mm.

    With a `radius` the notch's two inside corners are arcs.
    """
    left, right, r = 100.0 + notch, 130.0 + notch, radius
    floor = (
        [(right, 60.0), (left, 60.0)] if not r else [(right, 60 + r), (right - r, 60), (left + r, 60), (left, 60 + r)]
    )
    quarter = -(2**0.5 - 1)
    bulges = [0.0] * 4 + ([0.0] * 2 if not r else [quarter, 0.0, quarter, 0.0]) + [0.0] * 2
    return Outline.of([(0, 0), (length, 0), (length - 40, 80), (right, 80), *floor, (left, 80), (0, 80)], bulges)


def beam(length: float = 700.0, rise: float = 30.0) -> Outline:
    """A part of two arcs, 70 mm deep, mirrored in itself."""
    bulge = 2 * rise / length
    return Outline.of([(0, 0), (length, 0), (length, 70), (0, 70)], [bulge, 0.0, -bulge, 0.0])


def laid(outline: Outline, at: tuple[float, float] = (0.0, 0.0), *, angle: float = 0.0, over: bool = False) -> Outline:
    """The outline turned (radians), perhaps turned over, its lower left corner at a place."""
    there = (outline.mirrored() if over else outline).turned(angle)
    left, low, *_ = there.polygon().bounds
    return there.moved((at[0] - left, at[1] - low))


def drawing(
    shapes: Iterable[Drawn],
    *,
    edge: tuple[float, float] | None = None,
    texts: Iterable[tuple[str, tuple[float, float]]] = (),
    circles: Iterable[tuple[str, tuple[float, float], float]] = (),
    chains: Iterable[tuple[str, Sequence[tuple[float, float]]]] = (),
    name: str = "sheets/1.dxf",
    unit: str = "mm",
) -> Drawing:
    """A sheet's drawing, as it is read; `edge` is the size of the rectangle drawn around, its corner at (0, 0)."""

    def source(number: int) -> Source:
        return Source(file=name, handle=f"{number:X}")

    shapes = list(shapes)
    outlines = [DrawnOutline(layer=s.layer, outline=s.outline, source=source(n)) for n, s in enumerate(shapes)]
    if edge is not None:
        outlines.append(DrawnOutline(layer="SHEET", outline=rectangle(0, 0, *edge), source=source(900)))
    written = [(s.text, tuple(shapely.point_on_surface(s.outline.polygon()).coords[0])) for s in shapes if s.text]
    return Drawing(
        shown=name,
        unit=unit,
        unit_assumed=False,
        plan_unit="mm",
        outlines=tuple(outlines),
        chains=tuple(
            DrawnChain(layer=layer, points=tuple(points), bulges=(0.0,) * (len(points) - 1), source=source(700))
            for layer, points in chains
        ),
        circles=tuple(
            DrawnCircle(layer=layer, centre=at, radius=radius, source=source(800)) for layer, at, radius in circles
        ),
        texts=tuple(
            DrawnText(layer="TEXT", text=text, at=at, middle=at, source=source(500)) for text, at in (*written, *texts)
        ),
    )


def sheet(
    shapes: Iterable[Drawn],
    *,
    stock: str = "ply18",
    size: tuple[float, float] | None = SIZE,
    longest: float = 1000.0,
    **more: object,
) -> CutSheet:
    """The sheet with these shapes, read."""
    source = Source(file="plan.toml", line=7)
    return sheet_of(drawing(shapes, **more), stock=stock, size=size, longest=longest, source=source)[0]


def boat(
    parts: Iterable[Part] | Iterable[Frame], sheets: Iterable[CutSheet], *, cutter: float = 10.0, **limits: float
) -> Assembly:
    """A boat of one frame of these parts, or of these frames, with these cut sheets."""
    items = list(parts)
    frames = items if items and isinstance(items[0], Frame) else [frame(items)]
    return replace(assembly(frames, cutter=cutter, limits=limits), sheets=tuple(sheets))


def two_parts() -> list[Part]:
    """A side and a deck beam, both of ply18."""
    return [part("port side", side()), part("deck beam", beam())]


def two_shapes(first: Outline | None = None, second: Outline | None = None) -> list[Drawn]:
    """The two as they lie on a sheet, or these outlines under their names."""
    return [
        Drawn(outline=first or laid(side(), (50, 50)), text="F5 port side"),
        Drawn(outline=second or laid(beam(), (50, 300)), text="F5 deck beam"),
    ]


def found(built: Assembly, level: Level = Level.ERROR) -> list[Finding]:
    """What the check `cut-sheet` tells, of one level."""
    return [finding for finding in CHECK.run(built) if finding.level is level]


def only(built: Assembly) -> Finding:
    """Its one error."""
    (finding,) = found(built)
    return finding

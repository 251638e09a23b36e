"""A frame from what its drawing holds: its core's span, its parts, screws and dowels in their places, its kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import chain

import shapely

from scrieve.shared.findings import Source
from scrieve.shared.units import MM_PER_UNIT

from ..boat.defect import Defect
from ..boat.frame import Frame, Kind
from ..boat.part import Face, Part, drawn_polygon
from ..boat.screw import Dowel, Screw, drive
from ..boat.view import DrawingView
from ..drawing import FrameShapes, LabelledOutline, Mark
from ..geometry.cut import as_cut
from ..geometry.placement import Placement
from ..plan.plan import FrameSpec, Layer, Plan, Stock
from ..proposals.battens.batten_sections import sections_of
from ..relations.opening import closes
from ..relations.pockets import with_pockets


def frame_made(
    plan: Plan, spec: FrameSpec, shapes: FrameShapes, whole: tuple[Defect, ...], line: int, times: float, unit: str
) -> Frame:
    """A frame from what its drawing, in `unit`, holds; `times` is how many times too large the plan's lengths are."""
    low, high = _core_span(plan, spec, shapes)
    outlines = [shape for shape in shapes.shapes if plan.layers[shape.layer].makes == "part"]
    labels = Counter(shape.label for shape in outlines)
    made = (_parts(plan, spec, shape, (low, high), alone=labels[shape.label] == 1) for shape in outlines)
    parts = tuple(sorted(chain.from_iterable(made), key=lambda part: (part.name, part.shape.bounds)))
    parts, of_pockets = with_pockets(parts, shapes.pockets, plan.layers, plan.cutter_of)
    sections, defects = sections_of(plan, spec, shapes, times=times)
    return Frame(
        number=spec.number,
        kind=spec.kind or _kind(parts),
        placement=Placement(station=spec.station, rake=spec.rake_radians),
        core_low=low,
        core_high=high,
        parts=parts,
        screws=_screws(plan, spec, shapes, parts, (low, high)),
        dowels=_dowels(plan, spec, shapes),
        sections=sections,
        batten_texts=shapes.batten_texts,
        unread=shapes.unread,
        defects=(*whole, *shapes.defects, *of_pockets, *defects),
        source=Source(file=plan.file.name, line=line),
        view=_view(plan, spec, unit),
    )


def _view(plan: Plan, spec: FrameSpec, unit: str) -> DrawingView:
    u, v = (each / MM_PER_UNIT[unit] for each in spec.origin)
    side = -1.0 if plan.seen_of(spec) == "from aft" else 1.0
    return DrawingView(shown=spec.drawing, unit=unit, origin=(u, v), side=side, half=spec.mirror)


def _core_span(plan: Plan, spec: FrameSpec, shapes: FrameShapes) -> tuple[float, float]:
    """Where the core begins and ends along w: as thick as the thickest core part that is no leg."""
    layers = [plan.layers[shape.layer] for shape in shapes.shapes]
    core = [
        _stock(plan, u).real_thickness for u in layers if u.makes == "part" and u.face == "core" and u.role != "leg"
    ]
    return _against(spec, max(core, default=0.0))


def _against(spec: FrameSpec, thickness: float) -> tuple[float, float]:
    """The span along w of a core piece of this thickness: it lies against the face that is on the station."""
    if spec.station_at == "aft face":
        return 0.0, thickness
    if spec.station_at == "forward face":
        return -thickness, 0.0
    return -thickness / 2, thickness / 2


def _parts(
    plan: Plan, spec: FrameSpec, shape: LabelledOutline, core: tuple[float, float], *, alone: bool
) -> list[Part]:
    """The parts of one outline, told apart by face where it makes two or is not `alone` in having its label."""
    layer = plan.layers[shape.layer]
    stock = _stock(plan, layer)
    thickness = stock.real_thickness
    spans: dict[Face, tuple[float, float]] = {
        "core": _against(spec, thickness),
        "forward": (core[1], core[1] + thickness),
        "aft": (core[0] - thickness, core[0]),
    }
    faces: list[Face] = ["forward", "aft"] if layer.face == "both" else [layer.face or "core"]
    cut = as_cut(drawn_polygon(shape.outline, shape.holes), plan.cutter_of(layer.stock or ""))
    return [
        Part(
            name=f"F{spec.number} {shape.label}" + ("" if alone and layer.face != "both" else f", {face}"),
            label=shape.label,
            frame=spec.number,
            role=layer.role or ("core" if face == "core" else "plate"),
            face=face,
            stock=layer.stock or "",
            density=stock.density,
            drawn=shape.outline,
            holes=shape.holes,
            shape=cut,
            low=spans[face][0],
            high=spans[face][1],
            source=shape.source,
        )
        for face in faces
    ]


def _stock(plan: Plan, layer: Layer) -> Stock:
    """The stock of a part layer; the plan reader has made sure that there is one."""
    return plan.stock[layer.stock or ""]


def _screws(
    plan: Plan, spec: FrameSpec, shapes: FrameShapes, parts: tuple[Part, ...], span: tuple[float, float]
) -> tuple[Screw, ...]:
    counted = {"forward": 0, "aft": 0}
    screws = []
    for mark in _in_place(shapes.marks):
        layer = plan.layers[mark.layer]
        if layer.makes != "screw" or layer.driven_from is None:
            continue
        counted[layer.driven_from] += 1
        driven = drive(
            parts,
            name=f"F{spec.number} {layer.driven_from} screw {counted[layer.driven_from]}",
            frame=spec.number,
            size=plan.screws[layer.screw or ""].size,
            at=mark.at,
            driven_from=layer.driven_from,
            face=span[1] if layer.driven_from == "forward" else span[0],
            source=mark.source,
            image=mark.image,
        )
        screws.append(replace(driven, kind=layer.screw or ""))
    return tuple(screws)


def _dowels(plan: Plan, spec: FrameSpec, shapes: FrameShapes) -> tuple[Dowel, ...]:
    marks = [mark for mark in _in_place(shapes.marks) if plan.layers[mark.layer].makes == "dowel"]
    usual = plan.dowels.diameter if plan.dowels else 0.0
    return tuple(
        Dowel(
            name=f"F{spec.number} dowel {number}",
            frame=spec.number,
            at=mark.at,
            diameter=2 * mark.radius or usual,
            source=mark.source,
        )
        for number, mark in enumerate(marks, start=1)
    )


def _in_place(marks: Iterable[Mark]) -> list[Mark]:
    """Marks from port to starboard, and down: numbered so, whatever their order in the drawing."""
    return sorted(marks, key=lambda mark: (-round(mark.at[0], 3), -round(mark.at[1], 3), mark.layer))


def _kind(parts: tuple[Part, ...]) -> Kind:
    """`bulkhead` if a core part is called so; else `ring` if the core closes across the deck, its joints shut."""
    if any("bulkhead" in part.label.casefold() for part in parts if part.face == "core" and part.role != "leg"):
        return "bulkhead"
    core = [part.shape.buffer(1.0, quad_segs=2) for part in parts if part.face == "core" and part.role != "leg"]
    return "ring" if closes(shapely.union_all(core)) else "open"

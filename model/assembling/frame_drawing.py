"""What of a drawing is one frame's: its window, without the cut sheets and the other frames in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from types import MappingProxyType

from scrieve.shared.findings import Source

from ..drawing import Drawing, FrameShapes, lay_out, own_extent, without_extent
from ..plan.label_reading import LabelReader, without_side
from ..plan.plan import FrameSpec, Plan
from ..proposals.battens.batten_names import batten_kind
from ..sheets.sheet_extent import without_sheets


def shapes_of(
    plan: Plan,
    spec: FrameSpec,
    drawing: Drawing,
    line: int,
    reader: LabelReader,
    laid_out: dict[object, FrameShapes],
    layer_of: Mapping[str, str] = MappingProxyType({}),
) -> FrameShapes:
    """What the drawing of a frame holds; kept in `laid_out`. `layer_of`: see `lay_out`."""
    others = [o for o in plan.frames if o.drawing == spec.drawing and o.origin != spec.origin]
    key = (
        *(drawing, line, spec.number, spec.origin, spec.extent, spec.mirror),
        *(plan.seen_of(spec), plan.limits["outline"]),
        tuple((name, layer.makes, layer.face) for name, layer in plan.layers.items()),
        *(tuple((kind, batten.sides) for kind, batten in plan.battens.items()), tuple(plan.labels.items())),
        tuple((other.number, other.origin) for other in others),
        tuple(other.number for other in plan.frames),
        tuple((sheet.drawing, sheet.extent) for sheet in plan.cut_sheets),
        *(reader.titles, reader.sided, tuple(layer_of.items())),
    )
    if key not in laid_out:
        laid_out[key] = _laid_out(plan, spec, drawing, line, reader, others, layer_of)
    return laid_out[key]


def layers_of_names(plan: Plan, frames: Iterable[FrameShapes]) -> dict[str, str]:
    """The layer on which the parts of a name, its side left out, lie in these frames, by name, if it is one alone."""
    found: dict[str, set[str]] = defaultdict(set)
    for shape in chain.from_iterable(shapes.shapes for shapes in frames):
        if plan.layers[shape.layer].makes == "part":
            found[without_side(shape.label)].add(shape.layer)
    return {name: layers.pop() for name, layers in sorted(found.items()) if len(layers) == 1}


def _laid_out(
    plan: Plan,
    spec: FrameSpec,
    drawing: Drawing,
    line: int,
    reader: LabelReader,
    others: Sequence[FrameSpec],
    layer_of: Mapping[str, str],
) -> FrameShapes:
    found = None
    if spec.extent is None:
        drawing = without_sheets(plan, drawing)
    if spec.extent is None and others:
        found = own_extent(drawing, plan.layers, spec.origin, [other.origin for other in others])
    shapes = lay_out(
        drawing,
        layers=plan.layers,
        seen=plan.seen_of(spec),
        origin=spec.origin,
        extent=spec.extent or found,
        mirror=spec.mirror,
        frame=spec.number,
        gap=plan.limits["outline"],
        is_batten=lambda text: batten_kind(plan, text) is not None,
        reader=reader,
        layer_of=layer_of,
    )
    if found is None:
        return shapes
    source = Source(file=plan.file.name, line=line)
    said = without_extent(drawing, spec.number, [other.number for other in others], found, source)
    return replace(shapes, defects=(said, *shapes.defects))

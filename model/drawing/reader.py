"""Reads a drawing: the way from a DXF file to closed outlines, circles, points and texts in mm."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from scrieve.shared.findings import Level, Source
from scrieve.shared.limits import LIMITS
from scrieve.shared.units import INSUNITS, MM_PER_UNIT

from ..boat.defect import Defect
from .chains import join
from .collector import MOST_OBJECTS, Collector, counted
from .document import open_document
from .drawn import Drawing
from .plane_map import PlaneMap


def read_drawing(
    path: Path,
    *,
    shown: str,
    plan_unit: str,
    layers: Collection[str] | None,
    gap: float = LIMITS["outline"].default,
    taken_as: str | None = None,
    budget: int = MOST_OBJECTS,
    content: bytes | None = None,
    centrelines: Collection[float] = (),
) -> Drawing:
    """What the drawing at `path` holds on `layers` (None: on all of them), in its own axes, mm.

    `content` stands for the file, where there is any. `shown` is how messages and sources name it. `plan_unit` counts
    where the drawing has no unit of its own, and `taken_as` before either. `layers` are matched whatever their case,
    as DXF does; an object counts also if its layer is off, frozen or not plotted, since it is the plan that
    names what is to be cut. Ends up to `gap` mm apart are joined. `centrelines` are those of half drawings in it, u in
    mm: lines may end there. Raises DrawingError, with one
    mistake, for a file that cannot be read or holds more than `budget` objects.
    """
    opened = open_document(path, shown, budget, content)
    code = opened.unit_code
    unit = taken_as or INSUNITS.get(code)
    collector = Collector(opened.blocks, shown=shown, layers=layers, budget=budget, gap=gap)
    collector.take_all(opened.drawn(), PlaneMap.scaled(MM_PER_UNIT[unit or plan_unit]))
    joined = [join(layer, pieces, gap, centrelines) for layer, pieces in sorted(collector.runs.items())]
    notes = []
    if unit is None:
        said = "the drawing has no unit of its own" if not code else f"the drawing's unit ($INSUNITS {code}) is unknown"
        notes.append(f"{said}; its lengths are taken as {plan_unit}, the plan's unit")
    if opened.repaired:
        notes.append("the file is damaged and was read as far as it goes: what is broken in it is left out")
    if opened.in_paper:
        notes.append(f"not read: {counted(opened.in_paper, 'object')} in paper space; only model space is")
    source = Source(file=shown)
    return Drawing(
        shown=shown,
        unit=unit or plan_unit,
        unit_assumed=unit is None,
        plan_unit=plan_unit,
        outlines=(
            *(outline for _, each in sorted(collector.outlines.items()) for outline in each),
            *(outline for each in joined for outline in each.outlines),
        ),
        chains=tuple(chain for each in joined for chain in each.chains),
        forks=tuple(fork for each in joined for fork in each.forks),
        networks=tuple(network for each in joined for network in each.networks),
        circles=tuple(collector.circles),
        points=tuple(collector.points),
        texts=tuple(collector.texts),
        unnamed=dict(sorted(collector.unnamed.items())),
        defects=(
            *(Defect(message=note, level=Level.NOTE, source=source) for note in notes),
            *collector.defects(),
        ),
    )

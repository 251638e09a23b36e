"""Sets the boat up: a plan and its drawings become the assembly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from types import MappingProxyType

import shapely

from scrieve.shared.edits import Edit, SetKey
from scrieve.shared.errors import DrawingError, Mistake
from scrieve.shared.findings import Level, Source
from scrieve.shared.units import MM_PER_UNIT

from .boat.assembly import Assembly
from .boat.batten import Batten
from .boat.cut_sheet import CutSheet
from .boat.defect import Defect
from .boat.exclusion import Exclusion
from .boat.frame import Frame, Kind
from .boat.part import Face, Part, drawn_polygon
from .boat.screw import Dowel, Screw, drive
from .boat.strongback import Strongback
from .boat.view import DrawingView
from .drawing import (
    Drawing,
    FrameShapes,
    LabelledOutline,
    Mark,
    edited_drawing,
    lay_out,
    own_extent,
    read_drawing,
    without_extent,
)
from .drawing.titles import title_words
from .geometry.cut import as_cut
from .geometry.placement import Placement
from .plan.label_reading import LabelReader
from .plan.plan import FrameSpec, Layer, Plan, Stock
from .plan.plan_reader import edited
from .proposals.battens.batten_names import batten_kind
from .proposals.battens.batten_sections import battens_through, sections_of
from .proposals.battens.found_battens import with_found_sections
from .proposals.coverage_notes import coverage_notes
from .proposals.dowels.dowels_proposed import dowel_notes, with_dowels
from .proposals.incomplete_frames import with_incomplete_frames
from .proposals.screws.screws_proposed import with_screws
from .proposals.units.unit_slips import drawing_defects, plan_defect
from .proposals.units.unit_slips import slips as unit_slips
from .relations.opening import closes
from .relations.pockets import with_pockets
from .sequence.order_refused import resolved, unknown
from .sheets.reading import sheets_of
from .sheets.sheet_extent import without_sheets

_TOLD = 6  # labels that the note on how they are read quotes


def assemble(plan: Plan, *, progress: Callable[[str], None] | None = None) -> Assembly:
    """The boat of a plan, set up; `progress` is told the name of each frame as it is begun.

    Raises DrawingError for drawings that cannot be read. What a drawing holds that cannot be taken
    as it stands is no error: it goes into the defects of its frame.
    """
    drawings, sheets = _drawings(plan)
    return _set_up(plan, drawings, sheets, {}, progress or (lambda _: None))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Edited:
    """Sets a boat up again with edits made in memory, from drawings that are read already.

    Raises what reading raises, where they leave no plan or no drawing.
    """

    plan: Plan
    drawings: Mapping[str, Drawing]
    sheets: Mapping[str, Drawing]
    laid_out: Mapping[object, FrameShapes]
    """What each frame's drawing holds, by all that it depends on: the most work of all."""

    def __call__(self, edits: Sequence[Edit]) -> Assembly:
        """The boat."""
        plan = edited(self.plan, [edit for edit in edits if isinstance(edit, SetKey)])
        of_drawings = [edit for edit in edits if not isinstance(edit, SetKey)]
        known = [(each.units, *each.layers, _centrelines(each)) for each in (plan, self.plan)]
        alike = known[0] == known[1]
        drawings, sheets = _drawings(plan, self.drawings, self.sheets) if alike else _drawings(plan)
        drawings |= {
            file: edited_drawing(drawings[file], [edit for edit in of_drawings if edit.target.file == file])
            for file in {edit.target.file for edit in of_drawings} & set(drawings)
        }
        return _set_up(plan, drawings, sheets, dict(self.laid_out), lambda _: None)


def _set_up(
    plan: Plan,
    drawings: dict[str, Drawing],
    sheet_drawings: dict[str, Drawing],
    laid_out: dict[object, FrameShapes],
    tell: Callable[[str], None],
) -> Assembly:
    again = _Edited(plan=plan, drawings=dict(drawings), sheets=sheet_drawings, laid_out=laid_out)
    plan_slip, slips = unit_slips(plan, drawings, sheet_drawings)
    slips_of, slips_of_several = drawing_defects(plan, drawings, slips)
    drawings |= {slip.shown: _drawing(plan, slip.shown, tuple(plan.layers), slip.unit) for slip in slips}
    times = 1.0 if plan_slip is None else plan_slip.times_drawn
    if plan_slip is not None and times != 1.0 and all(drawing.unit_assumed for drawing in drawings.values()):
        drawings = {shown: _drawing(plan, shown, tuple(plan.layers), plan_slip.unit) for shown in drawings}
        times = 1.0
    frames = []
    read: list[tuple[str, str, str]] = []
    uses = Counter(spec.drawing for spec in plan.frames)
    numbers = {shown: [spec.number for spec in plan.frames if spec.drawing == shown] for shown in uses}
    reader = replace(plan.label_reader, titles=title_words(drawings, numbers, plan.label_reader))
    whole = {
        shown: (*([slips_of[shown]] if shown in slips_of else []), *drawing.defects)
        for shown, drawing in drawings.items()
    }
    for index, spec in enumerate(plan.frames):
        tell(f"frame {spec.number}")
        # what is wrong with a drawing as a whole is its frame's, or the boat's if several frames share it
        own = whole[spec.drawing] if uses[spec.drawing] == 1 else ()
        line, unit = plan.line_of("frames", index), drawings[spec.drawing].unit
        shapes = _shapes(plan, spec, drawings[spec.drawing], line, reader, laid_out)
        frames.append(_frame(plan, spec, shapes, own, line, times, unit))
        read += [(said, f"F{spec.number}", label) for said, label in shapes.read]
    shared = [defect for shown in sorted(uses) if uses[shown] > 1 for defect in whole[shown]]
    frames.sort(key=lambda frame: (frame.placement.station, frame.number))
    if plan_slip is not None:
        # nothing drawn can be compared with what the plan says: it is shown as it stands, and no more
        battens, _ = battens_through(plan, frames)
        told = (*shared, plan_defect(plan, plan_slip))
        excluded = tuple(Exclusion(frame=f.number) for f in frames)
        return _put_together(plan, frames, battens, told, again, excluded=excluded)
    found = with_found_sections(plan, frames)
    doweled = with_dowels(found.frames, plan.dowels.diameter, plan.limits)
    frames = doweled.frames
    battens, defects = battens_through(plan, frames, found.ambiguous, found.spare)
    sheets, of_sheets = sheets_of(plan, sheet_drawings, [part for frame in frames for part in frame.parts])
    told = (
        *_labels_read(plan, read),
        *slips_of_several,
        *shared,
        *found.defects,
        *defects,
        *(defect for defect in of_sheets if not any(defect in own for own in whole.values())),
        *unknown(resolved(plan.order, frames, battens), frames, battens),
        *dowel_notes(doweled, Source(file=plan.file.name)),
    )
    drawn = _put_together(plan, frames, battens, told, again, sheets=sheets)
    boat = with_screws(plan, with_incomplete_frames(plan, drawn, drawings))
    return replace(boat, defects=(*boat.defects, *coverage_notes(plan, boat.frames)))


def _put_together(
    plan: Plan,
    frames: Sequence[Frame],
    battens: tuple[Batten, ...],
    defects: tuple[Defect, ...],
    again: _Edited,
    *,
    sheets: tuple[CutSheet, ...] = (),
    excluded: tuple[Exclusion, ...] = (),
) -> Assembly:
    return Assembly(
        name=plan.name,
        build=plan.build,
        cutter_diameter=plan.cutter.diameter if plan.cutter else 0.0,
        frames=tuple(frames),
        battens=battens,
        strongback=_strongback(plan),
        limits=plan.limits,
        defects=defects,
        source=Source(file=plan.file.name),
        order=resolved(plan.order, frames, battens),
        board=plan.dowels.board,
        dowel_diameter=plan.dowels.diameter if "diameter" in plan.dowels.model_fields_set else None,
        sheets=sheets,
        sawn=frozenset(
            name for name, stock in plan.stock.items() if stock.is_sawn(name) and not _is_on_sheets(plan, name)
        ),
        excluded=excluded,
        waivers=plan.waivers,
        label_reader=plan.label_reader,
        keys=plan.keys,
        plan=plan,
        edited=again,
    )


def _is_on_sheets(plan: Plan, stock: str) -> bool:
    """Whether a stock that does not say itself that it comes from no sheets has a cut sheet."""
    return plan.stock[stock].sheets is None and any(spec.stock == stock for spec in plan.cut_sheets)


def _drawings(
    plan: Plan,
    read: Mapping[str, Drawing] = MappingProxyType({}),
    sheets_read: Mapping[str, Drawing] = MappingProxyType({}),
) -> tuple[dict[str, Drawing], dict[str, Drawing]]:
    """Every drawing of the frames and every cut sheet, read once, by the name the plan has for it.

    Of a cut sheet all layers are read. Those that are `read` already stay as they are.
    Raises DrawingError with a mistake for each that cannot be read,
    its path as the user named the plan.
    """
    frames: dict[str, Drawing] = {}
    sheets: dict[str, Drawing] = {}
    mistakes: list[Mistake] = []
    for drawings, specs, layers, known in (
        (frames, plan.frames, tuple(plan.layers), read),
        (sheets, plan.cut_sheets, None, sheets_read),
    ):
        for shown in sorted({spec.drawing for spec in specs}):
            try:
                drawings[shown] = known[shown] if shown in known else _drawing(plan, shown, layers)
            except DrawingError as error:
                mistakes += error.mistakes
    if mistakes:
        raise DrawingError(mistakes)
    return frames, sheets


def _drawing(plan: Plan, shown: str, layers: Collection[str] | None, taken_as: str | None = None) -> Drawing:
    """A drawing, by the name the plan has for it; of mistakes in it the path is as the user named the plan."""
    try:
        return read_drawing(
            plan.folder / shown,
            shown=shown,
            plan_unit=plan.units,
            layers=layers,
            gap=plan.limits["outline"],
            taken_as=taken_as,
            content=plan.contents.get(shown),
            centrelines=_centrelines(plan).get(shown, ()),
        )
    except DrawingError as error:
        raise DrawingError([replace(mistake, path=str(plan.folder / shown)) for mistake in error.mistakes]) from None


def _centrelines(plan: Plan) -> dict[str, tuple[float, ...]]:
    """Where those of half drawings lie, by drawing: u, mm."""
    halves = [spec for spec in plan.frames if spec.mirror]
    return {half.drawing: tuple(spec.origin[0] for spec in halves if spec.drawing == half.drawing) for half in halves}


def _labels_read(plan: Plan, read: Sequence[tuple[str, str, str]]) -> tuple[Defect, ...]:
    """The note of labels that are known by other words than they are drawn with: text, frame and label of each."""
    if not read:
        return ()
    told = ", ".join(f'"{said}" as {frame} {label}' for said, frame, label in read[:_TOLD])
    more = f", and {len(read) - _TOLD} more" if len(read) > _TOLD else ""
    message = f"numbers and sides are read out of labels: {told}{more}"
    return (Defect(message=message, level=Level.NOTE, source=Source(file=plan.file.name), check="label"),)


def _shapes(
    plan: Plan,
    spec: FrameSpec,
    drawing: Drawing,
    line: int,
    reader: LabelReader,
    laid_out: dict[object, FrameShapes],
) -> FrameShapes:
    """What the drawing of a frame holds; kept in `laid_out`."""
    others = [o for o in plan.frames if o.drawing == spec.drawing and o.origin != spec.origin]
    key = (
        *(drawing, line, spec.number, spec.origin, spec.extent, spec.mirror),
        *(plan.seen, plan.limits["outline"], tuple((name, layer.makes) for name, layer in plan.layers.items())),
        *(tuple((kind, batten.sides) for kind, batten in plan.battens.items()), tuple(plan.labels.items())),
        tuple((other.number, other.origin) for other in others),
        tuple(other.number for other in plan.frames),
        tuple((sheet.drawing, sheet.extent) for sheet in plan.cut_sheets),
        reader.titles,
    )
    if key not in laid_out:
        laid_out[key] = _laid_out(plan, spec, drawing, line, reader, others)
    return laid_out[key]


def _laid_out(
    plan: Plan, spec: FrameSpec, drawing: Drawing, line: int, reader: LabelReader, others: Sequence[FrameSpec]
) -> FrameShapes:
    found = None
    if spec.extent is None:
        drawing = without_sheets(plan, drawing)
    if spec.extent is None and others:
        found = own_extent(drawing, plan.layers, spec.origin, [other.origin for other in others])
    shapes = lay_out(
        drawing,
        layers=plan.layers,
        seen=plan.seen,
        origin=spec.origin,
        extent=spec.extent or found,
        mirror=spec.mirror,
        frame=spec.number,
        gap=plan.limits["outline"],
        is_batten=lambda text: batten_kind(plan, text) is not None,
        reader=reader,
    )
    if found is None:
        return shapes
    source = Source(file=plan.file.name, line=line)
    said = without_extent(drawing, spec.number, [other.number for other in others], found, source)
    return replace(shapes, defects=(said, *shapes.defects))


def _frame(
    plan: Plan, spec: FrameSpec, shapes: FrameShapes, whole: tuple[Defect, ...], line: int, times: float, unit: str
) -> Frame:
    """A frame from what its drawing, in `unit`, holds; `times` is how many times too large the plan's lengths are."""
    low, high = _core_span(plan, spec, shapes)
    outlines = [shape for shape in shapes.shapes if plan.layers[shape.layer].makes == "part"]
    labels = Counter(shape.label for shape in outlines)
    made = (_parts(plan, spec, shape, (low, high), alone=labels[shape.label] == 1) for shape in outlines)
    parts = tuple(sorted(chain.from_iterable(made), key=lambda part: (part.name, part.shape.bounds)))
    parts, of_pockets = with_pockets(parts, shapes.pockets, plan.layers, plan.cutter.diameter if plan.cutter else 0.0)
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
    side = -1.0 if plan.seen == "from aft" else 1.0
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
    cut = as_cut(drawn_polygon(shape.outline, shape.holes), plan.cutter.diameter if plan.cutter else 0.0)
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


def _strongback(plan: Plan) -> Strongback | None:
    rails = plan.strongback
    if rails is None:
        return None
    return Strongback(
        inside_width=rails.inside_width,
        width=rails.rail[0],
        depth=rails.rail[1],
        start=rails.start,
        end=rails.end,
        build=plan.build,
    )

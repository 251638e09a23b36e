"""Sets the boat up: a plan and its drawings become the assembly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from scrieve.shared.edits import Edit, SetKey
from scrieve.shared.errors import DrawingError, Mistake
from scrieve.shared.findings import Level, Source

from .assembling.frame_drawing import layers_of_names, shapes_of
from .assembling.frame_made import frame_made
from .assembling.too_large import refuse_too_large
from .boat.assembly import Assembly
from .boat.batten import Batten
from .boat.cut_sheet import CutSheet
from .boat.defect import Defect
from .boat.exclusion import Exclusion
from .boat.frame import Frame
from .boat.strongback import Strongback
from .drawing import Drawing, FrameShapes, edited_drawing, read_drawing
from .drawing.titles import title_words
from .plan.label_reading import LabelReader, names_both_sides
from .plan.plan import Plan
from .plan.plan_reader import edited
from .proposals.battens.batten_sections import battens_through
from .proposals.battens.drawn_sections import sizes_compared, turned_as_drawn
from .proposals.battens.found_battens import with_found_sections
from .proposals.coverage_notes import coverage_notes
from .proposals.dowels.dowels_proposed import dowel_notes, with_dowels
from .proposals.incomplete_frames import with_incomplete_frames
from .proposals.screws.screws_proposed import with_screws
from .proposals.units.unit_slips import drawing_defects, plan_defect
from .proposals.units.unit_slips import slips as unit_slips
from .sequence.order_refused import resolved, unknown
from .sheets.reading import sheets_of

_TOLD = 6  # labels that the note on how they are read quotes


def assemble(plan: Plan, *, progress: Callable[[str], None] | None = None) -> Assembly:
    """The boat of a plan, set up; `progress` is told the name of each frame as it is begun.

    Raises DrawingError for drawings that cannot be read, PlanError for sizes beyond all frames. What a drawing holds
    that cannot be taken as it stands is no error: it goes into the defects of its frame.
    """
    drawings, sheets = _drawings(plan)
    drawn = _AsRead(plan=plan, drawings=drawings, sheets=sheets, laid_out={})
    return _set_up(drawn, progress or (lambda _: None))


@dataclass(frozen=True, kw_only=True, eq=False)
class _AsRead:
    """A plan and its drawings as they are read: what a boat is set up from, and again with edits made in memory."""

    plan: Plan
    drawings: Mapping[str, Drawing]
    sheets: Mapping[str, Drawing]
    laid_out: dict[object, FrameShapes]
    """What each frame's drawing holds, by all that it depends on: the most work of all. Filled as it is taken."""

    def edited(self, edits: Sequence[Edit]) -> Assembly:
        """The boat with these edits. Raises what reading raises, where they leave no plan or no drawing."""
        plan = edited(self.plan, [edit for edit in edits if isinstance(edit, SetKey)])
        of_drawings = [edit for edit in edits if not isinstance(edit, SetKey)]
        alike = _read_by(plan) == _read_by(self.plan)
        drawings, sheets = _drawings(plan, self.drawings, self.sheets) if alike else _drawings(plan)
        for known in (drawings, sheets):
            known |= {
                file: edited_drawing(known[file], [edit for edit in of_drawings if edit.target.file == file])
                for file in {edit.target.file for edit in of_drawings} & set(known)
            }
        drawn = _AsRead(plan=plan, drawings=drawings, sheets=sheets, laid_out=dict(self.laid_out))
        return _set_up(drawn, lambda _: None)


def _set_up(drawn: _AsRead, tell: Callable[[str], None]) -> Assembly:
    plan, drawings = drawn.plan, dict(drawn.drawings)
    plan_slip, slips = unit_slips(plan, drawings, drawn.sheets)
    slips_of, slips_of_several = drawing_defects(plan, drawings, slips)
    drawings |= {slip.shown: _drawing(plan, slip.shown, tuple(plan.layers), slip.unit) for slip in slips}
    times = 1.0 if plan_slip is None else plan_slip.times_drawn
    if plan_slip is not None and times != 1.0 and all(drawing.unit_assumed for drawing in drawings.values()):
        drawings = {shown: _drawing(plan, shown, tuple(plan.layers), plan_slip.unit) for shown in drawings}
        times = 1.0
    whole = {
        shown: (*([slips_of[shown]] if shown in slips_of else []), *drawing.defects)
        for shown, drawing in drawings.items()
    }
    uses = Counter(spec.drawing for spec in plan.frames)
    # what is wrong with a drawing as a whole is its frame's, or the boat's if several frames share it
    own = {shown: whole[shown] if many == 1 else () for shown, many in uses.items()}
    shared = [defect for shown in sorted(uses) if uses[shown] > 1 for defect in whole[shown]]
    reader = _reader(plan, drawings, drawn.sheets)
    frames, labels_read = _frames(plan, drawings, reader, own, times, drawn.laid_out, tell)
    if plan_slip is not None:
        # nothing drawn can be compared with what the plan says: it is shown as it stands, and no more
        battens, _ = battens_through(plan, frames)
        frames = sizes_compared(plan, frames, battens, times)
        told = (*shared, plan_defect(plan, plan_slip))
        excluded = tuple(Exclusion(frame=f.number) for f in frames)
        return _put_together(drawn, frames, battens, told, excluded=excluded)
    refuse_too_large(plan, frames)
    found = with_found_sections(plan, frames)
    doweled = with_dowels(found.frames, plan.dowels.diameter, plan.limits)
    battens, defects = battens_through(plan, doweled.frames, found.ambiguous, found.spare)
    battens = tuple(turned_as_drawn(batten, doweled.frames) for batten in battens)
    frames = sizes_compared(plan, doweled.frames, battens)
    sheets, of_sheets = sheets_of(plan, drawn.sheets, [part for frame in frames for part in frame.parts])
    told = (
        *labels_read,
        *slips_of_several,
        *shared,
        *found.defects,
        *defects,
        *(defect for defect in of_sheets if not any(defect in own for own in whole.values())),
        *unknown(resolved(plan.order, frames, battens), frames, battens),
        *dowel_notes(doweled, Source(file=plan.file.name)),
    )
    boat = _put_together(drawn, frames, battens, told, sheets=sheets)
    boat = with_screws(plan, with_incomplete_frames(plan, boat, drawings))
    return replace(boat, defects=(*boat.defects, *coverage_notes(plan, boat.frames)))


def _reader(plan: Plan, drawings: Mapping[str, Drawing], sheets: Mapping[str, Drawing]) -> LabelReader:
    """What reads the labels of frames, with what drawings and cut sheets show of how they are written."""
    numbers = {shown: [spec.number for spec in plan.frames if spec.drawing == shown] for shown in drawings}
    every = (*drawings.values(), *sheets.values())
    return replace(
        plan.label_reader,
        titles=title_words(drawings, numbers, plan.label_reader),
        sided=any(names_both_sides(text.text for text in drawing.texts) for drawing in every),
    )


def _frames(
    plan: Plan,
    drawings: Mapping[str, Drawing],
    reader: LabelReader,
    whole: Mapping[str, tuple[Defect, ...]],
    times: float,
    laid_out: dict[object, FrameShapes],
    tell: Callable[[str], None],
) -> tuple[list[Frame], tuple[Defect, ...]]:
    """The frames from aft forward, and the note on how their labels are read.

    `whole` is what is wrong with a drawing as a whole and is its frame's, `times` how many times too large the plan's
    lengths are.
    """
    frames: list[Frame] = []
    read: list[tuple[str, str, str]] = []
    held: list[FrameShapes] = []
    for index, spec in enumerate(plan.frames):
        tell(f"frame {spec.number}")
        line = plan.line_of("frames", index)
        held.append(shapes_of(plan, spec, drawings[spec.drawing], line, reader, laid_out))
    # where a part has several labels, the other frames may tell which of them is its own
    layer_of = layers_of_names(plan, held) if any(shapes.several_labels for shapes in held) else {}
    for index, (spec, shapes) in enumerate(zip(plan.frames, held, strict=True)):
        line, drawing = plan.line_of("frames", index), drawings[spec.drawing]
        if shapes.several_labels:
            shapes = shapes_of(plan, spec, drawing, line, reader, laid_out, layer_of)
        frames.append(frame_made(plan, spec, shapes, whole[spec.drawing], line, times, drawing.unit))
        read += [(said, f"F{spec.number}", label) for said, label in shapes.read]
    frames.sort(key=lambda frame: (frame.placement.station, frame.number))
    return frames, _labels_read(plan, read)


def _put_together(
    drawn: _AsRead,
    frames: Sequence[Frame],
    battens: tuple[Batten, ...],
    defects: tuple[Defect, ...],
    *,
    sheets: tuple[CutSheet, ...] = (),
    excluded: tuple[Exclusion, ...] = (),
) -> Assembly:
    plan = drawn.plan
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
        sawn=plan.sawn,
        excluded=excluded,
        waivers=plan.waivers,
        label_reader=plan.label_reader,
        keys=plan.keys,
        plan=plan,
        edited=drawn.edited,
    )


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


def _read_by(plan: Plan) -> tuple[object, ...]:
    """What of a plan its drawings are read by."""
    return (plan.units, *plan.layers, plan.limits["outline"], _centrelines(plan))


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

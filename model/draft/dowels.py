"""The dowels of a draft: those that `dowels_proposed` finds for the frames as drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scrieve.shared.findings import Source
from scrieve.shared.limits import Limits

from ..boat.frame import Frame
from ..boat.part import Face, Part
from ..geometry.cut import as_cut
from ..proposals.dowels.dowels_proposed import with_dowels
from .lines import LinesFile
from .sketch import CORE, GUSSETS, GUSSETS_FORWARD, Sketch, SketchedShape, Stand

_ON_THE_BOARD: dict[str, Face] = {CORE: "core", GUSSETS: "forward", GUSSETS_FORWARD: "forward"}
"""The layers whose outlines have to do with dowels. Of gussets on both faces one face says it all."""


def with_dowels_laid(
    sketches: Sequence[Sketch], stands: Sequence[Stand], file: LinesFile
) -> tuple[list[Sketch], tuple[str, ...]]:
    """The frames with their dowels, and a remark on each that cannot be given any that hold it."""
    frames = [_frame(sketch, stand, file) for sketch, stand in zip(sketches, stands, strict=True)]
    laid, without, crowded = with_dowels(frames, file.dowels.diameter, Limits())
    remarks = tuple(
        f"frame {frame.number} has no dowels: no places were found for some that hold its parts"
        for frame in (*without, *crowded)
    )
    return [
        replace(sketch, dowels=tuple(dowel.at for dowel in frame.dowels))
        for sketch, frame in zip(sketches, laid, strict=True)
    ], remarks


def _frame(sketch: Sketch, stand: Stand, file: LinesFile) -> Frame:
    """What of a frame lies on the assembly board, as it will be read from its drawing."""
    low, high = stand.core
    return Frame(
        number=sketch.frame.number,
        kind=sketch.frame.kind,
        placement=stand.placement,
        core_low=low,
        core_high=high,
        parts=tuple(
            _part(shape, _ON_THE_BOARD[shape.layer], sketch, stand, file)
            for shape in sorted(sketch.shapes, key=lambda shape: shape.label)
            if shape.layer in _ON_THE_BOARD
        ),
        source=Source(file=""),
    )


def _part(shape: SketchedShape, face: Face, sketch: Sketch, stand: Stand, file: LinesFile) -> Part:
    low, high = stand.core
    plate = file.stock[file.framing.gusset].real_thickness
    return Part(
        name=f"F{sketch.frame.number} {shape.label}",
        label=shape.label,
        frame=sketch.frame.number,
        role="core" if face == "core" else "gusset",
        face=face,
        stock=file.framing.core if face == "core" else file.framing.gusset,
        density=0.0,
        drawn=shape.outline,
        shape=as_cut(shape.outline.polygon(), file.cutter.diameter),
        low=low if face == "core" else high,
        high=high if face == "core" else high + plate,
        source=Source(file=""),
    )

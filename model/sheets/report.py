"""What every finding on cut sheets is put together with: who is where, and how it is called."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from scrieve.shared.edits import Add, Edit, Relabel, Remove, Spot, Target
from scrieve.shared.findings import Finding, Level, Measure, Source, Subject
from scrieve.shared.marks import Mark
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.units import MM_PER_UNIT, PLAN_UNITS, UNIT_NAMES
from scrieve.shared.wording import listed

from ..boat.assembly import Assembly
from ..boat.cut_sheet import CutSheet, SheetShape
from ..boat.evidence import Marker, subjects
from ..boat.part import Part
from .comparison import Comparison, Differing

_WORD = re.compile(r"[^\W_]+")
_TOLD = 6  # parts that a message names before it only counts the rest


class SheetReport:
    """A boat and how its cut sheets compare with it: `whose` gives the part that each shape is, or is meant to be.

    Of the frames in `excluded`, by number, there may be shapes of parts that are not known, of those in `away` of any.
    """

    def __init__(self, assembly: Assembly, found: Comparison) -> None:
        self.assembly, self.found = assembly, found
        self.sheets = assembly.sheets
        self.limit = assembly.limits["cut_sheet"]
        self.frames = {frame.number: frame for frame in assembly.frames}
        self.excluded = {each.frame for each in assembly.excluded}
        self.away = {each.frame for each in assembly.excluded if not each.gussets}
        self.whose = {**found.pairs, **{each.shape: each.part for each in found.differing}}

    def by_sheet(self) -> Iterator[tuple[int, CutSheet, list[int]]]:
        """The sheets (and their indices) that are drawn to scale, with the shapes on each that are to be cut."""
        marks, on = set(self.found.marks), [list[int]() for _ in self.sheets]
        for shape, placed in enumerate(self.found.shapes):
            if shape not in marks:
                on[placed.sheet].append(shape)
        for index, sheet in enumerate(self.sheets):
            if self.found.factors[index] == 1.0:
                yield index, sheet, on[index]

    def may_be_aside(self, shape: int) -> bool:
        """Whether a shape may be of a frame that is left aside: no text in it names another frame of the boat."""
        if not self.excluded:
            return False
        words = {word for text in self.found.shapes[shape].shape.texts for word in _WORD.findall(text.casefold())}
        others = {number.casefold() for number in self.frames if number not in self.excluded}
        return not any(word in others or word.removeprefix("f") in others for word in words)

    def sheet_of(self, shape: int) -> CutSheet:
        """The sheet that a shape is on."""
        return self.sheets[self.found.shapes[shape].sheet]

    def called(self, shape: int) -> str:
        """The part that a shape is, or what stands for its name."""
        if shape in self.whose:
            return Name(self.found.parts[self.whose[shape]].name)
        return Sentence.of("an outline{quoted}", quoted=quoted(self.found.shapes[shape].shape))

    def taken_off(self, shape: int) -> tuple[Edit, ...]:
        """A shape taken off its sheet, with all that is in it; nothing where it is in a block."""
        if self.found.shapes[shape].shape.source.bound:
            return ()
        middle = self.found.shapes[shape].shape.region.representative_point()
        return (Remove(target=self.target(shape), at=self.spot(shape, (middle.x, middle.y))),)

    def relabelled(self, shape: int, part: int) -> tuple[Edit, ...]:
        """The one text in a shape made to read as a part is called."""
        placed = self.found.shapes[shape].shape
        if len(placed.written) != 1 or placed.written[0].bound:
            return ()
        target = replace(self.target(shape), layer=placed.written[0].layer, handles=(placed.written[0].handle,))
        return (Relabel(target=target, was=placed.texts[0], text=self.found.parts[part].name),)

    def drawn_anew(self, each: Differing, part: Part) -> tuple[Edit, ...]:
        """The outlines of a part in the place of a shape that differs from it, and its name; none if it has pockets."""
        if part.pockets:
            return ()
        target, sign = replace(self.target(each.shape), handles=()), -1.0 if each.laying.move.over else 1.0
        new = [
            Add(
                target=target,
                points=tuple(self.spot(each.shape, each.laying.move.back((y, v))) for y, v in outline.points.tolist()),
                bulges=tuple((outline.bulges * sign).tolist()),
                text=part.name if outline is part.drawn else "",
            )
            for outline in (part.drawn, *part.holes)
        ]
        off = self.taken_off(each.shape)
        return (*off, *new) if off else ()

    def target(self, shape: int) -> Target:
        """A shape as what an edit changes."""
        source = self.found.shapes[shape].shape.source
        return Target(
            name=str(self.called(shape)), frame="", file=source.file, layer=source.layer,
            unit=self.sheet_of(shape).unit, handles=(source.handle, *source.others),
        )  # fmt: skip

    def spot(self, shape: int, at: tuple[float, float]) -> Spot:
        """A place on a sheet in its own unit."""
        scale = MM_PER_UNIT[self.sheet_of(shape).unit] * self.found.factors[self.found.shapes[shape].sheet]
        return at[0] / scale, at[1] / scale

    def where(self, shape: int) -> Sentence:
        """ "on the cut sheet s.dxf at u 120.0, v 30.0": the middle of a shape, as drawn there."""
        placed = self.found.shapes[shape]
        centre = placed.shape.region.centroid
        factor = self.found.factors[placed.sheet]
        return Sentence.of(
            "on the cut sheet {sheet} at {place}",
            sheet=self.sheet_of(shape),
            place=at((centre.x / factor, centre.y / factor)),
        )

    def finding(
        self,
        message: str,
        *,
        cure: str = "",
        level: Level = Level.ERROR,
        parts: Sequence[Part] = (),
        sheets: Sequence[CutSheet] = (),
        at: tuple[float, float, float] | None = None,
        measure: Measure | None = None,
        evidence: Sequence[Mark] = (),
        edits: tuple[Edit, ...] = (),
        source: Source,
    ) -> Finding:
        """A finding of this check; of parts of one frame it is that frame's, and lies in the middle of the first."""
        numbers = {part.frame for part in parts}
        frame = numbers.pop() if len(numbers) == 1 else ""
        if at is None and frame:
            centre = parts[0].shape.centroid
            at = self.frames[frame].placement.point(centre.x, centre.y, (parts[0].low + parts[0].high) / 2)
            marker = Marker(frame=self.frames[frame])
            evidence = [line for part in parts[:_TOLD] for line in marker.outlines(part)]
        return Finding(
            check="cut-sheet",
            level=level,
            message=message,
            frame=frame,
            at=at,
            cure=cure,
            edits=edits,
            source=source,
            subjects=subjects(*parts, *(Subject(kind="sheet", name=sheet.name) for sheet in sheets)),
            measure=measure,
            evidence=tuple(evidence),
        )


def at(point: tuple[float, float]) -> Name:
    """A place on a sheet, in the drawing's own axes: "u 120.0, v 30.0"."""
    return Name(f"u {round(point[0], 1) + 0.0:.1f}, v {round(point[1], 1) + 0.0:.1f}")


def quoted(shape: SheetShape) -> Name:
    """What is written in a shape, in quotes after a space; empty where nothing is."""
    return Name(f' "{" ".join(shape.texts)}"' if shape.texts else "")


def listed_parts(parts: Sequence[Part]) -> str:
    """The names of parts, past a few only how many more there are."""
    names = sorted(part.name for part in parts)
    if len(names) <= _TOLD:
        return listed(names)
    return Name(f"{', '.join(names[:_TOLD])} and {len(names) - _TOLD} more")


def counted(things: Sequence[object] | int) -> Quantity:
    """How many there are."""
    count = things if isinstance(things, int) else len(things)
    return Quantity.of(count, str(count))


def are(things: Sequence[object]) -> str:
    """ "is" of one thing, "are" of several."""
    return "is" if len(things) == 1 else "are"


def off_by(factor: float) -> Sentence:
    """ "25.4 times too small": `factor` is what would put it right."""
    return _factor("{times} times too small" if factor > 1 else "{times} times too large", factor)


def times(factor: float) -> Sentence:
    """ "25.4 times as large": what is to be done."""
    return _factor("{times} times as large" if factor > 1 else "{times} times smaller", factor)


def _factor(template: str, factor: float) -> Sentence:
    above = factor if factor > 1 else 1 / factor
    return Sentence.of(template, times=Quantity.of(above, f"{above:.6g}"))


def scaling(factor: float) -> Measure:
    """What is `factor` times too small, or too large, as a measure."""
    return Measure(
        value=factor,
        limit=1.0,
        unit="times",
        sense="most" if factor > 1 else "least",
        words="{value} times its size",
    )


def unit_meant(unit: str, factor: float) -> str:
    """The unit that the numbers of a drawing read in `unit` are in; empty where the factor is between no units."""
    wanted = MM_PER_UNIT[unit] * factor
    return next((name for name in PLAN_UNITS if abs(MM_PER_UNIT[name] / wanted - 1) < 1e-9), "")


def read_as(unit: str, factor: float) -> str:
    """ ": inches read as mm?"; empty where the factor is between no units."""
    meant = unit_meant(unit, factor)
    return Sentence.of(": {meant} read as {unit}?", meant=UNIT_NAMES[meant], unit=unit) if meant else ""

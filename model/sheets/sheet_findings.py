"""What is wrong with a cut sheet as a whole: its units, its stock, what lies too close or off it; and notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level, Measure, Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.units import UNIT_NAMES
from scrieve.shared.wording import at_least, joined, mm

from ..boat.part import Part
from .layout import larger_than_stock, past_edge, past_size, too_close, use
from .pocketing import pocket_faults
from .report import SheetReport, are, at, counted, listed_parts, off_by, read_as, scaling, times, unit_meant


def scaled_sheets(report: SheetReport) -> Iterator[Finding]:
    """A finding for each sheet that is drawn in other units than it is read in, or otherwise scaled."""
    for sheet, factor in zip(report.sheets, report.found.factors, strict=True):
        if factor == 1.0:
            continue
        cure = Sentence.of("draw it {times}", times=times(factor))
        if unit := unit_meant(sheet.unit, factor):
            has = (
                "has no unit of its own"
                if sheet.unit_assumed
                else Sentence.of("says that its unit is {unit}", unit=sheet.unit)
            )
            cure = Sentence.of(
                "the drawing {has}: set its unit to {meant}, or draw it in {unit}",
                has=has,
                meant=UNIT_NAMES[unit],
                unit=UNIT_NAMES[sheet.unit],
            )
        yield report.finding(
            Sentence.of(
                "everything on the cut sheet {sheet} is {off}{read}",
                sheet=sheet,
                off=off_by(factor),
                read=read_as(sheet.unit, factor),
            ),
            sheets=[sheet],
            measure=scaling(factor),
            cure=cure,
            source=Source(file=sheet.name),
        )


def pocket_findings(report: SheetReport) -> Iterator[Finding]:
    """The findings of the shapes whose pockets are not those of their parts."""
    for shape, index in sorted(report.found.pairs.items()):
        part, placed = report.found.parts[index], report.found.shapes[shape]
        if report.found.factors[placed.sheet] != 1.0:
            continue
        for fault in pocket_faults(part, placed.shape, report.limit):
            yield report.finding(
                Sentence.of("{said}, {where}", said=fault.says, where=report.where(shape)),
                parts=[part],
                sheets=[report.sheet_of(shape)],
                measure=fault.measure,
                cure=fault.cure,
                source=placed.shape.source,
            )


def other_stock(report: SheetReport) -> Iterator[Finding]:
    """A finding for each stock of which parts lie on a sheet of another."""
    strangers: dict[tuple[int, str], list[Part]] = defaultdict(list)
    for shape, part in report.found.pairs.items():
        on = report.found.shapes[shape].sheet
        if report.found.parts[part].stock != report.sheets[on].stock:
            strangers[on, report.found.parts[part].stock].append(report.found.parts[part])
    for (index, stock), parts in sorted(strangers.items()):
        sheet = report.sheets[index]
        held = sum(placed.sheet == index for placed in report.found.shapes)
        whole = len(parts) == held
        named = (
            Sentence.of("all the {count} parts on it are", count=counted(held))
            if whole and held > 1
            else Sentence.of("{parts} {are}", parts=listed_parts(parts), are=are(parts))
        )
        yield report.finding(
            Sentence.of(
                "the cut sheet {sheet} is of {its}, and {parts} of {stock}",
                sheet=sheet,
                its=Name(sheet.stock),
                parts=named,
                stock=Name(stock),
            ),
            parts=parts,
            sheets=[sheet],
            edits=report.assembly.keys.set(sheet.source, "stock", stock) if whole else (),
            cure=(
                Sentence.of('give it stock = "{stock}" in the plan, if that is what it is cut of', stock=Name(stock))
                if whole
                else Sentence.of(
                    "move {them} to a sheet of {stock}", them="it" if len(parts) == 1 else "them", stock=Name(stock)
                )
            ),
            source=sheet.source,
        )


def crowded(report: SheetReport) -> Iterator[Finding]:
    """A finding for each sheet on which shapes overlap or lie closer than the cutter is wide."""
    cutter = report.assembly.cutter_diameter
    for _, sheet, shapes in report.by_sheet():
        close = too_close([report.found.shapes[shape].shape for shape in shapes], cutter)
        if not close:
            continue
        first = close[0]
        pairs = [(shapes[each.one], shapes[each.other]) for each in close]
        one, other = (report.called(shape) for shape in pairs[0])
        lie = (
            Sentence.of("overlap by {depth}", depth=mm(-first.apart))
            if first.apart < 0
            else Sentence.of("lie {gap} apart", gap=mm(first.apart, cutter))
        )
        more = Sentence.of("; so do {count} more pairs, or less so", count=counted(len(close) - 1))
        wanted = Sentence.of(
            ", the cutter of {cutter} has to pass between them", cutter=Quantity.of(cutter, f"{cutter:g} mm")
        )
        yield report.finding(
            Sentence.of(
                "{one} and {other} {lie} on the cut sheet {sheet}, at {place}{wanted}{more}",
                one=one,
                other=other,
                lie=lie,
                sheet=sheet,
                place=at(first.at),
                wanted=wanted if cutter else "",
                more="" if len(close) == 1 else more,
            ),
            parts=[report.found.parts[report.whose[s]] for pair in pairs for s in pair if s in report.whose],
            sheets=[sheet],
            measure=Measure(value=first.apart, limit=cutter, sense="least"),
            cure=Sentence.of("move one of them away by {by} or more", by=at_least(cutter - first.apart)),
            source=report.found.shapes[pairs[0][0]].shape.source,
        )


def off_the_sheet(report: SheetReport) -> Iterator[Finding]:
    """A finding for each sheet that does not hold what is drawn on it, and one for each drawn too large."""
    for index, sheet, shapes in report.by_sheet():
        on_it = [report.found.shapes[shape].shape for shape in shapes]
        if over := past_edge(sheet, on_it):
            worst, by = over[0]
            outside = [shapes[n] for n, _ in over]
            more = Sentence.of("; {count} more reach past it too", count=counted(len(over) - 1))
            yield report.finding(
                Sentence.of(
                    "{part} reaches {by} past the edge of the cut sheet {sheet}{more}",
                    part=report.called(shapes[worst]),
                    by=mm(by, 0.0),
                    sheet=sheet,
                    more="" if len(over) == 1 else more,
                ),
                parts=[report.found.parts[report.whose[shape]] for shape in outside if shape in report.whose],
                sheets=[sheet],
                measure=Measure(value=by, limit=0.0),
                cure=Sentence.of("move it in by {by} or more", by=at_least(by)),
                source=on_it[worst].source,
            )
        if by := past_size(sheet, on_it):
            yield report.finding(
                Sentence.of(
                    "the parts on the cut sheet {sheet} take {by} more than a sheet of {stock}, {size}, has room for",
                    sheet=sheet,
                    by=mm(by, 0.0),
                    stock=Name(sheet.stock),
                    size=_size(sheet.size),
                ),
                sheets=[sheet],
                measure=Measure(value=by, limit=0.0),
                cure="move them closer, or some of them to another sheet",
                source=Source(file=sheet.name),
            )
        if report.found.factors[index] == 1.0 and (drawn := larger_than_stock(sheet)) is not None:
            yield report.finding(
                Sentence.of(
                    "the edge of the cut sheet {sheet} is drawn {drawn}, and {stock} is {size}",
                    sheet=sheet,
                    drawn=_size(drawn),
                    stock=Name(sheet.stock),
                    size=_size(sheet.size),
                ),
                level=Level.WARNING,
                sheets=[sheet],
                cure="draw the sheet as it is bought, or correct the stock's size in the plan",
                source=Source(file=sheet.name),
            )


def _size(size: tuple[float, float] | None) -> Name:
    long, wide = size or (0.0, 0.0)
    return Name(f"{long:g} x {wide:g} mm")


def notes(report: SheetReport) -> Iterator[Finding]:
    """How much of each sheet is used, and what was taken for no part."""
    shares = []
    used = []
    for _, sheet, shapes in report.by_sheet():
        share = use(sheet, [report.found.shapes[shape].shape for shape in shapes])
        said = "size not known" if share is None else Quantity.of(100 * share, f"{100 * share:.0f} %")
        shares.append(Sentence.of("{sheet} ({stock}) {share}", sheet=sheet, stock=Name(sheet.stock), share=said))
        used.append(sheet)
    if shares:
        yield report.finding(
            Sentence.of("parts take up of the cut sheets: {shares}", shares=joined(shares, "; ", "; ")),
            level=Level.NOTE,
            sheets=used,
            source=report.assembly.source,
        )
    left: dict[tuple[int, str], int] = defaultdict(int)
    for shape in report.found.marks:
        left[report.found.shapes[shape].sheet, report.found.shapes[shape].shape.layer] += 1
    for (index, layer), count in sorted(left.items()):
        yield report.finding(
            Sentence.of(
                "{outlines} on layer {layer} of the cut sheet {sheet} {are} taken for marks: no part is on that layer",
                outlines=Quantity.of(count, "1 outline" if count == 1 else f"{count} outlines"),
                layer=Name(layer),
                sheet=report.sheets[index],
                are=are([None] * count),
            ),
            level=Level.NOTE,
            sheets=[report.sheets[index]],
            source=Source(file=report.sheets[index].name),
        )

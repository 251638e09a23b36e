"""What is wrong with a cut sheet as a whole: its units, its stock, what lies too close or off it; and notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level, Source
from scrieve.shared.units import UNIT_NAMES

from ..part import Part
from ..wording import at_least, mm
from .layout import larger_than_stock, past_edge, past_size, too_close, use
from .report import Report, are, at, off_by, read_as, times, told, unit_meant


def scaled_sheets(report: Report) -> Iterator[Finding]:
    """A finding for each sheet that is drawn in other units than it is read in, or otherwise scaled."""
    for sheet, factor in zip(report.sheets, report.found.factors, strict=True):
        if factor == 1.0:
            continue
        cure = f"draw it {times(factor)}"
        if unit := unit_meant(sheet.unit, factor):
            has = "has no unit of its own" if sheet.unit_assumed else f"says that its unit is {sheet.unit}"
            cure = f"the drawing {has}: set its unit to {UNIT_NAMES[unit]}, or draw it in {UNIT_NAMES[sheet.unit]}"
        yield report.finding(
            f"everything on the cut sheet {sheet.name} is {off_by(factor)}{read_as(sheet.unit, factor)}",
            measured=factor,
            limit=1.0,
            unit="times",
            cure=cure,
            source=Source(file=sheet.name),
        )


def other_stock(report: Report) -> Iterator[Finding]:
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
        named = f"all the {held} parts on it are" if whole and held > 1 else f"{told(parts)} {are(parts)}"
        yield report.finding(
            f"the cut sheet {sheet.name} is of {sheet.stock}, and {named} of {stock}",
            parts=parts,
            cure=(
                f'give it stock = "{stock}" in the plan, if that is what it is cut of'
                if whole
                else f"move {'it' if len(parts) == 1 else 'them'} to a sheet of {stock}"
            ),
            source=sheet.source,
        )


def crowded(report: Report) -> Iterator[Finding]:
    """A finding for each sheet on which shapes overlap or lie closer than the cutter is wide."""
    cutter = report.assembly.cutter_diameter
    for _, sheet, shapes in report.by_sheet():
        close = too_close([report.found.shapes[shape].shape for shape in shapes], cutter)
        if not close:
            continue
        first = close[0]
        pairs = [(shapes[each.one], shapes[each.other]) for each in close]
        one, other = (report.called(shape) for shape in pairs[0])
        lie = f"overlap by {mm(-first.apart)}" if first.apart < 0 else f"lie {mm(first.apart, cutter)} apart"
        more = "" if len(close) == 1 else f"; so do {len(close) - 1} more pairs, or less so"
        wanted = f", the cutter of {cutter:g} mm has to pass between them" if cutter else ""
        yield report.finding(
            f"{one} and {other} {lie} on the cut sheet {sheet.name}, at {at(first.at)}{wanted}{more}",
            parts=[report.found.parts[report.whose[s]] for pair in pairs for s in pair if s in report.whose],
            measured=first.apart,
            limit=cutter,
            unit="mm",
            cure=f"move one of them away by {at_least(cutter - first.apart)} or more",
            source=report.found.shapes[pairs[0][0]].shape.source,
        )


def off_the_sheet(report: Report) -> Iterator[Finding]:
    """A finding for each sheet that does not hold what is drawn on it, and one for each drawn too large."""
    for index, sheet, shapes in report.by_sheet():
        on_it = [report.found.shapes[shape].shape for shape in shapes]
        if over := past_edge(sheet, on_it):
            worst, by = over[0]
            outside = [shapes[n] for n, _ in over]
            more = "" if len(over) == 1 else f"; {len(over) - 1} more reach past it too"
            yield report.finding(
                f"{report.called(shapes[worst])} reaches {mm(by, 0.0)} past the edge of the cut sheet "
                f"{sheet.name}{more}",
                parts=[report.found.parts[report.whose[shape]] for shape in outside if shape in report.whose],
                measured=by,
                limit=0.0,
                unit="mm",
                cure=f"move it in by {at_least(by)} or more",
                source=on_it[worst].source,
            )
        if by := past_size(sheet, on_it):
            long, wide = sheet.size or (0.0, 0.0)
            yield report.finding(
                f"the parts on the cut sheet {sheet.name} take {mm(by, 0.0)} more than a sheet of {sheet.stock}, "
                f"{long:g} x {wide:g} mm, has room for",
                measured=by,
                limit=0.0,
                unit="mm",
                cure="move them closer, or some of them to another sheet",
                source=Source(file=sheet.name),
            )
        if report.found.factors[index] == 1.0 and (drawn := larger_than_stock(sheet)) is not None:
            long, wide = sheet.size or (0.0, 0.0)
            yield report.finding(
                f"the edge of the cut sheet {sheet.name} is drawn {drawn[0]:g} x {drawn[1]:g} mm, and "
                f"{sheet.stock} is {long:g} x {wide:g} mm",
                level=Level.WARNING,
                cure="draw the sheet as it is bought, or correct the stock's size in the plan",
                source=Source(file=sheet.name),
            )


def notes(report: Report) -> Iterator[Finding]:
    """How much of each sheet is used, and what was taken for no part."""
    shares = []
    for _, sheet, shapes in report.by_sheet():
        share = use(sheet, [report.found.shapes[shape].shape for shape in shapes])
        said = "size not known" if share is None else f"{100 * share:.0f} %"
        shares.append(f"{sheet.name} ({sheet.stock}) {said}")
    if shares:
        yield report.finding(
            f"parts take up of the cut sheets: {'; '.join(shares)}",
            level=Level.NOTE,
            source=report.assembly.source,
        )
    left: dict[tuple[int, str], int] = defaultdict(int)
    for shape in report.found.marks:
        left[report.found.shapes[shape].sheet, report.found.shapes[shape].shape.layer] += 1
    for (index, layer), count in sorted(left.items()):
        what = "1 outline" if count == 1 else f"{count} outlines"
        yield report.finding(
            f"{what} on layer {layer} of the cut sheet {report.sheets[index].name} {are([None] * count)} taken for "
            "marks: no part is on that layer",
            level=Level.NOTE,
            source=Source(file=report.sheets[index].name),
        )

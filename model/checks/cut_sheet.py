"""Check `cut-sheet`: the cut sheets do not hold every part once, in its stock, form and size, clear of the others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level

from ..assembly import Assembly
from ..part import Part
from ..sheets.comparison import Differing
from ..sheets.copies import Copy, without_copies
from ..sheets.report import Report, at, off_by, quoted, read_as, times, told
from ..sheets.sheet_findings import crowded, notes, off_the_sheet, other_stock, scaled_sheets
from ..wording import listed, mm, place
from .check import Check, Page

_MOST_TOLD = 8  # outlines of no part on one layer that are told one by one
_TAKE_OFF = "take it off the sheet, or draw it on a layer of its own if it is a mark"
_DRAW_SHEETS = "draw the sheets that are wanted, and name them under [[cut_sheets]] in the plan"


def check(assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with the cut sheets; nothing where the plan names none."""
    if not assembly.sheets:
        return
    boat, found, copies = without_copies(assembly)
    report = Report(boat, found)
    yield from (_copy(report, copy) for copy in copies)
    for kind in (
        scaled_sheets,
        _missing,
        _surplus,
        _differing,
        _left_open,
        other_stock,
        _other_names,
        crowded,
        off_the_sheet,
        notes,
    ):
        yield from kind(report)


def _copy(report: Report, copy: Copy) -> Finding:
    if copy.sheet.name == copy.other.name:
        message = f"the cut sheet {copy.sheet.name} is named twice under [[cut_sheets]]"
        cure = "take one of the two entries out of the plan"
    else:
        message = f"the cut sheet {copy.sheet.name} holds the same as {copy.other.name}"
        cure = "take one of the two out of the plan"
    stocks = sorted({copy.sheet.stock, copy.other.stock})
    stock = f", of {' and of '.join(stocks)}" if len(stocks) > 1 else ""
    often = f": {copy.often} parts on it would be cut once too often" if copy.often > 1 else ""
    return report.finding(f"{message}{stock}{often}", cure=cure, source=copy.sheet.source)


def _missing(report: Report) -> Iterator[Finding]:
    """A finding for each part on no sheet; one for all of a stock or of a frame where they are all missing.

    None of frames that are left aside.
    """
    left = [report.found.parts[part] for part in report.found.missing]
    left = [part for part in left if part.frame not in report.away]
    for stock in sorted({part.stock for part in left}):
        gone = [part for part in left if part.stock == stock]
        if 1 < len(gone) == sum(part.stock == stock for part in report.found.parts):
            left = [part for part in left if part.stock != stock]
            message = f"no part of {stock} is on the cut sheets: {len(gone)} are missing"
            yield report.finding(message, parts=gone, cure=_DRAW_SHEETS, source=report.sheets[0].source)
    for frame in report.assembly.frames:
        gone = [part for part in left if part.frame == frame.number]
        if 1 < len(gone) == len(frame.parts):
            left = [part for part in left if part.frame != frame.number]
            message = f"no part of {frame.name} is on the cut sheets: {len(gone)} are missing"
            yield report.finding(message, parts=gone, cure=_DRAW_SHEETS, source=frame.source)
    for part in left:
        yield _on_no_sheet(report, part)


def _on_no_sheet(report: Report, part: Part) -> Finding:
    index = report.found.parts.index(part)
    others = {other for fitting in report.found.fits.values() if index in fitting for other in fitting}
    there = sum(other in others for other in report.found.pairs.values())
    but = f": {len(others)} of its form are wanted and {there} {'is' if there == 1 else 'are'} there" if others else ""
    return report.finding(
        f"{part.name} is on no cut sheet{but}",
        parts=[part],
        cure=f"draw it on a sheet of {part.stock}",
        source=part.source,
    )


def _surplus(report: Report) -> Iterator[Finding]:
    """A finding for each part whose form is on the sheets too often, and for each shape of no part's form."""
    often: dict[int, list[int]] = defaultdict(list)
    strange: dict[tuple[int, str], list[int]] = defaultdict(list)
    for shape in report.found.surplus:
        if report.may_be_aside(shape):
            continue
        fitting = report.found.fits.get(shape)
        placed = report.found.shapes[shape]
        if not fitting:
            if placed.meant:
                yield _of_no_part(report, shape)
            else:
                strange[placed.sheet, placed.shape.layer].append(shape)
            continue
        named = report.found.shapes[shape].meant & fitting
        often[min(named or fitting)].append(shape)
    for (_, layer), shapes in sorted(strange.items()):
        if len(shapes) <= _MOST_TOLD:
            yield from (_of_no_part(report, shape) for shape in shapes)
        else:
            yield report.finding(
                f"{len(shapes)} outlines on layer {layer} are of no part, the first of them {report.where(shapes[0])}",
                cure=_TAKE_OFF,
                source=report.found.shapes[shapes[0]].shape.source,
            )
    for index, shapes in sorted(often.items()):
        part = report.found.parts[index]
        alike = report.found.fits[shapes[0]]
        wanted = len(alike)
        if len(report.found.shapes[shapes[0]].meant & alike) == 1 or wanted == 1:
            wanted = 1
        of = "of its form " if wanted > 1 else ""
        first = report.found.shapes[shapes[0]]
        yield report.finding(
            f"{part.name} is on the cut sheets too often: {wanted + len(shapes)} {of}are there, "
            f"{wanted} {'is' if wanted == 1 else 'are'} wanted; one too many is {report.where(shapes[0])}",
            parts=[part],
            measured=float(wanted + len(shapes)),
            limit=float(wanted),
            cure=f"take {len(shapes) if len(shapes) > 1 else 'it'} off the sheet",
            source=first.shape.source,
        )


def _of_no_part(report: Report, shape: int) -> Finding:
    placed = report.found.shapes[shape]
    said = quoted(placed.shape)
    message = f"an outline{said} {report.where(shape)} is of no part"
    named = [report.found.parts[part] for part in sorted(placed.meant)]
    if named:
        message += f": it has not the form of {told(named)}, which is on the sheets besides"
    return report.finding(
        message,
        parts=named,
        cure=_TAKE_OFF,
        source=placed.shape.source,
    )


def _differing(report: Report) -> Iterator[Finding]:
    """A finding for each shape that is a part's but for a difference or its scale."""
    for each in report.found.differing:
        part = report.found.parts[each.part]
        yield _scaled(report, each, part) if each.factor != 1.0 else _differs(report, each, part)


def _scaled(report: Report, each: Differing, part: Part) -> Finding:
    sheet = report.sheets[report.found.shapes[each.shape].sheet]
    return report.finding(
        f"{part.name} is {off_by(each.factor)}, {report.where(each.shape)}{read_as(sheet.unit, each.factor)}",
        parts=[part],
        measured=each.factor,
        limit=1.0,
        unit="times",
        cure=f"draw it {times(each.factor)}",
        source=report.found.shapes[each.shape].shape.source,
    )


def _differs(report: Report, each: Differing, part: Part) -> Finding:
    shape = report.found.shapes[each.shape].shape
    laying = each.laying
    there = laying.move.back(laying.at)
    frame = report.frames[part.frame]
    return report.finding(
        f"{part.name} has another form on the cut sheet {report.sheet_of(each.shape).name} than in its frame: they "
        f"differ by {mm(laying.off, report.limit)} at {place(*laying.at)}, on the sheet at {at(there)}, up to "
        f"{mm(report.limit, laying.off)} is allowed",
        parts=[part],
        at=frame.placement.point(*laying.at, (part.low + part.high) / 2),
        measured=laying.off,
        limit=report.limit,
        unit="mm",
        cure="copy it onto the sheet anew from the frame's drawing, if that is the right one",
        source=shape.source,
    )


def _left_open(report: Report) -> Iterator[Finding]:
    """A finding for each part whose outline on the sheet does not close."""
    allowed = report.assembly.limits["outline"]
    for shape, part in sorted(report.found.pairs.items()):
        placed = report.found.shapes[shape]
        if placed.shape.gap > allowed and report.found.factors[placed.sheet] == 1.0:
            yield report.finding(
                f"the outline of {report.found.parts[part].name} {report.where(shape)} is left open by "
                f"{mm(placed.shape.gap, allowed)}",
                parts=[report.found.parts[part]],
                measured=placed.shape.gap,
                limit=allowed,
                unit="mm",
                cure=f"close the gap of {mm(placed.shape.gap)}",
                source=placed.shape.source,
            )


def _other_names(report: Report) -> Iterator[Finding]:
    """A finding for each outline with the name of another part in it; one where two have changed names."""
    wrong = {
        shape: part
        for shape, part in report.found.pairs.items()
        if (meant := report.found.shapes[shape].meant) and part not in meant
    }
    told: set[int] = set()
    for shape, part in sorted(wrong.items(), key=lambda pair: report.found.parts[pair[1]].name):
        placed = report.found.shapes[shape]
        if shape in told:
            continue
        back = [s for s, p in wrong.items() if p in placed.meant and part in report.found.shapes[s].meant]
        told |= {shape, *back}
        names = [report.found.parts[part], *(report.found.parts[wrong[s]] for s in back)]
        same = any(meant in report.found.fits[shape] for meant in placed.meant)
        message = f"the outline{quoted(placed.shape)} {report.where(shape)} has the form of {names[0].name}"
        if back and back[0] != shape:
            message = f"{listed(p.name for p in names)} have changed names on the cut sheets: {message}"
        elif same:
            message = f"the outline{quoted(placed.shape)} {report.where(shape)} is one too many of that name, and "
            message += f"none is called {names[0].name}, which has the same form"
        yield report.finding(
            message,
            level=Level.WARNING if same else Level.ERROR,
            parts=names,
            cure=f'write "{names[0].name}" in it',
            source=placed.shape.source,
        )


CHECK = Check(
    slug="cut-sheet",
    title="The cut sheets do not hold what the boat is made of",
    level=Level.ERROR,
    limits=("cut_sheet",),
    page=Page(
        looks_at=(
            "The drawings that the plan names under [[cut_sheets]], all layers of them, against every part of every "
            "frame. A part is known on a sheet by its outline, turned and turned over as it may be: either face may "
            "be up. A plate drawn once for both faces is wanted twice. Parts of the same form may stand for one "
            "another; a text in an outline says which is meant, and is reported where the outline is another's. "
            "Corners rounded or relieved for the cutter are no difference. Reported are parts that are on no sheet or "
            "too often, outlines that are of no part, parts on a sheet of other stock, parts or whole sheets of "
            "another size or form than in the frames, parts that lie closer together than the cutter is wide, and "
            "parts past the edge of the sheet: the rectangle drawn around them, or where there is none the stock's "
            "size. A sheet that is in the plan twice is told once, unless its parts are wanted twice. A note says how "
            "much of each sheet is used."
        ),
        matters=(
            "The machine cuts what is on the sheets, not what is in the frames' drawings. A part forgotten stops the "
            "work for want of a sheet; an old version of one left on the sheet fits nothing; a sheet in inches that "
            "is read as millimetres comes out the size of a postcard."
        ),
        limit=(
            "cut_sheet, 0.05 mm: two outlines that lie no further apart than that anywhere are the same. Common "
            "practice, no source: what drawing programs lose by rounding is far less, what a machine repeats to is "
            "more. Parts have to lie the cutter's diameter apart, and may touch the edge of the sheet."
        ),
        cure=(
            "Copy the part that is named onto the sheet anew from its frame's drawing. Where a whole sheet is off by "
            "one factor set the unit of the drawing; where all of a sheet is of other stock correct the plan."
        ),
    ),
    on_boat=check,
)

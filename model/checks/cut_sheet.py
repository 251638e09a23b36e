"""Check `cut-sheet`: the cut sheets do not hold every part once, in its stock, form and size, clear of the others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Mark
from scrieve.shared.names import is_settled
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import listed, mm, place

from ..boat.assembly import Assembly
from ..boat.cut_sheet import SheetShape
from ..boat.evidence import Marker, seen_face
from ..boat.part import Part, drawn_polygon
from ..sheets.comparison import Differing
from ..sheets.copies import Copy, without_copies
from ..sheets.report import SheetReport, at, counted, listed_parts, off_by, quoted, read_as, scaling, times
from ..sheets.sheet_findings import crowded, notes, off_the_sheet, other_stock, pocket_findings, scaled_sheets
from .check import Check, Page

_MOST_TOLD = 8  # outlines of no part on one layer that are told one by one
_TAKE_OFF = "take it off the sheet, or draw it on a layer of its own if it is a mark"
_DRAW_SHEETS = "draw the sheets that are wanted, and name them under [[cut_sheets]] in the plan"


def check(assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with the cut sheets; nothing where the plan names none."""
    if not assembly.sheets:
        return
    boat, found, copies = without_copies(assembly)
    report = SheetReport(boat, found)
    yield from (_copy(report, copy) for copy in copies)
    for kind in (
        scaled_sheets,
        _of_another_form,
        _missing,
        _surplus,
        _differing,
        pocket_findings,
        _left_open,
        other_stock,
        _other_names,
        crowded,
        off_the_sheet,
        notes,
    ):
        yield from kind(report)


def _copy(report: SheetReport, copy: Copy) -> Finding:
    if copy.sheet.name == copy.other.name:
        what = Sentence.of("the cut sheet {sheet} is named twice under [[cut_sheets]]", sheet=copy.sheet)
        cure = "take one of the two entries out of the plan"
    else:
        what = Sentence.of("the cut sheet {sheet} holds the same as {other}", sheet=copy.sheet, other=copy.other)
        cure = "take one of the two out of the plan"
    stocks = sorted({copy.sheet.stock, copy.other.stock})
    often = Sentence.of(": {count} parts on it would be cut once too often", count=counted(copy.often))
    return report.finding(
        Sentence.of(
            "{what}{stock}{often}",
            what=what,
            stock=Name(f", of {' and of '.join(stocks)}" if len(stocks) > 1 else ""),
            often=often if copy.often > 1 else "",
        ),
        sheets=[copy.sheet, copy.other],
        cure=cure,
        edits=report.assembly.keys.without(copy.sheet.source, sure=copy.sheet.name == copy.other.name),
        source=copy.sheet.source,
    )


def _taken_for(report: SheetReport) -> dict[int, int]:
    """For each shape too many with the form of other parts than the one it names the part that it names, if missing."""
    out: dict[int, int] = {}
    for shape in report.found.surplus:
        meant, fitting = report.found.shapes[shape].meant, report.found.fits.get(shape)
        if fitting and len(meant) == 1 and not meant & fitting and meant <= set(report.found.missing):
            out[shape] = min(meant)
    return {shape: part for shape, part in out.items() if list(out.values()).count(part) == 1}


def _of_another_form(report: SheetReport) -> Iterator[Finding]:
    """A finding for each shape that names a part which is on no sheet, and has the form of another that is."""
    for shape, index in sorted(_taken_for(report).items()):
        part, other = report.found.parts[index], report.found.parts[min(report.found.fits[shape])]
        placed = report.found.shapes[shape]
        yield report.finding(
            Sentence.of(
                "the outline{said} {where} has the form of {other}; {part} is on no cut sheet",
                said=quoted(placed.shape), where=report.where(shape), other=other, part=part,
            ),
            parts=[part, other],
            sheets=[report.sheet_of(shape)],
            cure=Sentence.of("draw {part} in its place, as in its frame", part=part),
            source=placed.shape.source,
        )  # fmt: skip


def _missing(report: SheetReport) -> Iterator[Finding]:
    """A finding for each part on no sheet; one for all of a stock or of a frame where they are all missing.

    None of frames that are left aside; a note where the stock is sawn timber.
    """
    mistaken = set(_taken_for(report).values())
    left = [report.found.parts[part] for part in report.found.missing if part not in mistaken]
    left = [part for part in left if part.frame not in report.away]
    for stock in sorted({part.stock for part in left}):
        gone = [part for part in left if part.stock == stock]
        if stock in report.assembly.sawn:
            left = [part for part in left if part.stock != stock]
            yield _sawn(report, stock, gone)
        elif 1 < len(gone) == sum(part.stock == stock for part in report.found.parts):
            left = [part for part in left if part.stock != stock]
            yield report.finding(
                _all_missing(stock, gone), parts=gone, cure=_DRAW_SHEETS, source=report.sheets[0].source
            )
    for frame in report.assembly.frames:
        gone = [part for part in left if part.frame == frame.number]
        if 1 < len(gone) == sum(part.stock not in report.assembly.sawn for part in frame.parts):
            left = [part for part in left if part.frame != frame.number]
            yield report.finding(_all_missing(frame.name, gone), parts=gone, cure=_DRAW_SHEETS, source=frame.source)
    for part in left:
        yield _on_no_sheet(report, part)


def _sawn(report: SheetReport, stock: str, gone: Sequence[Part]) -> Finding:
    several = Sentence.of("{count} parts of {stock} are", count=counted(gone), stock=Name(stock))
    one = Sentence.of("{part}, of {stock}, is", part=gone[0], stock=Name(stock))
    return report.finding(
        Sentence.of(
            "{parts} on no cut sheet: {stock} is taken for sawn timber",
            parts=several if len(gone) > 1 else one, stock=Name(stock),
        ),
        level=Level.NOTE,
        parts=gone,
        cure=Sentence.of("if it is cut from sheets, set sheets = true under [stock.{stock}]", stock=Name(stock)),
        source=report.sheets[0].source,
    )  # fmt: skip


def _all_missing(whose: str, gone: Sequence[Part]) -> Sentence:
    return Sentence.of(
        "no part of {whose} is on the cut sheets: {count} are missing", whose=Name(whose), count=counted(gone)
    )


def _on_no_sheet(report: SheetReport, part: Part) -> Finding:
    index = report.found.parts.index(part)
    others = {other for fitting in report.found.fits.values() if index in fitting for other in fitting}
    there = sum(other in others for other in report.found.pairs.values())
    but = Sentence.of(
        ": {wanted} of its form are wanted and {there} {are} there",
        wanted=counted(len(others)),
        there=counted(there),
        are="is" if there == 1 else "are",
    )
    return report.finding(
        Sentence.of("{part} is on no cut sheet{but}", part=part, but=but if others else ""),
        parts=[part],
        measure=None if others else Measure(value=0.0, limit=1.0, unit="", sense="least", words="on no cut sheet"),
        cure=Sentence.of("draw it on a sheet of {stock}", stock=Name(part.stock)),
        source=part.source,
    )


def _surplus(report: SheetReport) -> Iterator[Finding]:
    """A finding for each part whose form is on the sheets too often, and for each shape of no part's form."""
    often: dict[int, list[int]] = defaultdict(list)
    strange: dict[tuple[int, str], list[int]] = defaultdict(list)
    mistaken = _taken_for(report)
    for shape in report.found.surplus:
        if report.may_be_aside(shape) or shape in mistaken:
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
                Sentence.of(
                    "{count} outlines on layer {layer} are of no part, the first of them {where}",
                    count=counted(shapes),
                    layer=Name(layer),
                    where=report.where(shapes[0]),
                ),
                sheets=[report.sheet_of(shapes[0])],
                cure=_TAKE_OFF,
                source=report.found.shapes[shapes[0]].shape.source,
            )
    for index, shapes in sorted(often.items()):
        part = report.found.parts[index]
        alike = report.found.fits[shapes[0]]
        wanted = len(alike)
        if len(report.found.shapes[shapes[0]].meant & alike) == 1 or wanted == 1:
            wanted = 1
        first = report.found.shapes[shapes[0]]
        yield report.finding(
            Sentence.of(
                "{part} is on the cut sheets too often: {there} {form}are there, {wanted} {are} wanted; one too many "
                "is {where}",
                part=part,
                there=counted(wanted + len(shapes)),
                form="of its form " if wanted > 1 else "",
                wanted=counted(wanted),
                are="is" if wanted == 1 else "are",
                where=report.where(shapes[0]),
            ),
            parts=[part],
            sheets=[report.sheet_of(shapes[0])],
            measure=Measure(value=float(wanted + len(shapes)), limit=float(wanted), unit=""),
            cure=_unread(report, shapes)
            or Sentence.of("take {them} off the sheet", them=counted(shapes) if len(shapes) > 1 else "it"),
            edits=() if _unread(report, shapes) else tuple(e for shape in shapes for e in report.taken_off(shape)),
            source=first.shape.source,
        )


def _unread(report: SheetReport, shapes: Sequence[int]) -> Sentence | str:
    """The cure where what is written on shapes names no part of their form: one may be missing in the drawings."""
    placed = [(report.found.shapes[shape], report.found.fits.get(shape)) for shape in shapes]
    strangers = [each for each, fitting in placed if not (each.meant & fitting if fitting else each.meant)]
    texts = sorted({text for each in strangers for text in each.shape.texts})
    if not texts:
        return ""
    return Sentence.of(
        "look whether the drawings lack {parts} or it was not read; else take {them} off the sheet",
        parts=listed(Name(f'"{text}"') for text in texts),
        them="it" if len(shapes) == 1 else "them",
    )


def _of_no_part(report: SheetReport, shape: int) -> Finding:
    placed = report.found.shapes[shape]
    named = [report.found.parts[part] for part in sorted(placed.meant)]
    form: str = ""
    if named:
        form = Sentence.of(
            ": it has not the form of {parts}, which is on the sheets besides", parts=listed_parts(named)
        )
    return report.finding(
        Sentence.of(
            "an outline{said} {where} is of no part{form}",
            said=quoted(placed.shape),
            where=report.where(shape),
            form=form,
        ),
        parts=named,
        sheets=[report.sheet_of(shape)],
        cure=_unread(report, [shape]) or _TAKE_OFF,
        edits=() if _unread(report, [shape]) else report.taken_off(shape),
        source=placed.shape.source,
    )


def _differing(report: SheetReport) -> Iterator[Finding]:
    """A finding for each shape that is a part's but for a difference or its scale."""
    for each in report.found.differing:
        part = report.found.parts[each.part]
        yield _scaled(report, each, part) if each.factor != 1.0 else _differs(report, each, part)


def _scaled(report: SheetReport, each: Differing, part: Part) -> Finding:
    sheet = report.sheet_of(each.shape)
    return report.finding(
        Sentence.of(
            "{part} is {off}, {where}{read}",
            part=part,
            off=off_by(each.factor),
            where=report.where(each.shape),
            read=read_as(sheet.unit, each.factor),
        ),
        parts=[part],
        sheets=[sheet],
        measure=scaling(each.factor),
        cure=Sentence.of("draw it {times}", times=times(each.factor)),
        source=report.found.shapes[each.shape].shape.source,
    )


def _differs(report: SheetReport, each: Differing, part: Part) -> Finding:
    shape = report.found.shapes[each.shape].shape
    laying, sheet = each.laying, report.sheet_of(each.shape)
    frame = report.frames[part.frame]
    marker = Marker(frame=frame, w=(part.low + part.high) / 2)
    return report.finding(
        Sentence.of(
            "{part} has another form on the cut sheet {sheet} than in its frame: they differ by {off} at {place}, on "
            "the sheet at {there}, up to {limit} is allowed",
            part=part,
            sheet=sheet,
            off=mm(laying.off, report.limit),
            place=place(*laying.at),
            there=at(laying.move.back(laying.at)),
            limit=mm(report.limit, laying.off),
        ),
        parts=[part],
        sheets=[sheet],
        at=frame.placement.point(*laying.at, marker.w),
        measure=Measure(value=laying.off, limit=report.limit),
        evidence=(marker.span(laying.at, laying.onto), *_both_forms(marker, part, each, shape)),
        cure="copy it onto the sheet anew from the frame's drawing, if that is the right one",
        edits=report.drawn_anew(each, part),
        source=shape.source,
    )


def _both_forms(marker: Marker, part: Part, each: Differing, shape: SheetShape) -> Iterator[Mark]:
    """The form on the sheet laid on the part, and the lines of both on the face from which the part is seen."""
    there = each.laying.move.shape(drawn_polygon(shape.outline, shape.holes))
    yield marker.ghost(there, part.low, part.high, words="as on the sheet")
    yield from Marker(frame=marker.frame, w=seen_face(part)).lines(there)
    yield from marker.outlines(part)


def _left_open(report: SheetReport) -> Iterator[Finding]:
    """A finding for each part whose outline on the sheet does not close."""
    allowed = report.assembly.limits["outline"]
    for shape, part in sorted(report.found.pairs.items()):
        placed = report.found.shapes[shape]
        if placed.shape.gap > allowed and report.found.factors[placed.sheet] == 1.0:
            yield report.finding(
                Sentence.of(
                    "the outline of {part} {where} is left open by {gap}",
                    part=report.found.parts[part],
                    where=report.where(shape),
                    gap=mm(placed.shape.gap, allowed),
                ),
                parts=[report.found.parts[part]],
                sheets=[report.sheet_of(shape)],
                measure=Measure(value=placed.shape.gap, limit=allowed),
                cure=Sentence.of("close the gap of {gap}", gap=mm(placed.shape.gap)),
                source=placed.shape.source,
            )


def _other_names(report: SheetReport) -> Iterator[Finding]:
    """A finding for each outline with the name of another part in it; one where two have changed names."""
    wrong = {
        shape: part
        for shape, part in report.found.pairs.items()
        if (meant := report.found.shapes[shape].meant) and part not in meant
    }
    done: set[int] = set()
    for shape, part in sorted(wrong.items(), key=lambda pair: report.found.parts[pair[1]].name):
        placed = report.found.shapes[shape]
        if shape in done:
            continue
        back = [s for s, p in wrong.items() if p in placed.meant and part in report.found.shapes[s].meant]
        done |= {shape, *back}
        if not is_settled(report.found.parts[part].label):  # what is wrong with it is told of its frame
            continue
        names = [report.found.parts[part], *(report.found.parts[wrong[s]] for s in back)]
        same = any(meant in report.found.fits[shape] for meant in placed.meant)
        outline = Sentence.of("the outline{said} {where}", said=quoted(placed.shape), where=report.where(shape))
        message = Sentence.of("{outline} has the form of {part}", outline=outline, part=names[0])
        if back and back[0] != shape:
            message = Sentence.of(
                "{parts} have changed names on the cut sheets: {how}", parts=listed(p.name for p in names), how=message
            )
        elif same:
            message = Sentence.of(
                "{outline} is one too many of that name, and none is called {part}, which has the same form",
                outline=outline,
                part=names[0],
            )
        yield report.finding(
            message,
            level=Level.WARNING if same else Level.ERROR,
            parts=names,
            sheets=[report.sheet_of(shape)],
            cure=Sentence.of('write "{part}" in it', part=names[0]),
            edits=tuple(
                edit for each in dict.fromkeys((shape, *back)) for edit in report.relabelled(each, wrong[each])
            ),
            source=placed.shape.source,
        )


CHECK = Check(
    slug="cut-sheet",
    title="The cut sheets do not hold what the boat is made of",
    level=Level.ERROR,
    limits=("cut_sheet",),
    sees_all=True,
    spanless="what lies on a sheet has no place in the boat",
    page=Page(
        looks_at=(
            "The drawings that the plan names under [[cut_sheets]], all layers of them, against every part of every "
            "frame. A part is known on a sheet by its outline, turned and turned over as it may be: either face may "
            "be up. A plate drawn once for both faces is wanted twice. Parts of the same form may stand for one "
            "another; a text in an outline says which is meant, and is reported where the outline is another's. "
            "Corners rounded or relieved for the cutter are no difference. Pockets are looked for on the layers that "
            "the plan has for them, and on the face that is up. Reported are parts that are on no sheet or too often, "
            "outlines that are of no part, parts on a sheet of other stock, parts or whole sheets of another size or "
            "form than in the frames, parts that lie closer together than the cutter is wide, and parts past the edge "
            "of the sheet: the rectangle drawn around them, or where there is none the stock's size. A sheet that is "
            "in the plan twice is told once, unless its parts are wanted twice. A note says how much of each sheet is "
            "used."
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

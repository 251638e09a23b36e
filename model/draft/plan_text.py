"""Writes the plan: `plan.toml` as a designer would, in mm, with comments."""

from __future__ import annotations

from collections.abc import Sequence

from ..plan.toml_text import block, key, number, numbers, text
from .lines import LinesFile
from .sketch import BATTENS, CORE, DOWELS, GUSSETS, GUSSETS_FORWARD, LEG_INNER, LEG_OUTER, REFERENCE, SCREWS, Sketch
from .stringers import Stringer


def drawing_of(sketch: Sketch) -> str:
    """The name of a frame's drawing, relative to the plan's folder."""
    return f"frames/{sketch.frame.number}.dxf"


def plan_text(
    file: LinesFile, sketches: Sequence[Sketch], stringers: Sequence[Stringer], sheets: Sequence[tuple[str, str]] = ()
) -> str:
    """The plan of these frames, which are sorted forward, and of these cut sheets: drawing and stock of each."""
    blocks = [_head(file), _stock(file), _setting_up(file), _battens(stringers), _layers(file, sketches)]
    blocks += [_frame(sketch) for sketch in sketches]
    blocks += [
        block("[[cut_sheets]]", ("drawing", text(name), ""), ("stock", text(stock), "")) for name, stock in sheets
    ]
    return "\n".join(blocks)


def _head(file: LinesFile) -> str:
    return "# Drafted from a table of offsets. Lengths are in mm, angles in degrees.\n\n" + block(
        "[plan]",
        ("name", text(file.boat.name), ""),
        ("units", text("mm"), ""),
        ("seen", text(file.boat.seen), "how the frame drawings look"),
        ("build", text(file.boat.build), ""),
    )


def _stock(file: LinesFile) -> str:
    blocks = [block("[cutter]", ("diameter", number(file.cutter.diameter), ""))]
    for name, stock in file.stock.items():
        entries = [("thickness", number(stock.thickness), "")]
        if stock.measured is not None:
            entries.append(("measured", number(stock.measured), "by caliper; used instead of the thickness"))
        if stock.size is not None:
            entries.append(("size", numbers(stock.size), ""))
        if stock.density:
            entries.append(("density", number(stock.density), "kg/m3"))
        blocks.append(block(f"[stock.{key(name)}]", *entries))
    return "\n".join(blocks)


def _setting_up(file: LinesFile) -> str:
    strongback, screw = file.strongback, file.screws.gusset
    size = ("gauge", str(screw.gauge), "") if screw.gauge is not None else ("diameter", number(screw.size.diameter), "")
    return "\n".join([
        block(
            "[strongback]",
            ("inside_width", number(strongback.inside_width), "between the inner faces of the rails"),
            ("rail", numbers(strongback.rail), "width, depth"),
            ("from", number(strongback.start), ""),
            ("to", number(strongback.end), ""),
        ),
        block("[dowels]", ("diameter", number(file.dowels.diameter), "")),
        block(
            "[screws.gusset]",
            size,
            ("length", number(screw.length), "head included"),
            ("head", text(screw.head), ""),
        ),
    ])  # fmt: skip


def _battens(stringers: Sequence[Stringer]) -> str:
    return "\n".join(
        block(
            f"[battens.{key(stringer.kind)}]",
            ("section", numbers(stringer.spec.section), "long side, short side"),
            ("arris", number(stringer.spec.arris), "eased by this radius"),
            ("sides", text(stringer.spec.sides), ""),
            *([("layers", str(stringer.spec.layers), "glued together in place")] if stringer.spec.layers > 1 else []),
            *([("bend", number(stringer.spec.bend), "least R/t its stock takes")] if stringer.spec.bend else []),
        )
        for stringer in stringers
    )


def _layers(file: LinesFile, sketches: Sequence[Sketch]) -> str:
    framing = file.framing
    core, plate, leg = (text(name) for name in (framing.core, framing.gusset, framing.legs))
    rows = {
        CORE: f'{{ makes = "part", face = "core", stock = {core} }}',
        GUSSETS: f'{{ makes = "part", face = "both", stock = {plate}, role = "gusset" }}',
        GUSSETS_FORWARD: f'{{ makes = "part", face = "forward", stock = {plate}, role = "gusset" }}',
        LEG_INNER: f'{{ makes = "part", face = "core", stock = {core}, role = "leg" }}',
        LEG_OUTER: f'{{ makes = "part", face = "forward", stock = {leg}, role = "leg" }}',
        SCREWS["forward"]: '{ makes = "screw", screw = "gusset", driven_from = "forward" }',
        SCREWS["aft"]: '{ makes = "screw", screw = "gusset", driven_from = "aft" }',
        BATTENS: '{ makes = "batten" }',
        DOWELS: '{ makes = "dowel" }',
        REFERENCE: '{ makes = "reference" }',
    }
    used = {shape.layer for sketch in sketches for shape in sketch.shapes}
    used |= {SCREWS[screw.driven_from] for sketch in sketches for screw in sketch.screws} | {DOWELS, REFERENCE}
    return block("[layers]", *((text(name), row, "") for name, row in rows.items() if name in used))


def _frame(sketch: Sketch) -> str:
    frame = sketch.frame
    entries = [
        ("number", text(frame.number), ""),
        ("kind", text(frame.kind), ""),
        ("station", number(frame.station), ""),
        ("station_at", text(sketch.station_at), "which face of the core stands on the station"),
        ("drawing", text(drawing_of(sketch)), ""),
        ("origin", "[0, 0]", "where the centreline crosses the datum line"),
    ]
    if frame.rake:
        entries.insert(
            4, ("rake", f"{frame.rake:.6g}", "the top leans aft" if frame.rake > 0 else "the top leans forward")
        )
    return block("[[frames]]", *entries)

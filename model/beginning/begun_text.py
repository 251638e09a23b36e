"""Writes a plan that is begun: what was read out of drawings marked as a guess, what only the designer knows blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from scrieve.shared.plain_text import plain
from scrieve.shared.units import MM_PER_UNIT, SPOKEN
from scrieve.shared.wording import trimmed

from ..plan.plan import BattenSpec, FrameSpec, ScrewSpec, Stock, StrongbackSpec
from ..plan.plan_tables import THICKEST_SCREW, THINNEST_SCREW
from ..plan.toml_fields import Table
from ..plan.toml_text import block, key, text
from .frames_named import NamedFrame
from .layer_taken import LayerTaken
from .measures import BattenGuess, gauge_of
from .sheets_found import FoundSheet, StockGuess

Entry = tuple[str, str, str]

_HEAD = """\
# Begun from the drawings in this folder. A "guess" was read out of them, for the reason beside it: look it over.
# A "blank" only you know: write it in place of "". `scrieve check` names those that are left, each with its line.

"""
_NO_SCREWS = """\
# No screws are drawn. If the gussets are to be screwed, say with what, and they are laid out:
# [screws.gusset]
# gauge  = 8
# length = "3/4 in"
"""
_ROUNDED = 0.05  # mm; so far off may a size lie that is rounded in a drawing
_USUAL = "guess: the usual"


@dataclass(frozen=True, kw_only=True, eq=False)
class Readings:
    """All that goes into the plan. Lengths mm; `unit` is the plan's."""

    name: str
    unit: str
    unit_because: str
    seen: tuple[str, str]
    build: tuple[str, str]
    cutter: float | None
    stocks: Sequence[StockGuess]
    stock_of: dict[str, str]
    width: float | None
    dowel: float | None
    screws: Sequence[tuple[str, float, tuple[str, ...]]]
    battens: Sequence[BattenGuess]
    layers: Sequence[LayerTaken]
    words: dict[str, str]
    frames: Sequence[NamedFrame]
    boards: frozenset[str]
    sheets: Sequence[FoundSheet]
    blanks: list[str] = field(default_factory=list)


def plan_text(found: Readings) -> str:
    """The text of the plan. What is blank in it is added to the `blanks` of `found`, by its key path."""
    return _HEAD + "\n".join(_blocks(found))


def _blocks(found: Readings) -> Iterator[str]:
    yield block(
        "[plan]",
        ("name", text(found.name), "guess: the folder's name"),
        ("units", text(found.unit), found.unit_because),
        ("seen", text(found.seen[0]), f"guess: {found.seen[1]}" if found.seen[1] else f'{_USUAL}; else "from forward"'),
        ("build", text(found.build[0]), f"guess: {found.build[1]}"),
    )
    if found.cutter is not None:
        size = _length(found, found.cutter)
        yield block("[cutter]", ("diameter", size, "guess: as inside corners are relieved"))
    for stock in found.stocks:
        yield _stock(found, stock)
    if any(layer.role == "leg" for layer in found.layers):
        yield _rails(found)
    if found.dowel is not None:
        yield block("[dowels]", ("diameter", _length(found, found.dowel), "guess: the circles' size"))
    for name, diameter, layers in found.screws:
        yield _screw(found, name, diameter, layers)
    if not found.screws and any(layer.role == "gusset" for layer in found.layers):
        yield _NO_SCREWS
    for batten in found.battens:
        yield _batten(found, batten)
    yield _layers(found)
    if found.words:
        yield block("[labels]", *((text(word), text(side), "guess") for word, side in found.words.items()))
    for frame in found.frames:
        yield _frame(found, frame)
    for sheet in found.sheets:
        parts = _listed([layer for layer in sorted(sheet.layers) if layer in found.stock_of])
        entries: list[Entry] = [
            ("drawing", text(sheet.shown), ""),
            ("stock", text(found.stock_of[sheet.shown]), f"guess: parts on {parts} lie on it"),
        ]
        if (extent := sheet.extent(found.unit)) is not None:
            window = ", ".join(_bare(found, value) for value in extent)
            entries.append(("extent", f"[{window}]", "guess: a rectangle round parts, the edge of a sheet"))
        yield block("[[cut_sheets]]", *entries)


def _blank(found: Readings, table: type[Table], name: str, path: str, of: str = "") -> Entry:
    """A key that is left to the designer, with the words by which the reader of the plan asks for it."""
    field = next(f for key, f in table.model_fields.items() if name in (key, f.alias))
    found.blanks.append(path)
    said = (field.description or "").format(name=of, number=of, units=SPOKEN[found.unit])
    return name, '""', f"blank: {said}"


def _stock(found: Readings, stock: StockGuess) -> str:
    entries: list[Entry] = []
    if stock.thickness is None:
        entries.append(_blank(found, Stock, "thickness", f"stock.{stock.name}.thickness", plain(stock.name)))
    else:
        entries.append(("thickness", _length(found, stock.thickness), f"guess: {plain(stock.because)}"))
    if stock.size is not None:
        sides = ", ".join(_length(found, side) for side in stock.size)
        entries.append(("size", f"[{sides}]", "guess: the edge of a cut sheet"))
    return block(f"[stock.{key(stock.name)}]", *entries)


def _rails(found: Readings) -> str:
    width = _blank(found, StrongbackSpec, "inside_width", "strongback.inside_width") if found.width is None else (
        "inside_width", _length(found, found.width), "guess: the legs' edges that meet the rails' inner faces"
    )  # fmt: skip
    rest = (_blank(found, StrongbackSpec, name, f"strongback.{name}") for name in ("rail", "from", "to"))
    return block("[strongback]", width, *rest)


def _screw(found: Readings, name: str, diameter: float, layers: Sequence[str]) -> str:
    gauge = gauge_of(diameter)
    on = _listed(layers)
    if gauge is not None:
        size: Entry = ("gauge", str(gauge), f"guess: circles of {diameter:.2f} mm on {on}")
    elif THINNEST_SCREW <= diameter <= THICKEST_SCREW:
        size = ("diameter", _length(found, diameter), f"guess: the circles on {on}")
    else:
        size = _blank(found, ScrewSpec, "diameter", f"screws.{name}.diameter", name)
    return block(f"[screws.{key(name)}]", size, _blank(found, ScrewSpec, "length", f"screws.{name}.length", name))


def _batten(found: Readings, batten: BattenGuess) -> str:
    sides = ", ".join(_measured(found, side) for side in batten.section)
    how = "drawn" if batten.drawn else "notched"
    where = {"both": "on both sides", "centre": "on the centreline"}.get(batten.sides, "on one side")
    named = "" if batten.drawn else "; called by its place"
    return block(
        f"[battens.{key(batten.name)}]",
        ("section", f"[{sides}]", f"guess: {batten.because}{named}"),
        ("sides", text(batten.sides), f"guess: {how} {where}"),
        _blank(found, BattenSpec, "arris", f"battens.{batten.name}.arris", plain(batten.name))
        if batten.arris is None
        else ("arris", _length(found, batten.arris), "guess: as the corners of its sections are rounded"),
    )


def _layers(found: Readings) -> str:
    out, left = ["[layers]"], []
    for layer in found.layers:
        if not layer.makes:
            left.append(f"# {plain(text(layer.layer))} is left out: {plain(layer.because)}")
            continue
        screw = next((name for name, _, layers in found.screws if layer.layer in layers), "")
        stock = found.stock_of.get(layer.layer, "") if layer.makes_part else ""
        keys = {"makes": layer.makes, "face": layer.face, "stock": stock, "role": layer.role}
        keys |= {"screw": screw, "driven_from": layer.driven_from}
        row = ", ".join(f"{name} = {text(value)}" for name, value in keys.items() if value)
        out.append(f"# guess: {plain(layer.because)}{_doubt(layer)}")
        out.append(f"{text(layer.layer)} = {{ {row} }}")
    return "".join(f"{line}\n" for line in (*out, *left))


def _doubt(layer: LayerTaken) -> str:
    if layer.mixed:
        return f"; {layer.mixed} lie over others: legs, plates and battens want layers of their own"
    if layer.proved:
        return ""
    return "; on both faces, as is usual" if layer.face == "both" else "; whether forward or aft is not shown"


def _frame(found: Readings, frame: NamedFrame) -> str:
    shown, number = frame.found, frame.number
    entries: list[Entry] = [("number", text(number), f"guess: {frame.because}")]
    if frame.station is None:
        entries.append(_blank(found, FrameSpec, "station", f"frames.{number}.station", number))
    else:
        entries.append(("station", _bare(found, frame.station), "guess: a text in the drawing says so"))
    entries.append(_blank(found, FrameSpec, "station_at", f"frames.{number}.station_at", number))
    if number in found.boards:
        entries.append(("kind", text("transom"), "guess: one board, at an end of the boat"))
        entries.append(_blank(found, FrameSpec, "rake", f"frames.{number}.rake", number))
    entries.append(("drawing", text(frame.drawing), ""))
    lines = [f"the upright line on {shown.upright}" if shown.upright is not None else "amid its parts"]
    lines.append(f"the level one on {shown.level}" if shown.level is not None else "at 0, as no datum line is drawn")
    if shown.upright == shown.level and shown.upright is not None:
        lines = [f"where the lines on {shown.upright} cross"]
    origin = ", ".join(_bare(found, value) for value in shown.origin)
    entries.append(("origin", f"[{origin}]", f"guess: {plain(', '.join(lines))}"))
    if (extent := shown.extent(found.unit)) is not None:
        window = ", ".join(_bare(found, value) for value in extent)
        entries.append(("extent", f"[{window}]", "guess: what hangs together about the origin"))
    if shown.half:
        entries.append(("mirror", "true", f"guess: only the half on the {shown.half} is drawn"))
    return block("[[frames]]", *entries)


def _listed(names: Sequence[str]) -> str:
    """The first few names, and how many more there are."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return plain(", ".join(names[:3])) + more


def _bare(found: Readings, value: float) -> str:
    """A length, mm, as a bare number of the plan's unit."""
    return trimmed(value / MM_PER_UNIT[found.unit], 3 if MM_PER_UNIT[found.unit] < 5 else 5)


def _measured(found: Readings, value: float) -> str:
    """A size as measured in drawings, mm: in 32nds of an inch where a plan in inches has such, else to 0.1 mm."""
    part = MM_PER_UNIT["in"] / 32
    whole = round(value / part) * part
    return _length(found, whole if found.unit in ("in", "ft") and abs(whole - value) <= _ROUNDED else round(value, 1))


def _length(found: Readings, value: float) -> str:
    """A size, mm, as a plan says it: in its own unit, or in mm where it is round in that alone."""
    own, mm = value / MM_PER_UNIT[found.unit], round(value, 2)
    if found.unit != "mm" and abs(own * 32 - round(own * 32)) > 0.01 and abs(own - round(own, 2)) > 1e-6:
        return f'"{mm:g} mm"'
    return _bare(found, value)

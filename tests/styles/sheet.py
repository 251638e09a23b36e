"""Draws a boat's frames in her draughtsman's habits, and writes the plan beside them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path as File

import drawings
import numpy as np
from ezdxf.document import Drawing as Document

from .frames import Frame, boat
from .habit import Style
from .hull import ARRIS, BATTENS, PLATE, RAILS, Lines
from .shapes import Path, Piece, Point

UNITS = {"mm": (drawings.MM, 1.0), "cm": (5, 10.0), "in": (drawings.INCH, 25.4)}
LAYERS = {
    "core": "CORE",
    "gusset": "GUSSETS",
    "leg inner": "LEG INNER",
    "leg outer": "LEG OUTER",
    "doubler": "DOUBLERS",
    "butt block": "BLOCKS",
    "cleat": "CLEATS",
}
APART = 1800.0  # mm from one frame to the next in one drawing, and from view to view
SPAN = 800.0  # mm to either side of the centreline
SCREW = (4.2, 19.05)
SIDES = {1: "port", -1: "starboard", 0: ""}


def drawn(folder: File, style: Style, frames: Sequence[Frame] | None = None) -> File:
    """The plan folder of a boat in this style; of these frames, if they are not as a sound boat has them."""
    frames = boat(style) if frames is None else frames
    (folder / "frames").mkdir(parents=True, exist_ok=True)
    for together in [frames] if style.together else [[frame] for frame in frames]:
        (folder / "frames" / _file(style, together[0])).write_bytes(_content(style, together))
    if style.sheets:
        (folder / "sheets").mkdir(exist_ok=True)
        on_sheets = sheets(style, frames)
        for stock, pieces in on_sheets.items():
            scale = style.scale if stock == max(on_sheets) else 1.0
            (folder / "sheets" / f"{stock}.dxf").write_bytes(_laid(style, pieces, scale))
    (folder / "plan.toml").write_text(plan(style, frames))
    return folder


def sheets(style: Style, frames: Sequence[Frame]) -> dict[str, list[Piece]]:
    """What is to be cut of each stock; of a plate that is drawn for both faces, two."""
    out: dict[str, list[Piece]] = defaultdict(list)
    for frame in frames:
        port = [piece for piece in frame.pieces if piece.hand >= 0]
        whole = [*port, *(piece.mirrored() for piece in port if piece.hand)] if style.half else frame.pieces
        for piece in whole if frame.cut is None else frame.cut:
            both = style.gussets == "both" and layer_of(style, piece.kind) == layer_of(style, "gusset")
            out[_stock(style)[piece.kind]] += [piece, piece] if both else [piece]
    return dict(out)


def _laid(style: Style, pieces: Sequence[Piece], scale: float) -> bytes:
    """A sheet with these parts above one another."""
    document, per, top = _new(style), UNITS[style.unit][1] / scale, 0.0
    radius = style.cutter / 2 if style.radius is None else style.radius
    for piece in pieces:
        outlines = [piece.path(style.relief, radius), *piece.holes]
        rows = np.array([row[:2] for row in outlines[0]])
        # a relief reaches past its corners
        left, low, high = rows[:, 0].min(), rows[:, 1].min(), rows[:, 1].max()
        for path in outlines:
            points = [((y - left) / per, (v - low + top) / per) for y, v, _ in path]
            bulges = [b for *_, b in path]
            drawings.polyline(document.modelspace(), points, bulges, layer="CUT", close=True)
        top += high - low + style.gap
    return drawings.content(document)


_KEPT: dict[tuple[str, str], bytes] = {}
"""The last drawings: most of those of a boat with a fault are as they were."""


def _content(style: Style, frames: Sequence[Frame]) -> bytes:
    key = (repr(style), repr(frames))
    if key not in _KEPT:
        document = _new(style)
        for frame in frames:
            _Sheet(style, document, frame).draw()
        while len(_KEPT) > 20:
            del _KEPT[next(iter(_KEPT))]
        _KEPT[key] = drawings.content(document)
    return _KEPT[key]


def _new(style: Style) -> Document:
    document = drawings.new(units=drawings.NO_UNIT if style.unitless else UNITS[style.unit][0])
    mark = document.blocks.new("SCREW")
    size = 3 / UNITS[style.unit][1]
    for start, end in (((-size, -size), (size, size)), ((-size, size), (size, -size))):
        drawings.line(mark, start, end, layer="0")
    return document


def _file(style: Style, frame: Frame) -> str:
    return "all.dxf" if style.together else f"{frame.index + 1}.dxf"


def _origin(style: Style, frame: Frame) -> Point:
    return (APART * (frame.index + 1), 0.0) if style.together else (0.0, 0.0)


def layer_of(style: Style, kind: str) -> str:
    if not style.thickness:
        return LAYERS[kind]
    return {"core": f"{style.core:g}MM", "gusset": "9MM", "leg outer": "15MM", "butt block": "9MM"}.get(
        kind, LAYERS[kind]
    )


def name_of(style: Style, frame: Frame, piece: Piece) -> str:
    """What is written on a piece."""
    if piece.says:
        return piece.says
    side = "" if style.half else SIDES[piece.hand]
    words = f"{side} {piece.what}".strip()
    if style.labels == "number":
        return f"F{frame.number} {words}".upper()
    if style.labels == "behind":
        return f"{words} F{frame.number}"
    if style.labels == "comma":
        return ", ".join(filter(None, [piece.what.upper(), {1: "PORT", -1: "STBD", 0: ""}[piece.hand]]))
    if style.labels == "letter":
        return " ".join(filter(None, [frame.number, {1: "P", -1: "S", 0: ""}[piece.hand], piece.what]))
    if style.labels == "marks":
        return f"{frame.number}-{_mark(words)}"
    return words


def _mark(words: str) -> str:
    return "".join(word[0] + word[-1] for word in words.split()).upper()


class _Sheet:
    """One frame on its sheet: points (y, v) become those of the drawing, in its own unit."""

    def __init__(self, style: Style, document: Document, frame: Frame) -> None:
        self.style, self.document, self.frame = style, document, frame
        self.space = document.modelspace()
        self.per = UNITS[style.unit][1]
        self.seen, self.shift = -1.0, np.array(_origin(style, frame))
        self.lines: set[tuple[Point, Point, float]] = set()

    def draw(self) -> None:
        self.view()
        if self.style.views:
            self.seen, self.shift = 1.0, self.shift + np.array([0.0, APART])
            self.view()

    def view(self) -> None:
        style, self.lines = self.style, set()
        for piece in self.frame.pieces:
            if not style.half or piece.hand >= 0:
                self.piece(piece)
        if style.sections:
            for name, corners in self.frame.sections:
                if not style.half or np.mean([y for y, _ in corners]) > -1:
                    path = [(y, v, 0.0) for y, v in corners]
                    if style.half:
                        path = [row for row in path if row[0] > 0] if name != "keel" else _half(path)
                    self.polyline(self.space, path, "BATTENS")
                    middle = np.mean([row[:2] for row in path], axis=0)
                    self.text(name, (float(middle[0]), float(middle[1])), "BATTENS")
        for screw in self.frame.screws:
            if not style.half or screw.at[0] > 0:
                self.screw(screw.at, "SCREWS FWD" if screw.face == "forward" else "SCREWS AFT")
        for at in self.frame.dowels:
            if not style.half or at[0] > 0:
                self.space.add_circle(self.at(at), 5 / self.per, dxfattribs={"layer": "DOWELS"})
        low, high = sorted((0.0, Lines(style).heights["top"] if not style.inverted else Lines(style).heights["low"]))
        drawings.line(self.space, self.at((0, low - 20)), self.at((0, high + 20)), layer="REFERENCE")
        drawings.line(self.space, self.at((0 if style.half else -300, 0)), self.at((300, 0)), layer="REFERENCE")

    def at(self, point: Point) -> Point:
        u, v = (np.array([self.seen * point[0], point[1]]) + self.shift) / self.per
        return float(u), float(v)

    def text(self, words: str, at: Point, layer: str) -> None:
        drawings.text(self.space, words, self.at(at), layer=layer, height=5 / self.per)

    def polyline(self, block, path: Path, layer: str, shut: bool = True) -> None:
        bulges = [self.seen * b for *_, b in path]
        drawings.polyline(block, [self.at((y, v)) for y, v, _ in path], bulges, layer=layer, close=shut)

    def piece(self, piece: Piece) -> None:
        style, layer = self.style, layer_of(self.style, piece.kind)
        radius = style.cutter / 2 if style.radius is None else style.radius
        outlines = [piece.path(style.relief, radius), *piece.holes]
        if style.half and piece.hand == 0:
            outlines = [_half(path) for path in outlines if any(y > 0 for y, *_ in path)]
        if style.loose and piece.kind == "core":
            for path in outlines:
                self.loose(path, layer)
        elif style.blocks:
            block = self.document.blocks.new(f"PART{len(self.document.blocks)}")
            for path in outlines:
                self.polyline(block, path, layer)
            self.space.add_blockref(block.name, (0, 0), dxfattribs={"layer": layer})
        else:
            first, *holes = outlines
            if piece.open:
                first = _opened(first, piece.open)
            self.polyline(self.space, first, layer, shut=not piece.open)
            for path in holes:
                self.polyline(self.space, path, layer)
        self.text(name_of(style, self.frame, piece), piece.at, layer if style.texts == "own" else "LABELS")
        if style.engraved:
            named = {"named": "ENGRAVED", "labels": "LABELS"}[style.engraved]
            for start, end in _strokes(piece.at):
                drawings.line(self.space, self.at(start), self.at(end), layer=named)

    def loose(self, path: Path, layer: str) -> None:
        """An outline in lines and arcs; where parts share one, it is drawn once if that is the habit."""
        for n, (y, v, bulge) in enumerate(path):
            start, end = self.at((y, v)), self.at(path[(n + 1) % len(path)][:2])
            key = tuple(sorted((tuple(np.round(start, 6)), tuple(np.round(end, 6)))))
            if self.style.loose == "once" and key in self.lines and not bulge:
                continue
            self.lines.add(key)
            if bulge:
                drawings.polyline(self.space, [start, end], [self.seen * bulge, 0], layer=layer, close=False)
            else:
                drawings.line(self.space, start, end, layer=layer)

    def screw(self, at: Point, layer: str) -> None:
        (u, v), size = self.at(at), 4 / self.per
        if self.style.screws == "circle":
            self.space.add_circle((u, v), SCREW[0] / 2 / self.per, dxfattribs={"layer": layer})
        elif self.style.screws == "insert":
            self.space.add_blockref("SCREW", (u, v), dxfattribs={"layer": layer})
        else:
            drawings.line(self.space, (u - size, v), (u + size, v), layer=layer)
            if self.style.screws == "cross":
                drawings.line(self.space, (u, v - size), (u, v + size), layer=layer)


def _half(path: Path) -> Path:
    """What of an outline lies to port, closed along the centreline, which it crosses squarely."""
    if all(y > 0 for y, *_ in path):
        return path
    first = next(n for n, row in enumerate(path) if row[0] > 1e-9 and path[n - 1][0] <= 1e-9)
    port = [row for row in [*path[first:], *path[:first]] if row[0] > 1e-9]
    return [(0.0, port[0][1], 0.0), *port, (0.0, port[-1][1], 0.0)]


def _opened(path: Path, by: float) -> Path:
    """The outline, its last edge short of its beginning by so much."""
    start, end = np.array(path[0][:2]), np.array(path[-1][:2])
    away = (end - start) / np.hypot(*(end - start)) * by
    return [*path, (*(start + away), 0.0)]


def _strokes(at: Point) -> Iterator[tuple[Point, Point]]:
    """A few letters as an engraver draws them, under the name."""
    for n in range(3):
        y, v = at[0] + 5 * n, at[1] - 12
        yield (y, v), (y, v + 5)
        yield (y, v + 5), (y + 3, v)


# ---- the plan


def plan(style: Style, frames: Sequence[Frame]) -> str:
    """The text of plan.toml."""
    per = UNITS[style.unit][1]

    def bare(*lengths: float) -> str:
        said = ", ".join(repr(round(length / per, 9)) for length in lengths)
        return f"[{said}]" if len(lengths) > 1 else said

    own = _quoted if style.quoted else '"{:g} mm"'.format if style.unit != "mm" else "{:g}".format
    out = [
        '[plan]\nname = "Sedge"', f'units = "{style.unit}"', 'seen = "from aft"',
        f'build = "{"inverted" if style.inverted else "upright"}"', f"[cutter]\ndiameter = {own(style.cutter)}",
        f"[stock.core]\nthickness = {own(style.core)}", f"[stock.ply9]\nthickness = {own(PLATE)}",
        f"[stock.ply15]\nthickness = {own(15)}", f"[stock.ply45]\nthickness = {own(45)}",
        f"[dowels]\ndiameter = {bare(10)}",
        f'[screws.gusset]\ndiameter = {own(SCREW[0])}\nlength = "3/4 in"\nhead = "countersunk"',
    ]  # fmt: skip
    for name, section in BATTENS.items():
        quoted = ", ".join(own(side) for side in section)
        sides = "centre" if name == "keel" else "both"
        out.append(f'[battens.{name}]\nsection = [{quoted}]\narris = {own(ARRIS)}\nsides = "{sides}"')
    if style.legs:
        reach = bare(-300), bare(frames[-1].station + 500)
        inside = own(RAILS) if style.quoted else bare(RAILS)
        out.append(f"[strongback]\ninside_width = {inside}\nrail = {bare(95, 145)}\nfrom = {reach[0]}\nto = {reach[1]}")
    out += ["[layers]", *_layers(style)]
    if style.labels == "marks":
        pieces = {(p.what, p.hand) for frame in frames for p in frame.pieces}
        words = {f"{SIDES[hand]} {what}".strip() for what, hand in pieces}
        out += ["[labels]", *(f'"{_mark(each)}" = "{each}"' for each in sorted(words))]
    for frame in frames:
        station = f'"{frame.station / 1000:.12g} m"' if style.quoted else bare(frame.station)
        out.append(
            f'[[frames]]\nnumber = "{frame.number}"\nstation = {station}\n'
            f'station_at = "{style.station_at}"\ndrawing = "frames/{_file(style, frame)}"\n'
            f"origin = {bare(*_origin(style, frame))}"
        )
        if style.together or style.views:
            low, high = sorted((0.0, Lines(style).heights["low" if style.inverted else "top"]))
            out.append(f"extent = {bare(-SPAN, low - 120, SPAN, high + 120)}")
        if style.half:
            out.append("mirror = true")
        if frame.rake:
            out.append(f"rake = {np.degrees(frame.rake):.9g}")
        if frame.kind in ("transom", "bulkhead"):
            out.append(f'kind = "{frame.kind}"')
    if style.sheets:
        out += [f'[[cut_sheets]]\ndrawing = "sheets/{s}.dxf"\nstock = "{s}"' for s in sheets(style, frames)]
    text = "\n".join(out) + "\n" + style.more
    for old, new in style.changes.items():
        assert old in text, old
        text = text.replace(old, new)
    return text


def _quoted(length: float) -> str:
    """A length as a boatbuilder says it: in fractions of an inch where it is one, else in mm."""
    sixteenths = length / 25.4 * 16
    if abs(sixteenths - round(sixteenths)) > 1e-9:
        return f'"{length:g} mm"'
    whole, part = divmod(Fraction(round(sixteenths), 16), 1)
    return f'"{"-".join(str(each) for each in (whole, part) if each)} in"'


def _stock(style: Style) -> dict[str, str]:
    """The stock of every kind of piece."""
    out = {"core": "core", "gusset": "ply9", "doubler": "ply9", "leg inner": "core", "leg outer": "core"}
    return {**out, "leg outer": "ply15" if style.thickness else "core", "butt block": "ply9", "cleat": "ply45"}


def _layers(style: Style) -> Iterator[str]:
    stock = _stock(style)
    face = {"core": "core", "gusset": style.gussets, "doubler": "forward", "leg inner": "core", "leg outer": "forward"}
    face |= {"butt block": "aft", "cleat": "forward"}
    role = {"gusset": "gusset", "leg inner": "leg", "leg outer": "leg", "butt block": "gusset"}
    kinds = ["core", "gusset", "leg outer", "cleat"] if style.thickness else list(stock)
    for kind in kinds:
        of = stock[kind]
        more = f', role = "{role[kind]}"' if kind in role else ""
        yield f'"{layer_of(style, kind)}" = {{ makes = "part", face = "{face[kind]}", stock = "{of}"{more} }}'
    for way in ("forward", "aft"):
        name = "SCREWS FWD" if way == "forward" else "SCREWS AFT"
        yield f'"{name}" = {{ makes = "screw", screw = "gusset", driven_from = "{way}" }}'
    for name, makes in {"BATTENS": "batten", "DOWELS": "dowel", "LABELS": "label", "REFERENCE": "reference"}.items():
        yield f'"{name}" = {{ makes = "{makes}" }}'

"""Planting faults in a demonstration boat: the plan folder in hand, a fault, and the list of what faults give.

Each fault is one that a designer could really make, changed in the drawing or the plan as that designer
would have done it. Drawing coordinates: looking forward, so u = -y and port is at negative u. A designer copies
the parts onto the cut sheets from the frames' drawings: the sheets are laid out anew from the frames with their
faults, and only then come the faults of the sheets themselves.
"""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity, LWPolyline
from replanning import as_toml

from scrieve.model.assemble import assemble
from scrieve.model.draft.sheets import names_of, sheet_drawing, sheets_for
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sheets.arrangement import pieces_of
from scrieve.shared.findings import Level


@dataclass(kw_only=True)
class Boat:
    """A plan folder in hand: the plan's content, and the drawings of frames and cut sheets as they are asked for."""

    folder: Path
    plan: dict[str, Any]
    drawings: dict[str, Drawing] = field(default_factory=dict)
    sheets: dict[str, Drawing] = field(default_factory=dict)

    def drawing(self, frame: str) -> Drawing:
        """The drawing of a frame."""
        if frame not in self.drawings:
            self.drawings[frame] = ezdxf.readfile(self.folder / "frames" / f"{frame}.dxf")
        return self.drawings[frame]

    def sheet(self, name: str) -> Drawing:
        """The drawing of a cut sheet, by the name that the plan has for it."""
        if name not in self.sheets:
            self.sheets[name] = ezdxf.readfile(self.folder / name)
        return self.sheets[name]

    def on_sheet(self, part: str) -> tuple[Drawing, LWPolyline, DXFEntity]:
        """The drawing of the cut sheet that a part is on, the outline of the part there, and its label."""
        for entry in self.plan["cut_sheets"]:
            space = self.sheet(entry["drawing"]).modelspace()
            for text in space.query("TEXT"):
                if text.dxf.text == part:
                    around = [line for line in space.query("LWPOLYLINE") if _holds(line, text)]
                    return self.sheet(entry["drawing"]), min(around, key=lambda line: polygon(line).area), text
        raise LookupError(f"{part} is on no cut sheet")

    def outline(self, frame: str, label: str) -> LWPolyline:
        """The outline that a label names."""
        space = self.drawing(frame).modelspace()
        text = self.text(frame, label)
        return next(
            line
            for line in space.query("LWPOLYLINE")
            if line.dxf.layer == text.dxf.layer
            and shapely.contains_xy(polygon(line), text.dxf.insert.x, text.dxf.insert.y)
        )

    def text(self, frame: str, label: str) -> DXFEntity:
        """The text of a label."""
        return next(text for text in self.drawing(frame).modelspace().query("TEXT") if text.dxf.text == label)

    def screws(self, frame: str, layer: str, label: str) -> list[DXFEntity]:
        """The screws of a layer that stand in the outline of a label, from port to starboard."""
        around = polygon(self.outline(frame, label))
        circles = [c for c in self.drawing(frame).modelspace().query("CIRCLE") if c.dxf.layer == layer]
        return sorted(
            (c for c in circles if shapely.contains_xy(around, c.dxf.center.x, c.dxf.center.y)),
            key=lambda c: c.dxf.center.x,
        )


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One fault and what it must give: (parts, measured or None), `frame` by its number, if it is of one.

    `level` is that of what it gives: errors, or a warning where its check knows no errors. `on_sheets`: it is
    planted in the cut sheets, which are laid out from the frames before.
    """

    frame: str
    check: str
    did: str
    plant: Callable[[Boat], None]
    gives: tuple[tuple[tuple[str, ...], float | None], ...]
    level: Level = Level.ERROR
    on_sheets: bool = False


def polygon(line: LWPolyline) -> shapely.Polygon:
    """The corners of a polyline, arcs as chords."""
    return shapely.Polygon([(u, v) for u, v, *_ in line.get_points("xyb")])


def shifted(line: LWPolyline, which: Callable[[float, float], bool], by: tuple[float, float]) -> int:
    """Moves the corners of a polyline that `which` picks; returns how many there were."""
    points = line.get_points("xyb")
    picked = [which(u, v) for u, v, _ in points]
    line.set_points(
        [(u + by[0], v + by[1], b) if on else (u, v, b) for on, (u, v, b) in zip(picked, points, strict=True)],
        format="xyb",
    )
    return sum(picked)


def end_of(gusset: LWPolyline, *, towards: tuple[float, float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The end of a gusset's arm that lies furthest `towards`: its two corners, and the direction out of it."""
    corners = [np.array(p[:2]) for p in gusset.get_points("xyb")]
    middle = np.array(polygon(gusset).centroid.coords[0])
    edges = [(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if np.hypot(*(b - a)) > 40]
    a, b = max(edges, key=lambda edge: float(((edge[0] + edge[1]) / 2 - middle) @ towards))
    along = (b - a) / np.hypot(*(b - a))
    out = np.array([along[1], -along[0]])
    return a, b, out if out @ ((a + b) / 2 - middle) > 0 else -out


_HEAD = """# The skiff with faults

The skiff of `hulls/skiff` with {count} faults that a designer could really make.
`scrieve check hulls/skiff-with-faults` ends 1 and gives each of the findings below and no other error; other warnings
and notes come with them. `python tests/faults.py` makes this folder anew. A test compares the table with what `check`
says.

| frame | check | level | parts | mm | what was done |
|---|---|---|---|---|---|
"""


def readme(faults: tuple[Fault, ...]) -> str:
    """The README of the folder: a row for each finding that must come."""
    rows = [
        f"| {fault.frame} | `{fault.check}` | {fault.level} | {'; '.join(parts)} | {_amount(measured)} | {fault.did} |"
        for fault in faults
        for parts, measured in fault.gives
    ]
    return _HEAD.format(count=len(faults)) + "\n".join(rows) + "\n"


def _amount(measured: float | None) -> str:
    return "" if measured is None else f"{measured:g}"


def planted(sound: Path, folder: Path, faults: tuple[Fault, ...]) -> Path:
    """A copy of a sound plan in `folder`, with these faults planted."""
    shutil.copytree(sound, folder, ignore=shutil.ignore_patterns("lines.toml", "README.md"))
    boat = Boat(folder=folder, plan=tomllib.loads((folder / "plan.toml").read_text(encoding="utf-8")))
    for fault in faults:
        if not fault.on_sheets:
            fault.plant(boat)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    for frame, drawing in boat.drawings.items():
        drawing.saveas(folder / "frames" / f"{frame}.dxf")
    _lay_out_sheets(boat)
    for fault in faults:
        if fault.on_sheets:
            fault.plant(boat)
    for name, drawing in boat.sheets.items():
        drawing.saveas(folder / name)
    (folder / "plan.toml").write_text(as_toml(boat.plan), encoding="utf-8")
    return folder


def _lay_out_sheets(boat: Boat) -> None:
    """Draws the cut sheets of a plan that has some anew, from its frames as they now are."""
    if not boat.plan.pop("cut_sheets", None):
        return
    (boat.folder / "plan.toml").write_text(as_toml(boat.plan), encoding="utf-8")
    plan = read_plan(boat.folder)
    sheets, _ = sheets_for(pieces_of(assemble(plan)), stock=plan.stock, cutter=plan.cutter.diameter, seen=plan.seen)
    shutil.rmtree(boat.folder / "sheets", ignore_errors=True)
    (boat.folder / "sheets").mkdir()
    boat.plan["cut_sheets"] = []
    for name, sheet in zip(names_of(sheets), sheets, strict=True):
        (boat.folder / name).write_bytes(sheet_drawing(sheet))
        boat.plan["cut_sheets"].append({"drawing": name, "stock": sheet.stock})


def _holds(line: LWPolyline, text: DXFEntity) -> bool:
    return bool(shapely.contains_xy(polygon(line), text.dxf.insert.x, text.dxf.insert.y))

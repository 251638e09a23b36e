"""Planting faults in a demonstration boat: the plan folder in hand, a fault, and the list of what faults give.

Each fault is one that a designer could really make, changed in the drawing or the plan as that designer
would have done it. Drawing coordinates: looking forward, so u = -y and port is at negative u.
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


@dataclass(kw_only=True)
class Boat:
    """A plan folder in hand: the plan's content, and the drawings by frame number as they are asked for."""

    folder: Path
    plan: dict[str, Any]
    drawings: dict[str, Drawing] = field(default_factory=dict)

    def drawing(self, frame: str) -> Drawing:
        """The drawing of a frame."""
        if frame not in self.drawings:
            self.drawings[frame] = ezdxf.readfile(self.folder / "frames" / f"{frame}.dxf")
        return self.drawings[frame]

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
    """One fault and the errors that it must give: (parts, measured mm or None), `frame` by its number."""

    frame: str
    check: str
    did: str
    plant: Callable[[Boat], None]
    gives: tuple[tuple[tuple[str, ...], float | None], ...]


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
`scrieve check hulls/skiff-with-faults` ends 1 and gives each of the errors below and no other error; warnings and
notes come with them. `python tests/faults.py` makes this folder anew. A test compares the table with what `check` says.

| frame | check | parts | mm | what was done |
|---|---|---|---|---|
"""


def readme(faults: tuple[Fault, ...]) -> str:
    """The README of the folder: a row for each error that must be found."""
    rows = [
        f"| {fault.frame} | `{fault.check}` | {'; '.join(parts)} | {_amount(measured)} | {fault.did} |"
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
        fault.plant(boat)
    (folder / "plan.toml").write_text(as_toml(boat.plan), encoding="utf-8")
    ezdxf.options.write_fixed_meta_data_for_testing = True
    for frame, drawing in boat.drawings.items():
        drawing.saveas(folder / "frames" / f"{frame}.dxf")
    return folder

"""Plants in the demonstration skiff the faults of `hulls/skiff-with-faults`, and lists what they must give.

    python tests/faults.py        makes the folder anew from hulls/skiff

Each fault is one that a designer could really make, changed in the drawing or the plan as that designer
would have done it. Drawing coordinates: looking forward, so u = -y and port is at negative u.
"""

from __future__ import annotations

import shutil
import sys
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

HULLS = Path(__file__).parents[1] / "hulls"
SOUND, FAULTY = HULLS / "skiff", HULLS / "skiff-with-faults"


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


def _label_forgotten(boat: Boat) -> None:
    boat.drawing("6").modelspace().delete_entity(boat.text("6", "starboard sheer gusset"))


def _outline_left_open(boat: Boat) -> None:
    corners = [(-60, 620), (60, 620), (60, 660), (-60, 660)]
    boat.drawing("3").modelspace().add_lwpolyline(corners, dxfattribs={"layer": "CORE"})


def _screw_against_screw(boat: Boat) -> None:
    forward = boat.screws("2", "SCREWS FWD", "port chine gusset")[0]
    aft = boat.screws("2", "SCREWS AFT", "port chine gusset")[0]
    aft.dxf.center = (forward.dxf.center.x + 2.0, forward.dxf.center.y)


def _screw_too_long(boat: Boat) -> None:
    boat.plan["screws"]["long"] = {"gauge": 8, "length": "1-1/2 in", "head": "countersunk"}
    boat.plan["layers"]["SCREWS LONG"] = {"makes": "screw", "screw": "long", "driven_from": "forward"}
    boat.drawing("5").layers.add("SCREWS LONG")
    boat.screws("5", "SCREWS FWD", "port chine gusset")[0].dxf.layer = "SCREWS LONG"


def _screw_at_the_edge(boat: Boat) -> None:
    a, b, out = _end(boat.outline("3", "port chine gusset"), towards=(1.0, 0.0))
    screw = boat.screws("3", "SCREWS FWD", "port chine gusset")[-1]
    screw.dxf.center = tuple((a + b) / 2 - 3.0 * out)


def _knee_on_the_gusset(boat: Boat) -> None:
    a, b, out = _end(boat.outline("4", "port chine gusset"), towards=(0.0, 1.0))
    corners = [a - 4.0 * out, b - 4.0 * out, b + 70.0 * out, a + 70.0 * out]
    space = boat.drawing("4").modelspace()
    layer = {"layer": "GUSSETS FWD"}
    if "GUSSETS FWD" not in boat.drawing("4").layers:
        boat.drawing("4").layers.add("GUSSETS FWD")
    space.add_lwpolyline([tuple(c) for c in corners], close=True, dxfattribs=layer)
    space.add_text("port thwart knee", height=5, dxfattribs={**layer, "insert": tuple(np.mean(corners, axis=0))})


def _notch_too_shallow(boat: Boat) -> None:
    assert shifted(boat.outline("3", "floor"), _in_keel_notch(boat, "3"), (0.0, -1.5)) == 4


def _notch_too_deep(boat: Boat) -> None:
    assert shifted(boat.outline("5", "floor"), _in_keel_notch(boat, "5"), (0.0, 2.5)) == 4


def _notch_forgotten(boat: Boat) -> None:
    floor = boat.outline("6", "floor")
    notch = _in_keel_notch(boat, "6")
    points = [p for p in floor.get_points("xyb") if not notch(p[0], p[1])]
    first, second = (i for i, p in enumerate(points) if abs(p[0]) < 40 and p[1] < min(q[1] for q in points) + 1)
    (u, v, _), (out_u, out_v, _) = points[first], points[first - 1]
    points[first : second + 1] = [(0.0, v - u * (out_v - v) / (out_u - u), 0.0)]
    floor.set_points(points, format="xyb")


def _corner_without_relief(boat: Boat) -> None:
    for side in ("port", "starboard"):
        for ply in ("inner", "outer"):
            leg = boat.outline("2", f"{side} leg {ply}")
            points = leg.get_points("xyb")
            start = next(i for i, p in enumerate(points) if abs(p[2]) > 0.5)
            end = (start + 1) % len(points)
            corner = (min(points[start][0], points[end][0], key=abs), max(points[start][1], points[end][1]), 0.0)
            leg.set_points([corner if i == start else p for i, p in enumerate(points) if i != end], format="xyb")


def _side_too_short(boat: Boat) -> None:
    side, floor = boat.outline("4", "port side"), boat.outline("4", "floor")
    shared = [
        np.array(p[:2])
        for p in side.get_points("xyb")
        if any(np.hypot(p[0] - q[0], p[1] - q[1]) < 0.01 for q in floor.get_points("xyb"))
    ]
    along = shared[1] - shared[0]
    away = np.array([-along[1], along[0]]) / np.hypot(*along)
    inside = np.array(polygon(side).centroid.coords[0]) - shared[0]
    away = away if away @ inside > 0 else -away
    joint = [tuple(p) for p in shared]
    assert shifted(side, lambda u, v: any(np.hypot(u - p[0], v - p[1]) < 0.01 for p in joint), tuple(0.8 * away)) == 2


def _leg_too_long(boat: Boat) -> None:
    for ply in ("inner", "outer"):
        assert shifted(boat.outline("5", f"port leg {ply}"), lambda _, v: v < 1.0, (0.0, -4.0)) == 5


def _legs_for_a_narrower_strongback(boat: Boat) -> None:
    half = boat.plan["strongback"]["inside_width"] / 2
    for side, way in (("port", 1.0), ("starboard", -1.0)):
        for ply in ("inner", "outer"):
            foot = boat.outline("6", f"{side} leg {ply}")
            assert shifted(foot, lambda u, v: v < 1.0 and half - 1 < abs(u) < half + 10, (3.0 * way, 0.0)) == 3


def _leg_forgotten(boat: Boat) -> None:
    space = boat.drawing("7").modelspace()
    for ply in ("inner", "outer"):
        outline, text = boat.outline("7", f"starboard leg {ply}"), boat.text("7", f"starboard leg {ply}")
        space.delete_entity(outline)
        space.delete_entity(text)


def _strongback_too_short(boat: Boat) -> None:
    boat.plan["strongback"]["to"] = boat.plan["frames"][-1]["station"] - 100


def _datum_line_off(boat: Boat) -> None:
    lines = [line for line in boat.drawing("1").modelspace().query("LINE") if line.dxf.layer == "REFERENCE"]
    level = next(line for line in lines if abs(line.dxf.start.y - line.dxf.end.y) < 0.01)
    level.translate(0, 6, 0)


def _in_keel_notch(boat: Boat, frame: str) -> Callable[[float, float], bool]:
    """Picks the corners of the floor's keel notch, its two mouth corners left out."""
    corners = [p for p in boat.outline(frame, "floor").get_points("xyb") if abs(p[0]) < 40]
    mouth = min(v for _, v, _ in corners)
    deepest = mouth + 40
    return lambda u, v: abs(u) < 40 and mouth + 1 < v < deepest


def _end(gusset: LWPolyline, *, towards: tuple[float, float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The end of a gusset's arm that lies furthest `towards`: its two corners, and the direction out of it."""
    corners = [np.array(p[:2]) for p in gusset.get_points("xyb")]
    middle = np.array(polygon(gusset).centroid.coords[0])
    edges = [(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if np.hypot(*(b - a)) > 40]
    a, b = max(edges, key=lambda edge: float(((edge[0] + edge[1]) / 2 - middle) @ towards))
    along = (b - a) / np.hypot(*(b - a))
    out = np.array([along[1], -along[0]])
    return a, b, out if out @ ((a + b) / 2 - middle) > 0 else -out


def _both_plies(frame: str, side: str) -> tuple[str, ...]:
    return (f"F{frame} {side} leg inner", f"F{frame} {side} leg outer")


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="7",
        check="station",
        did="the strongback in the plan ends 100 mm short of the foremost frame",
        plant=_strongback_too_short,
        gives=((("F7",), 100.0),),
    ),
    Fault(
        frame="1",
        check="station",
        did="the datum line is drawn 6 mm above the origin",
        plant=_datum_line_off,
        gives=(((), 6.0),),
    ),
    Fault(
        frame="2",
        check="screw-foul",
        did="a screw from aft stands 2 mm beside one from forward, in the same gusset",
        plant=_screw_against_screw,
        gives=((("F2 aft screw 5", "F2 forward screw 5"), 2.0),),
    ),
    Fault(
        frame="2",
        check="corner",
        did="the inside corners of the legs' feet are drawn sharp, without the relief for the rail's edge",
        plant=_corner_without_relief,
        gives=tuple(
            ((f"F2 {side} leg {ply}", f"{side} rail"), 0.0)
            for side in ("port", "starboard")
            for ply in ("inner", "outer")
        ),
    ),
    Fault(
        frame="3",
        check="outline",
        did="an outline on the layer of the core was begun above the floor and left open on one side of 40 mm",
        plant=_outline_left_open,
        gives=(((), 40.0),),
    ),
    Fault(
        frame="3",
        check="screw-edge",
        did="a screw of the port chine gusset stands 3 mm from the gusset's end",
        plant=_screw_at_the_edge,
        gives=((("F3 forward screw 4", "F3 port chine gusset, forward"), 3.0),),
    ),
    Fault(
        frame="3",
        check="notch-foul",
        did="the keel's notch is drawn 1.5 mm too shallow",
        plant=_notch_too_shallow,
        gives=((("F3 floor", "keel"), 1.5),),
    ),
    Fault(
        frame="4",
        check="joint-gap",
        did="the port side is 0.8 mm too short at its joint with the floor",
        plant=_side_too_short,
        gives=((("F4 floor", "F4 port side"), 0.8),),
    ),
    Fault(
        frame="4",
        check="foul",
        did="a knee for a thwart was added that runs 4 mm over the end of the port chine gusset",
        plant=_knee_on_the_gusset,
        gives=((("F4 port chine gusset, forward", "F4 port thwart knee"), 4.0),),
    ),
    Fault(
        frame="5",
        check="screw-bite",
        did="a screw of 1-1/2 in where one of 3/4 in is wanted: 38.1 mm in 30 mm of plywood",
        plant=_screw_too_long,
        gives=((("F5 forward screw 1", "F5 port chine gusset, aft"), 8.1),),
    ),
    Fault(
        frame="5",
        check="notch-slack",
        did="the keel's notch is drawn 2.5 mm too deep",
        plant=_notch_too_deep,
        gives=((("F5 floor", "keel"), 2.5),),
    ),
    Fault(
        frame="5",
        check="leg-bottom",
        did="the foot of the port leg is drawn 4 mm too long",
        plant=_leg_too_long,
        gives=((_both_plies("5", "port"), 4.0),),
    ),
    Fault(
        frame="6",
        check="outline",
        did="the starboard sheer gusset has no label",
        plant=_label_forgotten,
        gives=(((), None),),
    ),
    Fault(
        frame="6",
        check="notch-missing",
        did="the floor has no notch for the keel",
        plant=_notch_forgotten,
        gives=((("F6 floor", "keel"), None),),
    ),
    Fault(
        frame="6",
        check="leg-side",
        did="the legs are drawn for a strongback that is 6 mm narrower",
        plant=_legs_for_a_narrower_strongback,
        gives=((_both_plies("6", "port"), 3.0), (_both_plies("6", "starboard"), 3.0)),
    ),
    Fault(
        frame="7",
        check="leg-pair",
        did="there is no starboard leg",
        plant=_leg_forgotten,
        gives=((_both_plies("7", "port"), None),),
    ),
)

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


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FAULTY
    shutil.rmtree(target, ignore_errors=True)
    planted(SOUND, target, FAULTS)
    (target / "README.md").write_text(readme(FAULTS), encoding="utf-8")

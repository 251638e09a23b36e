"""Writes a plan folder anew in another but equal way: seen from the other side, in inches, moved, shuffled."""

from __future__ import annotations

import datetime
import json
import math
import random
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import shapely
from ezdxf.document import Drawing
from ezdxf.math import Matrix44

from scrieve.model.geometry.outline import Outline

FINE = 1e-4
"""mm; sagitta of arcs that are drawn as chords in a half drawing."""

_DIVIDED = 5.0  # mm; shorter edges are left as they are


def copy_of(plan: Path, folder: Path) -> Path:
    """A copy of a plan folder in `folder`, to be changed."""
    shutil.copytree(plan, folder)
    return folder


def seen_from_the_other_side(plan: Path) -> None:
    """Turns every drawing of a frame over, and says so in the plan."""
    change_drawings(plan, lambda doc: _transform(doc, Matrix44.scale(-1, 1, 1)), "frames/*.dxf")

    def turn(content: dict[str, Any]) -> None:
        seen = content["plan"].get("seen", "from aft")
        content["plan"]["seen"] = "from forward" if seen == "from aft" else "from aft"
        for frame in content["frames"]:
            u, v = frame.get("origin", [0, 0])
            frame["origin"] = [-u, v]

    change_plan(plan, turn)


def drawn_in_inches(plan: Path) -> None:
    """Draws every drawing in inches; the plan stays in its own units."""

    def scale(doc: Drawing) -> None:
        _transform(doc, Matrix44.scale(1 / 25.4, 1 / 25.4, 1 / 25.4))
        doc.header["$INSUNITS"] = 1

    change_drawings(plan, scale)


def planned_in_inches(plan: Path) -> None:
    """Writes every bare number of the plan that is a length in inches; the drawings stay as they are."""

    def convert(content: dict[str, Any]) -> None:
        content["plan"]["units"] = "in"
        for table, keys in _LENGTHS.items():
            for holder in _tables(content, table):
                for key in keys:
                    if key in holder:
                        holder[key] = _in_inches(holder[key])

    change_plan(plan, convert)


def half_drawn(plan: Path) -> None:
    """Leaves only the port half in every drawing; what reaches over the centreline is cut off there."""

    def halve(doc: Drawing) -> None:
        space = doc.modelspace()
        for entity in list(space):
            if entity.dxftype() == "LWPOLYLINE":
                _halve(space, entity)
            elif entity.dxftype() == "CIRCLE" and entity.dxf.center.x > 0.01:
                space.delete_entity(entity)
            elif entity.dxftype() == "TEXT":
                _keep_to_port(space, entity)

    change_drawings(plan / "frames", halve)  # cut sheets show every part

    def mirror(content: dict[str, Any]) -> None:
        for frame in content["frames"]:
            frame["mirror"] = True

    change_plan(plan, mirror)


def moved_along(plan: Path, distance: float) -> None:
    """Moves the whole boat along x."""

    def move(content: dict[str, Any]) -> None:
        for frame in content["frames"]:
            frame["station"] += distance
        if "strongback" in content:
            content["strongback"]["from"] += distance
            content["strongback"]["to"] += distance

    change_plan(plan, move)


def shuffled(plan: Path, seed: int) -> None:
    """Puts frames and everything drawn into another order; polylines begin elsewhere and may run backwards."""
    chance = random.Random(seed)

    def shuffle(doc: Drawing) -> None:
        space = doc.modelspace()
        entities = list(space)
        for entity in entities:
            if entity.dxftype() == "LWPOLYLINE" and entity.closed:
                points = entity.get_points("xyb")
                turn = chance.randrange(len(points))
                entity.set_points(points[turn:] + points[:turn], format="xyb")
                if chance.random() < 0.5:
                    _reverse(entity)
        chance.shuffle(entities)
        for entity in entities:
            space.unlink_entity(entity)
        for entity in entities:
            space.add_entity(entity)

    change_drawings(plan, shuffle)
    change_plan(plan, lambda content: chance.shuffle(content["frames"]))


def divided(plan: Path, seed: int, *, pace: float = 1e9) -> None:
    """Divides every straight edge at a place of its own, and into short pieces of about `pace` mm, as of a spline."""
    chance = random.Random(seed)

    def divide(doc: Drawing) -> None:
        for entity in doc.modelspace().query("LWPOLYLINE"):
            if entity.closed:
                points = entity.get_points("xyb")
                ends = points[1:] + points[:1]
                entity.set_points([at for a, b in zip(points, ends, strict=True) for at in pieces(a, b)], format="xyb")

    def pieces(start: tuple[float, ...], end: tuple[float, ...]) -> list[tuple[float, ...]]:
        (x, y, bulge), (u, v, _) = start, end
        length = math.hypot(u - x, v - y)
        if bulge or length < _DIVIDED:
            return [start]
        even = int(length // pace)
        shares = sorted([0.0, chance.uniform(0.1, 0.9), *(k / (even + 1) for k in range(1, even + 1))])
        return [(x + share * (u - x), y + share * (v - y), 0.0) for share in shares]

    change_drawings(plan, divide)


def change_drawings(plan: Path, change: Callable[[Drawing], None], pattern: str = "*.dxf") -> None:
    """Applies a change to every DXF of this pattern below a plan folder."""
    for file in sorted(plan.rglob(pattern)):
        doc = ezdxf.readfile(file)
        change(doc)
        doc.saveas(file)


def change_plan(plan: Path, change: Callable[[dict[str, Any]], Any]) -> None:
    """Applies a change to the content of plan.toml."""
    file = plan / "plan.toml"
    content = tomllib.loads(file.read_text(encoding="utf-8"))
    change(content)
    file.write_text(as_toml(content), encoding="utf-8")


def as_toml(content: dict[str, Any]) -> str:
    """TOML text of nested tables, arrays of tables and plain values."""
    lines: list[str] = []
    _table(content, (), lines)
    return "\n".join(lines) + "\n"


# which values of which table are lengths, for planned_in_inches
_LENGTHS = {
    "cutter": ("diameter",),
    "stock.*": ("thickness", "measured", "size"),
    "strongback": ("inside_width", "rail", "from", "to"),
    "dowels": ("diameter", "board"),
    "screws.*": ("diameter", "length"),
    "battens.*": ("section", "arris"),
    "frames": ("station", "origin", "extent"),
    "cut_sheets": ("extent",),
}


def _tables(content: dict[str, Any], name: str) -> list[dict[str, Any]]:
    head, _, rest = name.partition(".")
    found = content.get(head, {})
    if isinstance(found, list):
        return found
    return list(found.values()) if rest == "*" else [found]


def _in_inches(value: Any) -> Any:
    if isinstance(value, list):
        return [_in_inches(item) for item in value]
    return value if isinstance(value, str) else value / 25.4


def _transform(doc: Drawing, matrix: Matrix44) -> None:
    for entity in doc.modelspace():
        entity.transform(matrix)


def _halve(space: Any, line: Any) -> None:
    whole = Outline.of([(u, v) for u, v, _ in line.get_points("xyb")], [b for *_, b in line.get_points("xyb")])
    left, bottom, right, top = whole.polygon().bounds
    if right <= 0.01:
        return
    if left < -0.01:
        half = shapely.intersection(whole.polygon(FINE), shapely.box(left - 1, bottom - 1, 0, top + 1))
        space.add_lwpolyline(half.exterior.coords[:-1], close=True, dxfattribs={"layer": line.dxf.layer})
    space.delete_entity(line)


def _keep_to_port(space: Any, text: Any) -> None:
    u, v = text.dxf.insert.x, text.dxf.insert.y
    if text.dxf.text.startswith("starboard "):
        space.delete_entity(text)
        return
    text.dxf.text = text.dxf.text.removeprefix("port ")
    text.dxf.insert = (-abs(u), v)


def _reverse(polyline: Any) -> None:
    points = polyline.get_points("xyb")
    bulges = [-b for _, _, b in points]
    corners = [(x, y) for x, y, _ in points][::-1]
    back = bulges[::-1]
    polyline.set_points([(x, y, b) for (x, y), b in zip(corners, back[1:] + back[:1], strict=True)], format="xyb")


def _table(content: dict[str, Any], path: tuple[str, ...], lines: list[str]) -> None:
    for key, value in content.items():
        if not isinstance(value, dict) and not _is_tables(value):
            lines.append(f"{_key(key)} = {_value(value)}")
    for key, value in content.items():
        name = ".".join(_key(part) for part in (*path, key))
        if isinstance(value, dict):
            lines += ["", f"[{name}]"]
            _table(value, (*path, key), lines)
        elif _is_tables(value):
            for item in value:
                lines += ["", f"[[{name}]]"]
                _table(item, (*path, key), lines)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _key(key: str) -> str:
    return key if key.replace("_", "").replace("-", "").isalnum() and key.isascii() else json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    if isinstance(value, datetime.date):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)

"""Fills in what `begin` leaves blank from the plan that the drawings were made for, and holds the two side by side."""

from __future__ import annotations

import math
import tomllib
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

import ezdxf

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan import FrameSpec, Plan
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.plan.toml_places import TomlPlaces
from scrieve.model.review import review
from scrieve.shared.findings import Level

ALIKE = 0.11  # mm; sizes are read out of drawings to the tenth


def filled(text: str, true: Plan) -> str:
    """The text of a plan, each "" in it replaced by what the true plan has."""
    begun, places = tomllib.loads(text), TomlPlaces.of(text)
    lines = text.splitlines(keepends=True)
    for path, ((line, start), (_, end)) in sorted(places.values.items(), key=lambda item: item[1], reverse=True):
        row = lines[line - 1]
        if row[start - 1 : end - 1] == '""':
            lines[line - 1] = f"{row[: start - 1]}{_true(path, begun, true)}{row[end - 1 :]}"
    return "".join(lines)


def _true(path: tuple[Any, ...], begun: dict[str, Any], true: Plan) -> str:
    """What the true plan has at a key path of the one that is begun, as TOML."""
    table, key = path[0], path[-1]
    if table == "frames":
        spec = true_frame(begun["frames"][path[1]], true)
        return {"rake": f"{spec.rake!r}", "station_at": f'"{spec.station_at}"'}.get(key, f'"{spec.station!r} mm"')
    if table == "strongback":
        rails = true.strongback
        if key == "rail":
            return f'["{rails.rail[0]} mm", "{rails.rail[1]} mm"]'
        return f'"{ {"from": rails.start, "to": rails.end, "inside_width": rails.inside_width}[key]!r} mm"'
    if table == "battens":
        kind = true.battens.get(path[1])
        return f'"{kind.arris!r} mm"' if kind else "0"
    of = {"stock": "stock", "screws": "screw"}[table]
    layers = [name for name, layer in begun["layers"].items() if layer.get(of) == path[1] and name in true.layers]
    there = Counter(getattr(true.layers[name], of) for name in layers).most_common(1)
    thing = (true.stock if table == "stock" else true.screws)[there[0][0] or ""]
    value = thing.real_thickness if table == "stock" else thing.length if key == "length" else thing.size.diameter
    return f'"{value!r} mm"'


def true_frame(frame: dict[str, Any], true: Plan) -> FrameSpec:
    """The frame of the true plan that one of the other is: in that drawing, the nearest origin."""
    scale = {"mm": 1.0, "cm": 10.0, "in": 25.4}[true.units]
    there = [spec for spec in true.frames if spec.drawing == frame["drawing"]]
    at = [value * scale for value in frame.get("origin", (0.0, 0.0))]
    return min(there, key=lambda spec: math.dist(spec.origin, at))


def told(plan: Path, levels: tuple[Level, ...] = (Level.ERROR, Level.WARNING)) -> list[tuple[str, str, str]]:
    """What `check` finds in a plan: check, level, message; in some order that is always the same."""
    return sorted(
        (f.check, f.level.value, str(f.message)) for f in review(assemble(read_plan(plan))) if f.level in levels
    )


def compared(begun: Plan, true: Plan, drawn: Collection[str]) -> Iterator[tuple[str, str, bool]]:
    """Each thing that the plan begun says or should say: its kind, what it is of, whether it is as in the true one.

    Of layers those count that are `drawn`.
    """
    yield "units", "", begun.units == true.units
    yield "seen", "", begun.seen == true.seen
    yield "build", "", begun.build == true.build
    wanted = {(spec.drawing, _near(spec.origin)): spec for spec in true.frames}
    got = {(spec.drawing, _near(spec.origin)): spec for spec in begun.frames}
    for place, spec in wanted.items():
        mine = got.pop(place, None)
        yield "frame found", spec.number, mine is not None
        if mine is not None:
            yield "frame number", spec.number, mine.number == spec.number
            yield "half drawing", spec.number, mine.mirror == spec.mirror
    for drawing, _ in got:
        yield "frame found", f"{drawing}, which is none", False
    for name in sorted({*true.layers, *begun.layers} & set(drawn)):
        one, other = true.layers.get(name), begun.layers.get(name)
        if one is None or other is None:
            yield "layer", name, one is None and other is None
            continue
        yield "layer", name, one.makes == other.makes
        if one.makes == other.makes == "part":
            yield "face of parts", name, one.face == other.face
            yield "role of parts", name, one.role == other.role
            thick = true.stock[one.stock].real_thickness, begun.stock[other.stock].real_thickness
            yield "stock of parts", name, abs(thick[0] - thick[1]) < ALIKE
        if one.makes == other.makes == "screw":
            yield "face of screws", name, one.driven_from == other.driven_from
            sizes = true.screws[one.screw].size.diameter, begun.screws[other.screw].size.diameter
            yield "size of screws", name, abs(sizes[0] - sizes[1]) < ALIKE
    for name in sorted({*true.battens, *begun.battens}):
        one, other = true.battens.get(name), begun.battens.get(name)
        yield "batten", name, one is not None and other is not None
        if one is not None and other is not None:
            yield "section of battens", name, math.dist(one.section, other.section) < ALIKE
            yield "sides of battens", name, one.sides == other.sides
    if true.strongback is not None:
        rails = begun.strongback
        yield "rails", "", rails is not None and abs(rails.inside_width - true.strongback.inside_width) < ALIKE
    yield "cutter", "", abs(begun.cutter.diameter - true.cutter.diameter) < ALIKE
    sheets = {sheet.drawing: true.stock[sheet.stock].real_thickness for sheet in true.cut_sheets}
    mine = {sheet.drawing: begun.stock[sheet.stock].real_thickness for sheet in begun.cut_sheets}
    for name in sorted({*sheets, *mine}):
        yield "cut sheet", name, abs(sheets.get(name, 0.0) - mine.get(name, -1.0)) < ALIKE


def _near(origin: tuple[float, float]) -> tuple[int, int]:
    return round(origin[0]), round(origin[1])


def relayered(boat: Path, folder: Path, names: Mapping[str, str], *, sheets: bool = True) -> None:
    """The drawings of a boat in a folder, with other names of layers; without `sheets` those of frames alone."""
    for file in sorted(boat.glob("*/*.dxf")):
        if sheets or file.parent.name == "frames":
            document = ezdxf.readfile(file)
            for entity in document.entitydb.values():
                if entity.dxf.hasattr("layer"):
                    entity.dxf.layer = names.get(entity.dxf.layer, entity.dxf.layer)
            (folder / file.relative_to(boat)).parent.mkdir(exist_ok=True, parents=True)
            document.saveas(folder / file.relative_to(boat))


def renamed(boat: Path, folder: Path, names: Mapping[str, str], *, sheets: bool = True) -> Plan:
    """The same; her plan with those names comes back, and is not there by its usual name."""
    relayered(boat, folder, names, sheets=sheets)
    text = (boat / "plan.toml").read_text()
    for old, new in names.items():
        text = text.replace(f'"{old}"', f'"{new}"').replace(f"[layers.{old}]", f'[layers."{new}"]')
    if not sheets:
        text = "[[frames]]".join(part.partition("[[cut_sheets]]")[0] for part in text.split("[[frames]]"))
    true = folder / "true.toml"
    true.write_text(text)
    return read_plan(true)

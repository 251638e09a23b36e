"""Plans of one frame with pockets, seen from forward (u to port), drawn for tests."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path

import ezdxf
from replanning import as_toml

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan

Points = list[tuple[float, float]]

PLAN = {
    "plan": {"name": "Laps", "units": "mm", "seen": "from forward"},
    "stock": {"ply12": {"thickness": 12, "density": 500}, "ply9": {"thickness": 9, "density": 680}},
    "screws": {"gusset": {"gauge": 8, "length": "3/4 in"}},
    "layers": {
        "CORE": {"makes": "part", "face": "core", "stock": "ply12"},
        "GUSSETS": {"makes": "part", "face": "forward", "stock": "ply9", "role": "gusset"},
        "SCREWS": {"makes": "screw", "screw": "gusset", "driven_from": "forward"},
        "POCKETS FWD": {"makes": "pocket", "face": "forward", "depth": 6},
        "POCKETS AFT": {"makes": "pocket", "face": "aft", "depth": 6},
        "SEATS": {"makes": "pocket", "face": "forward", "depth": 9},
        "LABELS": {"makes": "label"},
    },
}


def box(left: float, low: float, right: float, high: float) -> Points:
    """The corners of a rectangle."""
    return [(left, low), (right, low), (right, high), (left, high)]


def write(
    folder: Path,
    shapes: Iterable[tuple[str, str, Points]],
    *,
    screws: Iterable[tuple[float, float]] = (),
    plan: Mapping[str, object] | None = None,
    frame: Mapping[str, object] | None = None,
    sheets: Mapping[str, tuple[str, Iterable[tuple[str, str, Points]]]] | None = None,
) -> Path:
    """A plan folder whose one frame, F5, shows these shapes (layer, text, corners); `plan` replaces tables of PLAN.

    A part's text stands near its first corner, or at a fourth value, on the layer of labels, a pocket's on its own.
    `sheets` are stock and shapes, by the name of their drawing.
    """
    _draw(folder / "5.dxf", shapes, screws)
    content = {**PLAN, **(plan or {})}
    content["frames"] = [{"number": "5", "station": 1000, "drawing": "5.dxf", **(frame or {})}]
    content["cut_sheets"] = [{"drawing": name, "stock": stock} for name, (stock, _) in (sheets or {}).items()]
    for name, (_, drawn) in (sheets or {}).items():
        _draw(folder / name, drawn, ())
    (folder / "plan.toml").write_text(as_toml(content), encoding="utf-8")
    return folder


def boat(folder: Path, shapes: Iterable[tuple[str, str, Points]], **more: object) -> Assembly:
    """The boat of `write`."""
    return assemble(read_plan(write(folder, shapes, **more)))


def gussets_let_in(folder: Path, depth: float, screws: str) -> None:
    """Makes the gussets of a plan `depth` mm thick and lets them in flush in both faces; its sheets and cutter go."""
    content = tomllib.loads((folder / "plan.toml").read_text(encoding="utf-8"))
    layers = content["layers"]
    gussets = {name: layer["face"] for name, layer in layers.items() if layer.get("role") == "gusset"}
    del content["cutter"], content["cut_sheets"]
    content["stock"]["thin"] = {"thickness": depth, "density": 500}
    content["screws"]["gusset"]["length"] = screws
    for name in gussets:
        layers[name]["stock"] = "thin"
    for face in ("forward", "aft"):
        layers[face] = {"makes": "pocket", "face": face, "depth": depth}
    (folder / "plan.toml").write_text(as_toml(content), encoding="utf-8")
    for file in (folder / "frames").glob("*.dxf"):
        document = ezdxf.readfile(file)
        space = document.modelspace()
        for gusset in [each for each in space.query("LWPOLYLINE") if each.dxf.layer in gussets]:
            face = gussets[gusset.dxf.layer]
            for layer in ("forward", "aft") if face == "both" else (face,):
                seat = gusset.copy()
                seat.dxf.layer = layer
                space.add_entity(seat)
        document.saveas(file)


def layer_of_depth(name: str, depth: float) -> dict[str, object]:
    """The layers of PLAN, one of its pockets cut so deep, mm."""
    layers = PLAN["layers"]
    return {**layers, name: {**layers[name], "depth": depth}}


def _draw(file: Path, shapes: Iterable[tuple[str, str, Points]], screws: Iterable[tuple[float, float]]) -> None:
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    for layer, text, corners, *at in shapes:
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        if text:
            middle = [sum(each) / len(corners) for each in zip(*corners, strict=True)]
            u, v = (start + 0.1 * (end - start) for start, end in zip(corners[0], middle, strict=True))
            u, v = at[0] if at else (u, v)
            on = layer if layer.startswith(("POCKETS", "SEATS")) else "LABELS"
            space.add_text(text, dxfattribs={"layer": on, "insert": (u, v), "height": 5})
    for at in screws:
        space.add_circle(at, 2, dxfattribs={"layer": "SCREWS"})
    document.saveas(file)

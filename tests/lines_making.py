"""Makes lines files for tests of the draft: boats by smooth formulas, every table of the file open to change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from scrieve.model.assemble import assemble
from scrieve.model.draft import draft
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level

LENGTH = 4300.0


def hull(
    *,
    deadrise: float = 11.0,
    count: int = 21,
    double: bool = False,
    flat: bool = False,
    length: float = LENGTH,
) -> dict[str, list[float]]:
    """Columns of a table of offsets, mm: a boat of easy curves; `deadrise` in degrees amidships."""
    x = np.linspace(0.0, length, count)
    u = x / length
    bow = np.sin(np.pi * u)
    scale = length / LENGTH
    keel = 60 + 200 * u - 120 * bow
    chine_y = 500 - 440 * u + 300 * bow
    rise = 0.0 if flat else np.tan(np.radians(deadrise))
    chine_z = keel + chine_y * rise + (0.0 if flat else 120 * u**2 * (deadrise > 3))
    sheer_y = chine_y + 100 - 60 * u + 70 * bow
    sheer_z = 480 + 200 * u - 70 * bow + 90
    columns = {
        "stations": x,
        "keel": keel * scale,
        "chine.half_breadth": chine_y * scale,
        "chine.height": chine_z * scale,
        "sheer.half_breadth": sheer_y * scale,
        "sheer.height": sheer_z * scale,
    }
    if double:
        columns["upper_chine.half_breadth"] = (chine_y * 0.25 + sheer_y * 0.75 + 30) * scale
        columns["upper_chine.height"] = (chine_z * 0.65 + sheer_z * 0.35) * scale
        columns["sheer.height"] = columns["sheer.height"] + 160 * scale
    return {name: [round(float(v)) for v in values] for name, values in columns.items()}


def frame(number: str, station: float, kind: str = "open", **more: object) -> dict[str, object]:
    """One frame wanted."""
    return {"number": number, "kind": kind, "station": station, **more}


FRAMES = (
    frame("1", 190, "transom", rake=12),
    frame("2", 800, "ring"),
    frame("3", 1400, "bulkhead"),
    frame("4", 2000),
    frame("5", 2600),
    frame("6", 3200, "ring"),
)

DEFAULTS: dict[str, dict[str, object]] = {
    "boat": {"name": "Test boat", "units": "mm", "seen": "from aft", "build": "upright"},
    "offsets": {"units": "mm", "base": 260, "camber": 60},
    "cutter": {"diameter": 10},
    "stock.ply12": {"thickness": 12, "size": [2440, 1220], "density": 500},
    "stock.ply9": {"thickness": 9, "size": [2440, 1220], "density": 500},
    "strongback": {"inside_width": 200, "rail": [45, 145], "from": -300, "to": 5000},
    "dowels": {"diameter": 10},
    "screws.gusset": {"gauge": 8, "length": "3/4 in"},
    "battens.keel": {"section": [60, 22], "arris": 6},
    "battens.chine": {"section": [40, 22], "arris": 6},
    "battens.sheer": {"section": [45, 20], "arris": 6},
    "framing": {
        "core": "ply12",
        "gusset": "ply9",
        "legs": "ply12",
        "floor_depth": 90,
        "side_depth": 75,
        "beam_depth": 70,
        "gusset_arm": 70,
        "gusset_radius": 60,
    },
    "legs": {"width": 70, "tongue": 60, "lap": 50},
}


def lines(
    columns: Mapping[str, Sequence[object]] | None = None,
    frames: Sequence[Mapping[str, object]] = FRAMES,
    **changes: Mapping[str, object] | None,
) -> str:
    """The text of a lines file. `changes` go into its tables ("__" for "." in their names); None leaves one
    out."""
    columns = hull() if columns is None else columns
    tables = {name: dict(entries) for name, entries in DEFAULTS.items()}
    for name, change in changes.items():
        key = name.replace("__", ".")
        if change is None:
            del tables[key]
        else:
            both = {**tables.get(key, {}), **change}
            tables[key] = {name: value for name, value in both.items() if value is not None}
    edges: dict[str, dict[str, object]] = {}
    for name, values in columns.items():
        edge, _, column = name.rpartition(".")
        if edge:
            edges.setdefault(f"offsets.{edge}", {})[column] = list(values)
        else:
            tables["offsets"][column] = list(values)
    out = []
    for name, entries in [*tables.items(), *edges.items()]:
        out += [f"[{name}]", *(f"{key} = {shown(value)}" for key, value in entries.items()), ""]
    for one in frames:
        out += ["[[frames]]", *(f"{key} = {shown(value)}" for key, value in one.items()), ""]
    return "\n".join(out)


def shown(value: object) -> str:
    """A value as TOML."""
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(shown(v) for v in value)}]"
    return repr(value)


def line_of(text: str, start: str, occurrence: int = 1) -> int:
    """The number of the line that begins with `start`, counted from 1."""
    found = [n for n, line in enumerate(text.splitlines(), start=1) if line.startswith(start)]
    return found[occurrence - 1]


def written(folder: Path, text: str) -> Path:
    """The lines file, written."""
    file = folder / "lines.toml"
    file.write_text(text, encoding="utf-8")
    return file


def drafted(folder: Path, text: str, *, replace: bool = False) -> Path:
    """The folder of the plan drafted from these lines."""
    draft(written(folder, text), folder / "boat", replace=replace)
    return folder / "boat"


def faults(plan_folder: Path) -> list[Finding]:
    """The errors and warnings of all checks on a plan."""
    plan = read_plan(plan_folder)
    return [f for f in review(assemble(plan)) if f.level is not Level.NOTE]

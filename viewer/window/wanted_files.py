"""Which files a boat is made from, also where its plan cannot be taken as it stands."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.model.plan.toml_reader import MOST_BYTES
from scrieve.shared.errors import PlanError
from scrieve.shared.regular_file import read_whole


def wanted_files(path: Path) -> tuple[Path, ...]:
    """The plan in a folder, or in a file of any name, and the drawings that it names, there or not.

    Nothing of it has to be right: of a plan that is not even TOML it is the plan alone. Drawings are wanted in
    the plan's folder and below it, and nowhere else.
    """
    plan = path / PLAN_NAME if path.is_dir() else path
    try:
        content = tomllib.loads(read_whole(plan, most=MOST_BYTES, error=PlanError).decode())
    except (PlanError, ValueError, RecursionError):
        return (plan,)
    drawings = {Path(name) for key in ("frames", "cut_sheets") for name in _drawings(content.get(key))}
    inside = sorted(drawing for drawing in drawings if not drawing.is_absolute() and ".." not in drawing.parts)
    return (plan, *(plan.parent / drawing for drawing in inside))


def _drawings(tables: Any) -> Iterator[str]:
    for table in tables if isinstance(tables, list) else ():
        if isinstance(table, dict) and isinstance(table.get("drawing"), str):
            yield table["drawing"]

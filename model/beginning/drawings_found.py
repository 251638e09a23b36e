"""The drawings of a folder that has no plan yet."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from pydantic_core import PydanticCustomError

from scrieve.shared.errors import DrawingError, Mistake, ScrieveError, UseError
from scrieve.shared.plain_text import plain
from scrieve.shared.regular_file import why_not

from ..drawing import Drawing, read_drawing
from ..plan.plan_place import inside

_MOST_DRAWINGS = 500  # in one folder and those below; a boat of 200 frames has some 250
_MOST_NAMES = 20_000  # files that are looked at; more is no boat's folder
_ENDING = ".dxf"


def drawings_in(folder: Path, plan_folder: Path) -> dict[str, Path]:
    """The DXF files in a folder and those below it, by the paths that a plan in `plan_folder` names them by, sorted.

    Hidden ones are none, nor are those in folders that links lead to. Raises UseError, a mistake for each cause, where
    there are none or too many, for one that no plan may name and for a folder that cannot be looked into.
    """
    if not os.path.isdir(folder):
        what = "a folder with drawings is wanted (got a file)" if os.path.lexists(folder) else "there is no such folder"
        raise UseError.at(what, path=str(folder))
    try:
        above = folder.resolve().relative_to(plan_folder.resolve()).as_posix()
    except ValueError:
        what = "a plan names drawings of its own folder and those below it: one there, or above, is wanted"
        raise UseError.at(what, path=str(plan_folder)) from None
    found: dict[str, Path] = {}
    unread: list[OSError] = []
    wrong: list[Mistake] = []
    for path in _files(folder, unread):
        name = (PurePosixPath(above) / path.relative_to(folder).as_posix()).as_posix()
        try:
            if not name.isprintable():
                raise UseError.at("a name that a plan can hold is wanted: rename it", path=plain(str(path)))
            found[inside(name, plan_folder)] = path
        except PydanticCustomError as problem:
            wrong.append(Mistake(path=plain(str(path)), what=str((problem.context or {}).get("what"))))
        except UseError as problem:
            wrong += problem.mistakes
    wrong += [Mistake(path=plain(problem.filename), what=f"this folder: {why_not(problem)}") for problem in unread]
    if wrong:
        raise UseError(wrong)
    if not found:
        raise UseError.at("there are no DXF drawings in this folder, nor in those below", path=str(folder))
    if len(found) > _MOST_DRAWINGS:
        raise UseError.at(f"at most {_MOST_DRAWINGS} drawings are wanted (got {len(found)})", path=str(folder))
    return dict(sorted(found.items()))


def read_all(files: dict[str, Path], unit: str) -> dict[str, Drawing]:
    """All layers of the drawings; `unit` is that of those that say none. Raises DrawingError with all mistakes."""
    read: dict[str, Drawing] = {}
    wrong: list[Mistake] = []
    for name, path in files.items():
        try:
            read[name] = read_drawing(path, shown=name, plan_unit=unit, layers=None)
        except ScrieveError as problem:
            wrong += problem.mistakes
    if wrong:
        raise DrawingError(wrong)
    return read


def _files(folder: Path, unread: list[OSError]) -> Iterator[Path]:
    """The DXF files; folders that cannot be looked into are added to `unread`."""
    seen = 0
    for place, below, names in os.walk(folder, onerror=unread.append):
        below[:] = sorted(name for name in below if not name.startswith("."))
        seen += len(names) + len(below)
        if seen > _MOST_NAMES:
            raise UseError.at(f"at most {_MOST_NAMES} files are looked at: name the drawings' folder", path=str(folder))
        for name in sorted(names):
            if name.casefold().endswith(_ENDING) and not name.startswith("."):
                yield Path(place) / name

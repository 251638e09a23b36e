"""Where a plan or a lines file is, and what stands in its place: found out before it is read, and without a library."""

from __future__ import annotations

import os
import re
import stat
from contextlib import suppress
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Annotated

from pydantic import AfterValidator, ValidationInfo

from scrieve.shared.errors import PlanError
from scrieve.shared.regular_file import at_once, why_not

from .toml_fields import Text, reading, wrong

PLAN_NAME = "plan.toml"
LINES_NAME = "lines.toml"

_START = 1024  # bytes by which a drawing is known
_MANY = 3  # plans in folders below that are named
_DXF = re.compile(rb"(?:\s*999[ \t]*\r?\n[^\n]*\n)*\s*0\s*\r?\n\s*SECTION\b")
_DRAWINGS = {
    b"AutoCAD Binary DXF": "a DXF drawing",
    b"AC10": "a DWG drawing",
    b"%PDF": "a PDF",
    b"<svg": "an SVG drawing",
    b"<?xml": "an XML file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}


def plan_file(path: Path) -> Path:
    """The file of the plan that `path` names: the folder's own, or that file.

    Raises PlanError for a folder that has none, and for a drawing; says what to name or to do. What else is wrong with
    a file is for its reader to say.
    """
    if not os.path.isdir(path):
        if drawing := _drawing(path):
            above = next((folder for folder in path.parents if (folder / PLAN_NAME).is_file()), None)
            which = f"the plan's folder, {above}" if above is not None else f"the folder that holds {PLAN_NAME}"
            raise PlanError.at(f"a plan is wanted: name {which} (got {drawing})", path=str(path))
        return path
    file = path / PLAN_NAME
    if not os.path.lexists(file):
        raise PlanError.at(f"there is no {PLAN_NAME} in this folder{_instead(path)}", path=str(path))
    return file


def lines_file(path: Path) -> Path:
    """The lines file that `path` names. Raises PlanError for a folder, and for a drawing."""
    got = "a folder" if os.path.isdir(path) else _drawing(path)
    if got:
        own = path / LINES_NAME
        which = f": name {own}" if got == "a folder" and own.is_file() else ""
        raise PlanError.at(f"a lines file with a table of offsets is wanted{which} (got {got})", path=str(path))
    return path


def _drawing(path: Path) -> str:
    """What kind of drawing a file is; empty for what is none, and for what cannot be read."""
    start = b""
    with suppress(OSError, ValueError):
        if stat.S_ISREG(path.stat().st_mode):
            with open(path, "rb", opener=at_once) as file:
                start = file.read(_START).removeprefix(b"\xef\xbb\xbf")
    if _DXF.match(start):
        return "a DXF drawing"
    return next((kind for mark, kind in _DRAWINGS.items() if start.lstrip().startswith(mark)), "")


def _instead(folder: Path) -> str:
    """What is there in place of a plan, and what can be done."""
    try:
        held = sorted(folder.iterdir())
    except OSError:
        held = []
    if (folder / LINES_NAME) in held:
        return f", but a lines file: `scrieve draft {folder / LINES_NAME} {folder}` makes a plan of it"
    if below := [str(each) for each in held if (each / PLAN_NAME).is_file()]:
        more = " and others" if len(below) > _MANY else ""
        return f", but in those below: name {' or '.join(below[:_MANY])}{more}"
    empty = "" if held else ", which is empty"
    return f"{empty}: name one that holds a plan, or have `scrieve draft LINES FOLDER` make one from a table of offsets"


def inside(value: str, folder: Path) -> str:
    """The path as given, without needless dots; raises the error of `wrong` if it is not one to open.

    It has to be relative, written with forward slashes, without "..", and name a regular file that,
    symbolic links followed, lies in `folder`.
    """
    there = PurePosixPath(value)
    windows = PureWindowsPath(value)
    if "\\" in value:
        raise wrong("a path with forward slashes is wanted")
    if there.is_absolute() or windows.drive or windows.root:
        raise wrong("a path that starts from the plan's folder is wanted")
    if ".." in there.parts:
        raise wrong("a path inside the plan's folder, without .., is wanted")
    try:
        real = os.path.realpath(folder / there, strict=True)
        root = os.path.realpath(folder, strict=True)
        regular = stat.S_ISREG(os.stat(real).st_mode)
    except (OSError, ValueError) as problem:
        raise wrong(why_not(problem)) from None
    if not Path(real).is_relative_to(root):
        raise wrong("a file inside the plan's folder is wanted, symbolic links followed")
    if not regular:
        raise wrong("a regular file is wanted")
    return str(there)


def _inside(value: str, info: ValidationInfo) -> str:
    return inside(value, reading(info).folder)


InsidePath = Annotated[Text, AfterValidator(_inside)]
"""A path inside the plan's folder, as the plan writes it, of a regular file that is there."""

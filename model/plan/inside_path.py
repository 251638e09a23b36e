"""The paths a plan names: relative to its folder, staying inside it, of files that are there."""

from __future__ import annotations

import os
import stat
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Annotated

from pydantic import AfterValidator, ValidationInfo

from scrieve.shared.regular_file import why_not

from .toml_fields import Text, reading, wrong


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

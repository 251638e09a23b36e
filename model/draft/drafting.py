"""The draft: a lines file becomes a plan and its frame drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from scrieve.shared.errors import DraftError, Mistake, UseError
from scrieve.shared.whole_files import may_write_files, same_file, write_files

from .hull import hull_of
from .lines import read_lines
from .remedies import remedied
from .worked_out import files_of, work_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """What was written, as paths to print, and what is to be said about it."""

    files: tuple[Path, ...]
    remarks: tuple[str, ...]


def draft(lines_file: Path, folder: Path, *, replace: bool = False) -> Drafted:
    """The files of a first framing plan, written into `folder`: the plan, a drawing a frame, and one a cut sheet.

    All of them are written or none. Raises PlanError for a lines file that cannot be taken, DraftError where no plan
    can be made of it, UseError where a file is in the way or cannot be written.
    """
    texts, remarks = drafted_files(lines_file)
    may_write_files(folder, texts, replace=replace)
    paths = tuple(folder / name for name in texts)
    for path in paths:
        if same_file(path, lines_file):
            raise UseError.at(f"{path} is in the way: it is the lines file itself")
    write_files(folder, texts)
    return Drafted(files=paths, remarks=remarks)


def drafted_files(lines_file: Path) -> tuple[Mapping[str, bytes], tuple[str, ...]]:
    """The files of the draft by name, plan first, and remarks; nothing is written. Raises as `draft` does."""
    file, places = read_lines(lines_file)
    shown = str(lines_file)
    _, hull_remarks = hull_of(file, places, shown)
    worked, reasons = work_out(file)
    files: dict[str, bytes] = {}
    remarks: tuple[str, ...] = ()
    if worked is not None:
        files, remarks, reasons = files_of(file, worked)
    if reasons:
        told = remedied(file, reasons)
        raise DraftError(Mistake(path=shown, line=places.line_of(*reason.at), what=what) for reason, what in told)
    return files, (*hull_remarks, *remarks)

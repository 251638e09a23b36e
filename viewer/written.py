"""Files that a verb writes: whole or not at all, and never over another without leave."""

from __future__ import annotations

import os
from pathlib import Path

from scrieve.model.plan import Plan
from scrieve.shared.errors import UseError


def may_write(path: str, *, replace: bool) -> Path:
    """The place to write to, links followed. Raises UseError where a file stands in the way and may not be replaced.

    Asked before long work, so that an hour is not spent on what will be refused.
    """
    target = Path(path).resolve()
    if target.exists() and not target.is_file():
        raise UseError.at("cannot be written: it is not an ordinary file", path=path)
    if target.exists() and not replace:
        raise UseError.at("is there already; --replace writes over it", path=path)
    if not target.parent.is_dir():
        raise UseError.at("cannot be written: there is no such folder", path=path)
    return target


def keep_off(path: str, plan: Plan) -> None:
    """Raises UseError where the place to write to is the plan itself or a drawing that it names, leave or none.

    Links are followed: what the designer drew is nobody's to write over.
    """
    target = Path(path).resolve()
    if not target.exists():
        return
    for name in ("", *(frame.drawing for frame in plan.frames), *(sheet.drawing for sheet in plan.cut_sheets)):
        own = plan.folder / name if name else plan.file
        if own.exists() and target.samefile(own):
            what = f"the plan's own drawing {name}" if name else "the plan itself"
            raise UseError.at(f"cannot be written: it is {what}", path=path)


def write_whole(path: str, content: str | bytes, *, replace: bool) -> None:
    """Writes bytes, or text as UTF-8, beside its place and then moves it there: nobody ever sees half of it.

    Raises UseError where it may not or cannot be written; what stood there is then untouched.
    """
    target = may_write(path, replace=replace)
    written = content if isinstance(content, bytes) else content.encode("utf-8", errors="backslashreplace")
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        try:
            beside.write_bytes(written)
            os.replace(beside, target)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise UseError.at(f"cannot be written ({error.strerror})", path=path) from error

"""Files that a verb writes: whole or not at all, and never over another without leave."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.model.plan.toml_reader import MOST_BYTES
from scrieve.shared.errors import UseError
from scrieve.shared.regular_file import read_whole
from scrieve.shared.whole_files import same_file, write_each

from .terminal import remark, say

_OWN = (".toml", ".dxf")
_NAMED = re.compile(r"""\bdrawing["']?\s*=\s*(["'])([^"'\n]+)\1""")


def may_write(path: str, *, replace: bool) -> Path:
    """The place to write to, links followed. Raises UseError where a file stands in the way and may not be replaced.

    Asked before long work, so that an hour is not spent on what will be refused.
    """
    target = Path(path).resolve()
    if wrong := _no_file(path):
        raise UseError.at(f"cannot be written: {wrong}", path=path)
    if target.exists() and not replace:
        raise UseError.at("is there already; --replace writes over it", path=path)
    if not target.parent.is_dir():
        raise UseError.at("cannot be written: there is no such folder", path=path)
    return target


def _no_file(path: str) -> str:
    """Why what stands at a path is none to write over, links followed; empty for a file, and where nothing is.

    A link such as /dev/stdout may lead to what has no path: so it is asked what it opens, not where it leads.
    """
    try:
        there = os.stat(path)
    except (OSError, ValueError):
        return ""
    if stat.S_ISDIR(there.st_mode):
        return "an ordinary file is wanted (got a folder)"
    if any(os.path.samestat(there, own) for own in _own_streams()):
        return "a file of its own is wanted (what the command says goes there already)"
    return "" if stat.S_ISREG(there.st_mode) else "an ordinary file is wanted (got a device or pipe)"


def _own_streams() -> Iterator[os.stat_result]:
    """What stdout and stderr are open on, as far as they are open."""
    for number in (1, 2):
        with suppress(OSError):
            yield os.fstat(number)


def keep_off(path: str, plan: Plan) -> None:
    """Raises UseError where the place to write to is the plan itself or a drawing that it names, leave or none.

    Links are followed: what the designer drew is nobody's to write over.
    """
    target = Path(path).resolve()
    if not target.exists():
        return
    for name in ("", *plan.drawings):
        own = plan.folder / name if name else plan.file
        if same_file(target, own):
            what = f"the plan's own drawing {name}" if name else "the plan itself"
            raise UseError.at(f"cannot be written: it is {what}", path=path)


def keep_off_unread(path: str, plan: str) -> None:
    """The same for a plan, a folder or a file, that was not read: what in it is its own is not known for sure.

    So whatever it seems to name counts, and so does every plan and drawing in its folder and below.
    """
    target = Path(path).resolve()
    if not target.exists():
        return
    file = Path(plan) / PLAN_NAME if os.path.isdir(plan) else Path(plan)
    if same_file(target, file):
        raise UseError.at("cannot be written: it is the plan itself", path=path)
    folder = file.parent.resolve()
    if target.suffix.casefold() in _OWN and target.is_relative_to(folder):
        raise UseError.at(f"cannot be written: it may be a drawing of {plan}", path=path)
    for name in _seem_named(file):
        if same_file(target, folder / name):
            raise UseError.at(f"cannot be written: it is the plan's own drawing {name}", path=path)


def _seem_named(file: Path) -> list[str]:
    """The drawings that a broken plan names, line by line, whatever else is wrong with it."""
    try:
        text = read_whole(file, most=MOST_BYTES, error=UseError).decode("utf-8", errors="replace")
    except UseError:
        return []
    return [name for _, name in _NAMED.findall(text) if name.isprintable()]


def deliver(text: str, path: str | None, *, replace: bool) -> None:
    """Writes text to a file, and says so; without one to stdout. Raises as `write_whole` and `say` do."""
    if path is None:
        say(text)
    else:
        write_whole(path, text, replace=replace)
        remark(f"wrote {path}")


def write_whole(path: str, content: str | bytes, *, replace: bool) -> None:
    """Writes bytes, or text as UTF-8 (see `shared.whole_files`).

    Raises UseError where it may not or cannot be written; what stood there is then untouched.
    """
    write_all({path: content}, replace=replace)


def write_all(files: Mapping[str, str | bytes], *, replace: bool) -> None:
    """The same for several files, which are all written or none."""
    write_each(
        [
            (
                may_write(path, replace=replace),
                content if isinstance(content, bytes) else content.encode("utf-8", errors="backslashreplace"),
                path,
            )
            for path, content in files.items()
        ]
    )

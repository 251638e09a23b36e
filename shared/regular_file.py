"""Reading a whole file that somebody else named: regular, of bounded size, and never a traceback."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from .errors import ScrieveError

MIB = 1024 * 1024

_NEVER_WAIT = getattr(os, "O_NONBLOCK", 0)


def at_once(name: str, flags: int) -> int:
    """Opens a file for `open`, and never waits for a writer where a pipe stands in its place."""
    return os.open(name, flags | _NEVER_WAIT)


def read_whole(path: Path, *, most: int, error: type[ScrieveError], shown: str = "") -> bytes:
    """The bytes of a regular file of at most `most` bytes.

    Raises `error`, with one mistake whose path is `shown` (by default `path`), for a file that is
    missing, too big, not a regular file (a folder, a device, a pipe), or may not be read.
    """
    shown = shown or str(path)
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise error.at("a regular file is wanted (got a folder, pipe or device)", path=shown)
        # Should a pipe take the file's place between the two looks, opening it does not wait for a writer.
        with open(path, "rb", opener=at_once) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise error.at("a regular file is wanted (got a pipe or device)", path=shown)
            content = file.read(most + 1)
    except (OSError, ValueError) as problem:
        raise error.at(why_not(problem), path=shown) from None
    if len(content) > most:
        raise error.at(f"a file of at most {most // MIB} MiB is wanted (got more)", path=shown)
    return content


def why_not(problem: OSError | ValueError) -> str:
    """Why a file could not be reached, in plain words."""
    if isinstance(problem, FileNotFoundError | NotADirectoryError):
        return "no such file"
    if isinstance(problem, PermissionError):
        return "no permission to read it"
    if isinstance(problem, OSError) and problem.strerror:
        return f"cannot be read ({problem.strerror.lower()})"
    return "cannot be read (no name for a file)"

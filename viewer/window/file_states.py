"""What a file is like at a moment, so that a change of it can be told: without reading it, without a clock."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

FileState = tuple[int, int, int]
"""When it was last written (ns), how large it is (bytes), and which file it is."""

FileStates = dict[Path, FileState | None]
"""None where there is no such file."""


def states_of(files: Iterable[Path]) -> FileStates:
    """What each of these is like now."""
    return {file: _state(file) for file in files}


def _state(file: Path) -> FileState | None:
    try:
        found = os.stat(file)
    except (OSError, ValueError):  # ValueError: no name for a file
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino

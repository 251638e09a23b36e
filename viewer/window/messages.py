"""What the reader of a boat tells the window, a message each through a pipe; and what its files are like."""

from __future__ import annotations

import os
import pickle
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

_LENGTH = 8
"""bytes before each message that say how long it is."""

FileState = tuple[int, int, int]
"""When it was last written (ns), how large it is (bytes), and which file it is."""

FileStates = dict[Path, FileState | None]
"""None where there is no such file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expect:
    """So many steps of work are to come."""

    steps: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tell:
    """This step of the work begins."""

    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The files that make the boat, there or not, as they were before they were read."""

    files: FileStates


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRefused:
    """The plan cannot be read: a line for each cause."""

    why: tuple[str, ...]


def send(stream: BinaryIO, message: Any) -> None:
    """Writes a message, at once."""
    content = pickle.dumps(message, protocol=5)
    stream.write(len(content).to_bytes(_LENGTH, "little"))
    stream.write(content)
    stream.flush()


@dataclass(slots=True)
class Inbox:
    """Puts the bytes of a pipe together again, however they were cut."""

    _waiting: bytearray = field(default_factory=bytearray)

    def take(self, piece: bytes) -> list[Any]:
        """The messages that are whole with this piece, in order."""
        self._waiting += piece
        out = []
        while len(self._waiting) >= _LENGTH:
            end = _LENGTH + int.from_bytes(self._waiting[:_LENGTH], "little")
            if len(self._waiting) < end:
                break
            out.append(pickle.loads(self._waiting[_LENGTH:end]))
            del self._waiting[:end]
        return out


def states_of(files: Iterable[Path]) -> FileStates:
    """What each of these is like now."""
    return {file: _state(file) for file in files}


def _state(file: Path) -> FileState | None:
    try:
        found = os.stat(file)
    except (OSError, ValueError):  # ValueError: no name for a file
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino

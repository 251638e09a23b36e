"""Watches the files of a boat, and tells when they have changed and come to rest."""

from __future__ import annotations

import os
import time
from collections.abc import Iterable
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

REST = 250
"""milliseconds without a change before it is told: an editor writes a file in several goes."""

_LOOK = 1500
"""milliseconds after which it looks itself: some file systems (of networks, of containers) tell nothing."""


State = tuple[int, int, int]


class Watching(QObject):
    """Tells `changed` when a file's size or time differs from what it was when last told, and nothing moves any more.

    The folders are watched with the files, since many editors put another file in the place of the old one.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._files: tuple[Path, ...] = ()
        self._told: dict[Path, State | None] = {}
        self._last: dict[Path, State | None] = {}
        self._marked = 0
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._stir)
        self._watcher.directoryChanged.connect(self._stir)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST)
        self._rest.timeout.connect(self._settle)
        self._look = QTimer(self)
        self._look.setInterval(_LOOK)
        self._look.timeout.connect(self._compare)

    def watch(self, files: Iterable[Path]) -> None:
        """Watches these files, and no others; one that was changed since the last `mark` is told of."""
        self._files = tuple(dict.fromkeys(files))
        known, self._told = self._told, {}
        for file, state in self._state().items():
            changed_since = state is not None and state[0] > self._marked
            self._told[file] = known.get(file, None if changed_since else state)
        self._last = self._told
        self._follow()
        self._look.start()
        self._compare()

    def mark(self) -> None:
        """The files are being read as they are now."""
        self._marked = time.time_ns()
        self._told = self._last = self._state()

    def stop(self) -> None:
        """Watches nothing any more."""
        self._rest.stop()
        self._look.stop()
        self._files = ()
        self._follow()

    def _follow(self) -> None:
        wanted = {str(file) for file in self._files if file.exists()}
        wanted |= {str(file.parent) for file in self._files if file.parent.is_dir()}
        there = set(self._watcher.files()) | set(self._watcher.directories())
        if there - wanted:
            self._watcher.removePaths(sorted(there - wanted))
        if wanted - there:
            self._watcher.addPaths(sorted(wanted - there))

    def _stir(self) -> None:
        self._follow()
        self._rest.start()

    def _compare(self) -> None:
        if self._state() != self._told and not self._rest.isActive():
            self._rest.start()

    def _settle(self) -> None:
        """Told only when two looks one after the other see the same: what is still being written waits."""
        state = self._state()
        if state == self._told:
            return
        if state != self._last:
            self._last = state
            self._rest.start()
            return
        self._told = state
        self.changed.emit()

    def _state(self) -> dict[Path, State | None]:
        """When each was last written, how large it is, and which file it is; None where it is not there."""
        out: dict[Path, State | None] = {}
        for file in self._files:
            try:
                found = os.stat(file)
            except OSError:
                out[file] = None
            else:
                out[file] = (found.st_mtime_ns, found.st_size, found.st_ino)
        return out

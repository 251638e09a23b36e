"""Watches the files of a boat, and tells when they have changed and come to rest."""

from __future__ import annotations

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from .file_states import FileStates, states_of

REST = 250
"""milliseconds without a change before it is told: an editor writes a file in several goes."""

_LOOK = 1500
"""milliseconds after which it looks itself: some file systems (of networks, of containers) tell nothing."""


class Watching(QObject):
    """Tells `changed` when a file is another than it was when last told, and nothing moves any more.

    The folders are watched with the files, since many editors put another file in the place of the old one.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._told: FileStates = {}
        self._last: FileStates = {}
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

    def watch(self, files: FileStates) -> None:
        """Watches these files, and no others, from what they were like when they were read."""
        self._told = self._last = files
        self._follow()
        self._look.start()
        self._compare()

    def stop(self) -> None:
        """Watches nothing any more."""
        self._rest.stop()
        self._look.stop()
        self._told = self._last = {}
        self._follow()

    def _follow(self) -> None:
        wanted = {str(file) for file in self._told if file.exists()}
        wanted |= {str(file.parent) for file in self._told if file.parent.is_dir()}
        there = set(self._watcher.files()) | set(self._watcher.directories())
        if there - wanted:
            self._watcher.removePaths(sorted(there - wanted))
        if wanted - there:
            self._watcher.addPaths(sorted(wanted - there))

    def _stir(self) -> None:
        self._follow()
        self._rest.start()

    def _compare(self) -> None:
        if states_of(self._told) != self._told and not self._rest.isActive():
            self._rest.start()

    def _settle(self) -> None:
        """Told only when two looks one after the other see the same: what is still being written waits."""
        state = states_of(self._told)
        if state == self._told:
            return
        if state != self._last:
            self._last = state
            self._rest.start()
            return
        self._told = state
        self.changed.emit()

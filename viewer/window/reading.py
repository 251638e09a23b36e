"""Reading the boat, first and whenever its files change: what is seen of it, and when it begins and ends."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from .boat import LoadedBoat
from .headway import Headway
from .loading import Loading
from .messages import PlanRefused
from .watching import Watching

KEPT = "The boat as last read stays on the screen; it is read again when the files change."


class BoatReading(QObject):
    """Tells `read` (LoadedBoat), and `said` (head, lines) for the banner, with an empty head when all is well.

    `page` fills the window until there is a boat, `line` is its progress at the foot of the window after that.
    """

    read = Signal(object)
    said = Signal(str, object)

    def __init__(self, path: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path = path
        self.ever = False
        self.why: tuple[str, ...] = ()
        self.loading: Loading | None = None
        self.page = Headway(large=True)
        self.line = Headway(large=False)
        self.line.hide()
        for progress in (self.page, self.line):
            progress.stop.clicked.connect(self.stop)
            progress.again.clicked.connect(self._again)  # a lambda that knows us would keep us alive
        self.watching = Watching(self)
        self.watching.changed.connect(self._again)

    def begin(self, loading: Loading | None = None) -> None:
        """Reads the plan, from the beginning if it is being read just now; or goes on with a reading that began."""
        self._end()
        self.loading = Loading(self.path) if loading is None else loading
        self.loading.setParent(self)
        self.loading.told.connect(self._tell)
        self.loading.done.connect(self._done)
        self.loading.refused.connect(self._refused)
        self.loading.stopped.connect(self._stopped)
        self.page.begin(f"Reading {self.path.name or self.path}")
        self.line.begin("Reading")
        self.line.setVisible(self.ever)

    def _again(self) -> None:
        self.begin()

    def stop(self) -> None:
        """Stops the reading; the boat as it was stays."""
        if self.loading is not None:
            self.loading.stop()

    def close(self) -> None:
        """Ends for good."""
        self.watching.stop()
        self._end()

    def _end(self) -> None:
        if self.loading is not None:
            self.loading.blockSignals(True)
            self.loading.stop()
            self.loading.deleteLater()
            self.loading = None

    def _tell(self, what: str, done: int, of: int) -> None:
        for progress in (self.page, self.line):
            progress.tell(what, done, of)

    def _done(self, boat: LoadedBoat) -> None:
        self.ever, self.why = True, ()
        self.line.hide()
        self._watch()
        self.said.emit("", ())
        self.read.emit(boat)

    def _refused(self, refused: PlanRefused) -> None:
        self.why = refused.why
        self.line.hide()
        self._watch()
        if self.ever:
            self.said.emit("The plan cannot be read as it is now. " + KEPT, refused.why)
        else:
            self.page.refuse("The plan cannot be read", refused.why)

    def _watch(self) -> None:
        """What has been changed since it was read is told of at once."""
        assert self.loading is not None
        self.watching.watch(self.loading.files)

    def _stopped(self) -> None:
        self.line.hide()
        if self.ever:
            self.said.emit("Reading was stopped. The boat as last read stays on the screen; F5 reads it again.", ())
        else:
            self.page.refuse("Reading was stopped", ())

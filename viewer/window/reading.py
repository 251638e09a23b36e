"""Reading the boat, first and whenever its files change: what is seen of it, and when it begins and ends."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QVBoxLayout, QWidget

from .boat import LoadedBoat
from .keeping_keys import PRESSING, keep_keys
from .loading import Loading
from .messages import FileStates, PlanRefused, states_of
from .paper import sized

KEPT = "The boat as last read stays on the screen; it is read again when the files change."

REST = 250
"""milliseconds without a change before it is told: an editor writes a file in several goes."""

_LOOK = 1500
"""milliseconds after which it looks itself: some file systems (of networks, of containers) tell nothing."""


_TELLING = 100
"""milliseconds between what is shown of the headway: for each the whole window is put together anew."""


class Headway(QWidget):
    """A bar, a word of what is done, and a button to stop it."""

    def __init__(self, *, large: bool) -> None:
        super().__init__()
        self.setObjectName("paper" if large else "")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.head, self.word, self.bar = QLabel(), QLabel(), QProgressBar()
        for label in (self.head, self.word):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("Progress")
        self._told = ("", 0, 1)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_TELLING)
        self._soon.timeout.connect(self._show)
        self.stop, self.again = QPushButton("Stop"), QPushButton("Read again")
        self.stop.setAccessibleName("Stop reading")
        for button in (self.stop, self.again):
            keep_keys(button, PRESSING)
        if large:
            self._lay_out_large()
        else:
            self._lay_out_line()

    def _lay_out_large(self) -> None:
        self.head.setFont(sized(self.head.font(), by=1.5, bold=True))
        self.head.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.word.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.word.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.bar.setFixedWidth(360)
        box = QVBoxLayout(self)
        box.setContentsMargins(40, 40, 40, 40)
        box.setSpacing(14)
        box.addStretch(2)
        box.addWidget(self.head)
        box.addWidget(self.bar, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.word, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.stop, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.again, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addStretch(3)

    def _lay_out_line(self) -> None:
        self.bar.setFixedWidth(120)
        self.word.setMinimumWidth(self.word.fontMetrics().horizontalAdvance("working out the build order") + 24)
        self.word.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.word, self.bar, self.stop):
            box.addWidget(widget)
        self.head.hide()
        self.again.hide()

    def begin(self, head: str) -> None:
        """It begins: how much there is to do is not known yet."""
        self.head.setText(head)
        self.word.setText("")
        if self.word.alignment() & Qt.AlignmentFlag.AlignLeft:
            self.word.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._soon.stop()
        self.bar.setRange(0, 1)  # (0, 0) would run to and fro, a picture of it every 40 ms
        self.bar.setValue(0)
        self.bar.show()
        self.stop.show()
        self.again.hide()

    def tell(self, what: str, done: int, of: int) -> None:
        """So many of so many steps are done, and this begins; it is seen a moment later."""
        self._told = what, done, max(of, 1)
        if not self._soon.isActive():
            self._soon.start()

    def _show(self) -> None:
        what, done, of = self._told
        self.word.setText(what)
        self.bar.setRange(0, of)
        self.bar.setValue(done)

    def refuse(self, head: str, why: tuple[str, ...]) -> None:
        """It ended without a boat."""
        self._soon.stop()
        self.head.setText(head)
        self.word.setText("\n".join(why) + ("\n\nIt is read again as soon as its files change." if why else ""))
        self.word.setAlignment(Qt.AlignmentFlag.AlignLeft if why else Qt.AlignmentFlag.AlignHCenter)
        self.bar.hide()
        self.stop.hide()
        self.again.show()


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

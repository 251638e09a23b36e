"""Reading the boat, first and whenever its files change: what is seen of it, and when it begins and ends."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QVBoxLayout, QWidget

from .boat import Boat
from .loading import Loading
from .messages import Refused
from .paper import sized
from .watching import Watching

KEPT = "The boat as last read stays on the screen; it is read again when the files change."


class Reading(QObject):
    """Tells `read` (Boat), and `said` (head, lines) for the banner, with an empty head when all is well.

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
        self.page = _Progress(large=True)
        self.line = _Progress(large=False)
        self.line.hide()
        for progress in (self.page, self.line):
            progress.stop.clicked.connect(self.stop)
            progress.again.clicked.connect(lambda: self.begin())
        self.watching = Watching(self)
        self.watching.changed.connect(lambda: self.begin())

    def begin(self, loading: Loading | None = None) -> None:
        """Reads the plan, from the beginning if it is being read just now; or goes on with a reading that began."""
        self._end()
        self.watching.mark()
        self.loading = Loading(self.path) if loading is None else loading
        self.loading.setParent(self)
        self.loading.told.connect(self._tell)
        self.loading.done.connect(self._done)
        self.loading.refused.connect(self._refused)
        self.loading.stopped.connect(self._stopped)
        self.page.begin(f"Reading {self.path.name or self.path}")
        self.line.begin("Reading")
        self.line.setVisible(self.ever)

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

    def _done(self, boat: Boat) -> None:
        self.ever, self.why = True, ()
        self.line.hide()
        self.watching.watch(boat.files)
        self.said.emit("", ())
        self.read.emit(boat)

    def _refused(self, refused: Refused) -> None:
        self.why = refused.why
        self.line.hide()
        if self.ever:
            self.said.emit("The plan cannot be read as it is now. " + KEPT, refused.why)
        else:
            self.page.refuse("The plan cannot be read", refused.why)
            # which drawings are wanted nobody knows yet: whatever lies about the plan
            self.watching.watch([refused.plan, *sorted(p for p in refused.plan.parent.glob("*/*") if p.is_file())])

    def _stopped(self) -> None:
        self.line.hide()
        if self.ever:
            self.said.emit("Reading was stopped. The boat as last read stays on the screen; F5 reads it again.", ())
        else:
            self.page.refuse("Reading was stopped", ())


class _Progress(QWidget):
    """A bar, a word of what is done, and a button to stop it."""

    def __init__(self, *, large: bool) -> None:
        super().__init__()
        self.setObjectName("paper" if large else "")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.head, self.word, self.bar = QLabel(), QLabel(), QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("Progress")
        self.stop, self.again = QPushButton("Stop"), QPushButton("Read again")
        self.stop.setAccessibleName("Stop reading")
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
        self.bar.setRange(0, 0)
        self.bar.show()
        self.stop.show()
        self.again.hide()

    def tell(self, what: str, done: int, of: int) -> None:
        """So many of so many steps are done, and this begins."""
        self.word.setText(what)
        self.bar.setRange(0, max(of, 1))
        self.bar.setValue(done)

    def refuse(self, head: str, why: tuple[str, ...]) -> None:
        """It ended without a boat."""
        self.head.setText(head)
        self.word.setText("\n".join(why) + ("\n\nIt is read again as soon as its files change." if why else ""))
        self.word.setAlignment(Qt.AlignmentFlag.AlignLeft if why else Qt.AlignmentFlag.AlignHCenter)
        self.bar.hide()
        self.stop.hide()
        self.again.show()

"""Reads a boat beside the window, in a process that can be stopped."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, Signal

from scrieve.shared.memory_shortage import SHORT_OF_MEMORY, tells_shortage

from .messages import Expect, FileStates, Inbox, PlanRefused, Tell, Wanted, states_of
from .mishaps import OUR_MISTAKE


class Loading(QObject):
    """One reading of a plan. Ends with exactly one of `done` (LoadedBoat), `refused` (PlanRefused) and `stopped`.

    `told` (what, done, of) is told as it goes on. `files` are those that make the boat, as far as it knows them,
    each as it was before it was read.
    """

    told = Signal(str, int, int)
    done = Signal(object)
    refused = Signal(object)
    stopped = Signal()

    def __init__(self, path: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.files: FileStates = states_of([path])
        self._inbox = Inbox()
        self._steps = self._begun = 0
        self._ended = False
        self._process = QProcess(self)
        environment = QProcessEnvironment.systemEnvironment()
        environment.insert("PYDANTIC_DISABLE_PLUGINS", "__all__")  # as the command line has it
        self._process.setProcessEnvironment(environment)
        self._process.readyReadStandardOutput.connect(self._read)
        self._process.finished.connect(self._finish)
        self._process.errorOccurred.connect(self._fail)
        self._process.start(sys.executable, ["-P", "-m", f"{__package__}.reader", str(path)])

    @property
    def runs(self) -> bool:
        """Whether it has not ended yet."""
        return not self._ended

    def stop(self) -> None:
        """Ends the reading now."""
        ended, self._ended = self._ended, True
        if self._process.state() is not QProcess.ProcessState.NotRunning:
            self._process.kill()
            self._process.waitForFinished(2000)
        if not ended:
            self.stopped.emit()

    def _read(self) -> None:
        for message in self._inbox.take(bytes(self._process.readAllStandardOutput().data())):
            if not self._ended:
                self._take(message)

    def _take(self, message: Any) -> None:
        match message:
            case Expect(steps=steps):
                self._steps = steps
            case Tell(what=what):
                self.told.emit(what, self._begun, self._steps)
                self._begun += 1
            case Wanted(files=files):
                self.files = files
            case PlanRefused():
                self._ended = True
                self.refused.emit(message)
            case boat:
                self._ended = True
                self.done.emit(boat)

    def _finish(self) -> None:
        """The process is over; where it has not said how, it broke."""
        self._read()
        if not self._ended:
            self._ended = True
            last = bytes(self._process.readAllStandardError().data()).decode(errors="replace").strip().splitlines()
            said = last[-1] if last else "the reading ended without a word"
            self._refuse(SHORT_OF_MEMORY if tells_shortage(said) else f"{OUR_MISTAKE} ({said})")

    def _fail(self, error: QProcess.ProcessError) -> None:
        if error is QProcess.ProcessError.FailedToStart and not self._ended:
            self._ended = True
            self._refuse(f"{sys.executable} cannot be started ({self._process.errorString()})")

    def _refuse(self, why: str) -> None:
        self.refused.emit(PlanRefused(why=(why,)))

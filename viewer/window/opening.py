"""Opens the window, and stays until it is closed: by hand, by a signal, or because the display is gone."""

from __future__ import annotations

import os
import signal
import socket
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from importlib import import_module
from pathlib import Path
from types import FrameType
from typing import Any

from PySide6.QtCore import QMessageLogContext, QSettings, QSocketNotifier, Qt, QtMsgType, qInstallMessageHandler
from PySide6.QtWidgets import QApplication, QLabel

from ..marks.colours import PAPER
from ..system.endings import Ending
from ..system.stopping import SIGNALS, STOPPED, end_at_once
from ..system.terminal import remark
from .loading import Loading
from .mishaps import mishaps_told
from .paper import RULE, STYLE, palette, sized

_GONE = ("connection broke", "connection experienced a fatal error")
"""What it says before it ends the process because the display is gone, on X11 and Wayland."""

_PIECE = 64  # bytes read at a time, one for each signal


def application() -> QApplication:
    """The application, made if there is none, in the colours of the window."""
    found = QApplication.instance()
    made = found if isinstance(found, QApplication) else QApplication(sys.argv[:1])
    made.setApplicationName("Scrieve")
    made.setStyle("Fusion")
    made.setPalette(palette())
    made.setStyleSheet(STYLE)
    return made


def settings() -> QSettings:
    """Where the window remembers its size and layout: a file under the user's configuration."""
    return QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "scrieve", "window")


def open_window(path: Path, verb: str, connected: Callable[[], None]) -> Ending:
    """The ending, after the window was closed: could not, where the boat was refused to the last.

    `connected` is called once there is a connection to the display. What takes longest goes side by side: another
    process reads the boat while this one loads what paints it.
    """
    with qt_hushed(verb), ExitStack() as undone:
        application()
        connected()
        loading = Loading(path)
        undone.callback(loading.stop)
        greeting = greet(path)
        os.environ["QT_API"] = "pyside6"  # pyvistaqt asks for it when it is loaded
        window: Any = import_module(f"{__package__}.window").MainWindow(path, settings(), loading)
        undone.pop_all()  # from here on the reading is the window's
        window.show()
        greeting.close()
        with closed_when_told() as told, mishaps_told(window.say):
            QApplication.exec()
    if told.signal:
        remark(STOPPED)
        return Ending(128 + told.signal)
    if window.reading.ever:
        return Ending.CLEAN
    for line in window.reading.why:
        remark(line)
    return Ending.COULD_NOT if window.reading.why else Ending.CLEAN


def greet(path: Path) -> QLabel:
    """A slip of paper that says what is being opened, for the second until the window is there."""
    slip = QLabel(f"Reading {path.resolve().name}")
    slip.setTextFormat(Qt.TextFormat.PlainText)
    slip.setWindowFlag(Qt.WindowType.SplashScreen)
    slip.setAlignment(Qt.AlignmentFlag.AlignCenter)
    slip.setFont(sized(slip.font(), by=1.4, bold=True))
    slip.setStyleSheet(f"background: {PAPER}; border: 1px solid {RULE};")
    slip.setFixedSize(420, 130)
    slip.show()
    QApplication.processEvents()
    return slip


@contextmanager
def qt_hushed(verb: str) -> Iterator[None]:
    """Meanwhile Qt is quiet. Where it would end the process itself, a line in the name of `verb` does.

    SCRIEVE_DEBUG=1 shows what it says.
    """

    def hear(kind: QtMsgType, _: QMessageLogContext, words: str) -> None:
        if any(gone in words for gone in _GONE):
            end_at_once(Ending.COULD_NOT, f"{verb}: the display is gone, and the window with it")
        if kind is QtMsgType.QtFatalMsg:
            end_at_once(Ending.COULD_NOT, f"{verb}: the window cannot go on ({' '.join(words.split())})")
        if os.environ.get("SCRIEVE_DEBUG"):
            remark(words)

    before = qInstallMessageHandler(hear)
    try:
        yield
    finally:
        qInstallMessageHandler(before)


class CloseSignal:
    """`signal` is the number of the one that told the window to close, 0 as long as none did."""

    def __init__(self) -> None:
        self.signal = 0

    def hear(self, number: int, _: FrameType | None) -> None:
        """Notes a signal; the second one will not wait."""
        if self.signal:
            end_at_once(128 + number, STOPPED)
        self.signal = number


@contextmanager
def closed_when_told() -> Iterator[CloseSignal]:
    """Meanwhile each of SIGNALS closes all windows, dialogs first, and ends the loop of events."""
    told = CloseSignal()
    near, far = socket.socketpair()
    near.setblocking(False)
    far.setblocking(False)
    notifier = QSocketNotifier(near.fileno(), QSocketNotifier.Type.Read)

    def close() -> None:
        with suppress(OSError):
            near.recv(_PIECE)
        if told.signal:
            QApplication.closeAllWindows()
            QApplication.exit()

    notifier.activated.connect(lambda *_: close())
    woken = signal.set_wakeup_fd(far.fileno(), warn_on_full_buffer=False)
    before = {number: signal.getsignal(number) for number in SIGNALS}
    for number, handler in before.items():
        if handler is not signal.SIG_IGN:
            signal.signal(number, told.hear)
    try:
        yield told
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        signal.set_wakeup_fd(woken)
        notifier.setEnabled(False)
        near.close()
        far.close()

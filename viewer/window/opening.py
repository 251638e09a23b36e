"""Opens the window, and stays until it is closed."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import ExitStack
from importlib import import_module
from pathlib import Path
from typing import Any

from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QApplication, QLabel

from ..marks.colours import PAPER
from ..system.endings import Ending
from ..system.stopping import STOPPED
from ..system.terminal import remark
from .ending import closed_when_told
from .loading import Loading
from .mishaps import mishaps_told
from .paper import RULE, STYLE, palette, sized
from .qt_words import qt_hushed


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

"""Opens the window, and stays until it is closed."""

from __future__ import annotations

import os
import signal
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

from PySide6.QtCore import QSettings, Qt, QTimer, qInstallMessageHandler
from PySide6.QtGui import QOffscreenSurface, QOpenGLContext, QSurfaceFormat
from PySide6.QtWidgets import QApplication, QLabel

from scrieve.shared.errors import Mistake, UseError

from ..endings import Ending
from ..scene.looks import PAPER
from ..terminal import remark
from .loading import Loading
from .paper import RULE, STYLE, palette, sized

LEAST_GL = (3, 2)
"""What the kernel of the scene needs."""


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


def require_gl(verb: str) -> None:
    """Raises UseError, in the name of `verb`, where the display gives no OpenGL that can draw the scene."""
    wanted = QSurfaceFormat()
    wanted.setRenderableType(QSurfaceFormat.RenderableType.OpenGL)
    wanted.setVersion(*LEAST_GL)
    wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
    context, surface = QOpenGLContext(), QOffscreenSurface()
    context.setFormat(wanted)
    surface.setFormat(wanted)
    before = qInstallMessageHandler(lambda *_: None)  # what it says of it, we say in one line
    try:
        surface.create()
        works = surface.isValid() and context.create() and context.makeCurrent(surface)
    finally:
        qInstallMessageHandler(before)
    got = "none"
    if works:
        version = context.format().version()
        context.doneCurrent()
        if tuple(version) >= LEAST_GL:
            return
        got = "version {}.{}".format(*version)
    raise UseError(
        [
            Mistake(
                path=verb,
                what="the display has no OpenGL 3.2: on Debian and Ubuntu apt install libgl1 libgl1-mesa-dri, "
                f"or draw off-screen with `scrieve picture` (got {got})",
            )
        ]
    )


def open_window(path: Path, verb: str) -> Ending:
    """The ending, after the window was closed: could not, where there never was a boat to see.

    What takes longest goes side by side: another process reads the boat while this one loads what paints it.
    """
    app = application()
    require_gl(verb)
    loading = Loading(path)
    greeting = greet(path)
    os.environ["QT_API"] = "pyside6"  # pyvistaqt asks for it when it is loaded
    window: Any = import_module(f"{__package__}.window").Window(path, settings(), loading)
    window.show()
    greeting.close()
    signal.signal(signal.SIGINT, lambda *_: window.close())
    listening = QTimer()  # lets Python hear Ctrl-C while Qt waits
    listening.start(200)
    listening.timeout.connect(lambda: None)
    app.exec()
    if window.reading.ever:
        return Ending.CLEAN
    for line in window.reading.why:
        remark(line)
    return Ending.COULD_NOT


def greet(path: Path) -> QLabel:
    """A slip of paper that says what is being opened, for the second until the window is there."""
    slip = QLabel(f"Reading {path.resolve().name}")
    slip.setWindowFlag(Qt.WindowType.SplashScreen)
    slip.setAlignment(Qt.AlignmentFlag.AlignCenter)
    slip.setFont(sized(slip.font(), by=1.4, bold=True))
    slip.setStyleSheet(f"background: {PAPER}; border: 1px solid {RULE};")
    slip.setFixedSize(420, 130)
    slip.show()
    QApplication.processEvents()
    return slip

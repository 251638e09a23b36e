"""Run as a process: opens the display, and a context of OpenGL on it, and says what it got.

First the platform of Qt, then the version of OpenGL, or none; then it stays connected until its stdin ends. What
cannot be done here often ends in an abort, which must not be the end of anybody else.
"""

from __future__ import annotations

import os
import sys

from PySide6.QtGui import QGuiApplication, QOffscreenSurface, QOpenGLContext, QSurfaceFormat

from ..system.display import LEAST_GL
from ..system.probe import ALL_SAID


def opengl() -> tuple[int, int] | None:
    """The version that the display gives when asked for what the scene needs."""
    wanted = QSurfaceFormat()
    wanted.setRenderableType(QSurfaceFormat.RenderableType.OpenGL)
    wanted.setVersion(*LEAST_GL)
    wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
    context, surface = QOpenGLContext(), QOffscreenSurface()
    context.setFormat(wanted)
    surface.setFormat(wanted)
    surface.create()
    if not (surface.isValid() and context.create() and context.makeCurrent(surface)):
        return None
    major, minor = context.format().version()
    return major, minor


def main() -> None:
    """Says it line by line, so that what came before an abort is known."""
    application = QGuiApplication(sys.argv[:1])
    for line in (application.platformName(), opengl(), ALL_SAID):
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
    sys.stdin.read()
    os._exit(0)  # what may go wrong in ending is of no interest


if __name__ == "__main__":
    main()

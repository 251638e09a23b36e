"""What Qt says of itself: nothing to whoever looks at a boat, but for its last words, which are told in one line."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler

from ..system.endings import Ending
from ..system.stopping import end_at_once
from ..system.terminal import remark

_GONE = ("connection broke", "connection experienced a fatal error")
"""What it says before it ends the process because the display is gone, on X11 and Wayland."""


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

"""How the window is closed by a signal: from the loop of events, never in the middle of a painting."""

from __future__ import annotations

import signal
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

from PySide6.QtCore import QSocketNotifier
from PySide6.QtWidgets import QApplication

from ..system.stopping import SIGNALS, STOPPED, end_at_once

_PIECE = 64  # bytes read at a time, one for each signal


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

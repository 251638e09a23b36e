"""Being told to stop, by Ctrl-C, SIGTERM or a terminal that goes: the process says so and is gone, whatever it did.

Such a signal comes at any moment, in the middle of a library as well, where an exception would be lost, turned into
another, or end in an abort. So none is raised: what must not be left behind is tidied away, and that is all.
"""

from __future__ import annotations

import os
import signal
from contextlib import suppress
from types import FrameType
from typing import NoReturn

from scrieve.shared.tidying import tidy_all

SIGNALS = (signal.SIGINT, signal.SIGTERM, *(s for s in signal.Signals if s.name == "SIGHUP"))
"""Those that tell a process to stop; the last, where the system has it, that its terminal is gone."""

STOPPED = "scrieve: stopped"

_STDERR = 2
_EXIT = os._exit  # ours, whatever stands in its place for others


def end_when_told() -> None:
    """From now on the first of SIGNALS ends this process at once: 128 and its number, as shells have it.

    One that is ignored, as by a job in the background, stays so.
    """
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _end)


def end_at_once(ending: int, line: str) -> NoReturn:
    """Ends this process with a line on stderr, after what is to be tidied away; nothing else of it is called."""
    tidy_all()
    with suppress(OSError):  # past Python's own stream, which may be in the middle of something
        os.write(_STDERR, f"{line}\n".encode("utf-8", "backslashreplace"))
    _EXIT(ending)


def _end(number: int, _: FrameType | None) -> None:
    end_at_once(128 + number, STOPPED)

"""Being told to stop, by Ctrl-C or by SIGTERM: the process says so and is gone, whatever it was doing.

Such a signal comes at any moment, in the middle of a library as well, where an exception would be lost, turned into
another, or end in an abort. So none is raised: what must not be left behind is tidied away, and that is all.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import NoReturn

SIGNALS = (signal.SIGINT, signal.SIGTERM)
"""Those that tell a process to stop."""

STOPPED = "scrieve: stopped"

_STDERR = 2
_TIDYING: list[Callable[[], object]] = []


def end_when_told() -> None:
    """From now on the first of SIGNALS ends this process at once: 128 and its number, as shells have it.

    One that is ignored, as by a job in the background, stays so.
    """
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _end)


@contextmanager
def tidied_away(tidy: Callable[[], object]) -> Iterator[None]:
    """Meanwhile `tidy` is called if the process is told to stop: it takes no lock and raises nothing but OSError."""
    _TIDYING.append(tidy)
    try:
        yield
    finally:
        _TIDYING.remove(tidy)


def end_at_once(ending: int, line: str) -> NoReturn:
    """Ends this process with a line on stderr, after what is to be tidied away; nothing else of it is called."""
    for tidy in reversed(_TIDYING):
        with suppress(OSError):
            tidy()
    with suppress(OSError):  # past Python's own stream, which may be in the middle of something
        os.write(_STDERR, f"{line}\n".encode("utf-8", "backslashreplace"))
    os._exit(ending)


def _end(number: int, _: FrameType | None) -> None:
    end_at_once(128 + number, STOPPED)

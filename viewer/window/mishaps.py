"""Mistakes of Scrieve itself while its window is open: told in the window, which stays."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import TracebackType

from scrieve.shared.memory_shortage import SHORT_OF_MEMORY, short_of_memory

OUR_MISTAKE = "a mistake in Scrieve, not in your plan; please report it"


@contextmanager
def mishaps_told(say: Callable[[str, tuple[str, ...]], None]) -> Iterator[None]:
    """Meanwhile `say` (head, lines) is told of what goes wrong in answer to a key, the mouse or the clock.

    Qt goes on after it; without this it would be a traceback in a terminal that nobody looks at. SCRIEVE_DEBUG=1
    shows that as well.
    """
    before = sys.excepthook

    def tell(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if not issubclass(kind, Exception):  # Ctrl-C
            before(kind, error, trace)
            return
        if os.environ.get("SCRIEVE_DEBUG"):
            traceback.print_exception(kind, error, trace)
        what = SHORT_OF_MEMORY if short_of_memory(error) else OUR_MISTAKE
        say(what[0].upper() + what[1:], (f"{kind.__name__}: {error}",))

    sys.excepthook = tell
    try:
        yield
    finally:
        sys.excepthook = before

"""The command `scrieve` from its first moment: it can be told to stop while its parts are still being loaded.

Libraries that find too little memory while they are loaded end the process by themselves, some with the ending that
means findings. So it is asked for before.
"""

from __future__ import annotations

import mmap
import os
from importlib import import_module

from scrieve.shared.memory_shortage import SHORT_OF_MEMORY

from .system.stopping import end_at_once, end_when_told

_TO_BEGIN = 160_000_000
"""bytes; what Python's libraries that any verb loads take up of the address space: 100 million, and room to work in."""


def main() -> None:
    """Runs the command line and leaves the process with its ending."""
    end_when_told()
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # each thread takes 30 MB, and no sum here is large enough for two
    try:
        mmap.mmap(-1, _TO_BEGIN).close()
    except OSError:
        end_at_once(2, f"scrieve: {SHORT_OF_MEMORY}")
    import_module(f"{__package__}.verbs.commands").main()

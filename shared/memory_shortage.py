"""Work that ended for want of memory, whichever library ran short and however it says so."""

from __future__ import annotations

from errno import ENOMEM

SHORT_OF_MEMORY = "short of memory: the work could not be done; close other programs, or take fewer plans at once"

_SIGNS = ("MemoryError", "bad_alloc", "Cannot allocate memory", "failed to map segment", "can't start new thread")
"""Words of GEOS and other C++ libraries, of the system, of its loader, and of Python."""


def short_of_memory(error: BaseException | None) -> bool:
    """Whether an error, or one that led to it, comes from a want of memory. Libraries' own MemoryErrors count."""
    while error is not None:
        if isinstance(error, MemoryError) or (isinstance(error, OSError) and error.errno == ENOMEM):
            return True
        if tells_shortage(str(error)):
            return True
        error = error.__cause__ or error.__context__
    return False


def tells_shortage(words: str) -> bool:
    """Whether the last words of a process, or of an error, are of a want of memory."""
    return any(sign in words for sign in _SIGNS)

"""Libraries that would end the process in the middle of the work."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from .errors import UseError


@contextmanager
def exits_refused() -> Iterator[None]:
    """Meanwhile nothing ends the process by SystemExit, whatever its code: it raises UseError in its place.

    An exit of 0 from a library would else pass for work that was done.
    """
    try:
        yield
    except SystemExit as told:
        raise UseError.at(f"a library ended the run before the work was done (exit {told.code!r})") from told

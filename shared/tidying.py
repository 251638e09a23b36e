"""What must not be left behind by a process that is told to stop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

_TIDYING: list[Callable[[], object]] = []


@contextmanager
def tidied_away(tidy: Callable[[], object]) -> Iterator[None]:
    """Meanwhile `tidy` is called if the process is told to stop: it takes no lock and raises nothing but OSError."""
    _TIDYING.append(tidy)
    try:
        yield
    finally:
        _TIDYING.remove(tidy)


def tidy_all() -> None:
    """Calls whatever is to be tidied away now, the last first."""
    for tidy in reversed(_TIDYING):
        with suppress(OSError):
            tidy()

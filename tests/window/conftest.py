"""What goes wrong in a slot, where Qt would only print it, fails the test in which it happens."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True, name="mishaps")
def no_mishaps(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[BaseException]]:
    """The exceptions that nobody caught, so far; a test that provokes some takes them out again.

    What goes wrong in destructors pytest tells of itself.
    """
    found: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: found.append(error))
    yield found
    if found:
        raise found[0]

"""The error of a picture that cannot be made as it is asked for."""

from __future__ import annotations

from scrieve.shared.errors import Mistake, UseError

VERB = "scrieve picture"


def misused(what: str) -> UseError:
    """The error of a single mistake in how the verb is called."""
    return UseError([Mistake(path=VERB, what=what)])

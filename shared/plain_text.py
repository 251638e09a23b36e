"""Text from elsewhere, made harmless in a line of ours."""

from __future__ import annotations

import re

_COMMAND = re.compile(r"^:(?=:)|##(?=\[)")
"""How a line begins, or what stands in it, that a runner of workflows obeys."""


def plain(text: str) -> str:
    """The text on one line and without control characters, whatever a drawing's labels hold.

    White space becomes single spaces; what a terminal could obey is shown as `\\x1b`, and what a runner of workflows
    could obey (`::` at the start, `##[` anywhere) has a space in it.
    """
    spaced = " ".join(text.split())
    if not spaced.isprintable():
        spaced = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in spaced)
    return _COMMAND.sub(r"\g<0> ", spaced)

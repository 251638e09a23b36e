"""What ezdxf lets out on files that are damaged or made to harm, and how that is put into words."""

from __future__ import annotations

import struct

from ezdxf.lldxf.const import DXFError

BROKEN = (
    DXFError,
    ArithmeticError,
    AssertionError,
    AttributeError,
    EOFError,
    LookupError,
    RecursionError,
    StopIteration,
    TypeError,
    ValueError,
    struct.error,
)
"""Exceptions of ezdxf on damaged files. To be caught round calls of ezdxf alone: our own bugs raise the same."""

_LONGEST = 120  # letters of a reason


def plain(text: str) -> str:
    """`text` in one line: everything that does not print is a space, and spaces are single."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def reason(problem: BaseException) -> str:
    """What an exception says, in one short line."""
    return plain(str(problem))[:_LONGEST] or type(problem).__name__

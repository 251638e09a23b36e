"""What ezdxf lets out on files that are damaged or made to harm, and how that is put into words."""

from __future__ import annotations

import re
import struct

from ..dxf_library import DXFError

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
_LETTER = re.compile(r"\\U\+([0-9A-Fa-f]{4})")  # ezdxf's own reading of these fails on what only looks like one


def plain(text: str) -> str:
    """`text` in one line: everything that does not print is a space, and spaces are single."""
    return " ".join("".join(c if c.isprintable() else " " for c in decoded(text)).split())


def decoded(text: str) -> str:
    r"""`text` with the letters that its file has no code for, as R2000 and older write them: `\U+0448` is one."""
    return _LETTER.sub(lambda letter: chr(int(letter[1], 16)), text)


def reason(problem: BaseException) -> str:
    """What an exception says, in one short line."""
    return plain(str(problem))[:_LONGEST] or type(problem).__name__

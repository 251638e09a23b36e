"""A text DXF file in portions: the objects of its ENTITIES section some at a time, each portion a file of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator

FEW = 5_000
"""objects; a file with no more is parsed whole."""

_PORTION = 2_000  # objects parsed at once
_MOST_LINES = 800_000  # of the file that one object may take: a polyline of 200,000 corners
ENTITIES = re.compile(rb"(?:^|\n)[ \t]*0[ \t\r]*\n[ \t]*SECTION[ \t\r]*\n[ \t]*2[ \t\r]*\n[ \t]*ENTITIES[ \t\r]*(?=\n)")
END = re.compile(rb"\n[ \t]*0[ \t\r]*\n[ \t]*ENDSEC[ \t\r]*(?=\n)")
# a 0 that is no group code but a number is followed by a group code, which has no letters
OBJECT = re.compile(rb"\n[ \t]*0[ \t\r]*\n[ \t]*((?:3D)?[A-Z_][A-Z0-9_]*)[ \t\r]*(?=\n)")
LINKED = frozenset({b"VERTEX", b"ATTRIB", b"SEQEND"})  # they go with the object before them
_HANDLE = re.compile(rb"\n[ \t]*5[ \t\r]*\n[ \t]*([0-9A-Fa-f]+)")
_OWN_HANDLES = 0x7000_0000_0000  # from which on what a portion lacks is given handles: no owner's handle is one of them


class TooMuchError(ValueError):
    """More in a file than is read."""


def cut(content: bytes, most: int) -> tuple[bytes, list[tuple[int, int]]]:
    """The file without the objects of its ENTITIES section, and where in `content` each portion of them stands.

    A file with few objects comes back as it is, without portions. Raises TooMuchError for more than `most` of
    them, and for an object anywhere that takes up too much of the file.
    """
    section = ENTITIES.search(content)
    end = END.search(content, section.end()) if section else None
    inside = range(section.end(), end.start()) if section and end else range(0)
    objects = in_portion = begun = 0
    cuts: list[int] = []
    name = b""
    for found in OBJECT.finditer(content):
        if found[1] in LINKED:
            continue
        if found.start() - begun > _MOST_LINES:  # so many lines take at least as many bytes
            _check_lines(content, name, begun, found.start())
        name, begun = found[1], found.start()
        if begun in inside:
            objects += 1
            if not cuts or in_portion == _PORTION:
                cuts.append(begun)
                in_portion = 0
            in_portion += 1
    _check_lines(content, name, begun, len(content))
    if objects > most:
        raise TooMuchError(f"at most {most} objects are wanted (the file holds {objects})")
    if objects <= FEW or end is None:
        return content, []
    return content[: inside.start] + content[inside.stop :], list(zip(cuts, [*cuts[1:], inside.stop], strict=True))


def _check_lines(content: bytes, name: bytes, start: int, end: int) -> None:
    lines = content.count(b"\n", start, end)
    if lines > _MOST_LINES:
        handle = _HANDLE.search(content, start, min(end, start + 200))
        called = " ".join(part.decode("ascii") for part in (name, handle[1] if handle else b"") if part)
        raise TooMuchError(
            f"an object of at most {_MOST_LINES} lines of the file is wanted ({called} takes {lines}): "
            "draw it with fewer corners"
        )


def files(content: bytes, version: str, code_page: str, portions: list[tuple[int, int]]) -> Iterator[bytes]:
    """Each portion as a file of its own, of this version and code page."""
    for number, (start, end) in enumerate(portions):
        seed = _OWN_HANDLES + number * 0x100_0000
        header = f"0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\n{version}\n9\n$DWGCODEPAGE\n3\n{code_page}\n"
        header += f"9\n$HANDSEED\n5\n{seed:X}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES"
        yield header.encode() + content[start:end] + b"\n0\nENDSEC\n0\nEOF\n"

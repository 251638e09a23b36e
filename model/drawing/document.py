"""Opens a DXF file, ASCII or binary, of whatever version; a file that is none ends in one clear line."""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from scrieve.shared.errors import DrawingError
from scrieve.shared.regular_file import MIB, read_whole

from ..dxf_library import Drawing as Document
from ..dxf_library import DXFEntity, DXFStructureError, binary_tags_loader, dxf_stream_info, read, recover
from .broken import BROKEN, reason

LARGEST = 64 * MIB
"""bytes; a larger file is no frame drawing."""

_BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"
_END_MARK = b"EOF"
_TAIL = 1024  # bytes at the end of a file among which its end mark stands
_NOT_DRAWN = re.compile(
    rb"\n[ \t]*0[ \t\r]*\n[ \t]*SECTION[ \t\r]*\n[ \t]*2[ \t\r]*\n[ \t]*(?:OBJECTS|CLASSES)[ \t\r]*\n"
)
_END_OF_SECTION = re.compile(rb"\n[ \t]*0[ \t\r]*\n[ \t]*ENDSEC[ \t\r]*(?=\n)")
_OTHERS = {
    b"AC10": "a DWG file, not DXF: save it as DXF",
    b"%PDF": "a PDF, not DXF: export the drawing as DXF",
    b"PK\x03\x04": "a packed file, not DXF: unpack it first",
    b"<?xml": "an XML file, not DXF: export the drawing as DXF",
    b"<svg": "an SVG, not DXF: export the drawing as DXF",
    b"\x89PNG": "a picture, not DXF: export the drawing as DXF",
    b"\xff\xd8\xff": "a picture, not DXF: export the drawing as DXF",
}

# ezdxf tells its log what it mends, and a log without a handler ends on the terminal
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A document, its $INSUNITS (0 if it has none), and whether what is broken in it had to be left out."""

    document: Document
    unit_code: int
    repaired: bool


def open_document(path: Path, shown: str) -> Opened:
    """The document of a file.

    Raises DrawingError with one mistake, whose path is `shown`.
    """
    content = read_whole(path, most=LARGEST, error=DrawingError, shown=shown)
    wrong = _what_else(content)
    if wrong:
        raise DrawingError.at(wrong, path=shown)
    try:
        return _opened(_parsed(content), content, repaired=False)
    except BROKEN as problem:
        # the reader that repairs knows the text form alone
        if not isinstance(problem, DXFStructureError) or content.startswith(_BINARY):
            raise DrawingError.at(_unreadable(problem), path=shown) from None
    try:
        document, _ = recover.read(io.BytesIO(content))
    except BROKEN as problem:
        raise DrawingError.at(_unreadable(problem), path=shown) from None
    return _opened(document, content, repaired=True)


def drawn_in(document: Document, shown: str) -> tuple[Sequence[DXFEntity], int]:
    """The objects in model space, and how many there are in paper space, windows not counted.

    Raises DrawingError with one mistake, whose path is `shown`.
    """
    try:
        papers = [block for block in document.blocks if block.is_any_paperspace]
        in_paper = sum(1 for paper in papers for entity in paper if entity.dxftype() != "VIEWPORT")
        return list(document.modelspace()), in_paper
    except BROKEN as problem:
        raise DrawingError.at(_unreadable(problem), path=shown) from None


def _what_else(content: bytes) -> str:
    """Why this is not a whole DXF file; empty if it may well be one."""
    start = content[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    if not content:
        return "a DXF drawing is wanted (the file is empty)"
    for mark, what in _OTHERS.items():
        if start.startswith(mark):
            return f"a DXF drawing is wanted (got {what})"
    first, _, _ = start.partition(b"\n")
    if not content.startswith(_BINARY) and first.strip() not in (b"0", b"999"):
        return "a DXF drawing is wanted (this is no DXF file)"
    if _END_MARK not in content[-_TAIL:]:
        return "a whole DXF drawing is wanted (the file is cut off: its end mark is missing)"
    return ""


def _opened(document: Document, content: bytes, *, repaired: bool) -> Opened:
    # a file without a header is given one by ezdxf, which says metres
    code = document.header.get("$INSUNITS", 0) if b"$INSUNITS" in content else 0
    return Opened(document=document, unit_code=code if isinstance(code, int) else 0, repaired=repaired)


def _parsed(content: bytes) -> Document:
    if content.startswith(_BINARY):
        return Document.load(binary_tags_loader(content, errors="surrogateescape"))
    content = _slimmed(content)
    encoding = dxf_stream_info(io.TextIOWrapper(io.BytesIO(content), encoding="utf-8", errors="ignore")).encoding
    return read(io.TextIOWrapper(io.BytesIO(content), encoding=encoding, errors="surrogateescape"))


def _slimmed(content: bytes) -> bytes:
    """The text file without the sections that hold nothing drawn: layouts' settings, styles, classes.

    They are a third of a small drawing and more of a large one, and parsing is what reading costs. A 0 before
    SECTION is always a group code, since none is called SECTION.
    """
    kept, at = [], 0
    while (start := _NOT_DRAWN.search(content, at)) and (end := _END_OF_SECTION.search(content, start.end() - 1)):
        kept.append(content[at : start.start()])
        at = end.end()
    return b"".join([*kept, content[at:]])


def _unreadable(problem: BaseException) -> str:
    """One line on what is wrong with a file that looks like DXF."""
    return f"a sound DXF drawing is wanted (it cannot be read: {reason(problem)})"

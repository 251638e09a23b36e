"""Opens a DXF file, ASCII or binary, of whatever version; a file that is none ends in one clear line."""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from scrieve.shared.errors import DrawingError
from scrieve.shared.regular_file import MIB, read_whole

from ..dxf_library import Drawing as Document
from ..dxf_library import DXFEntity, binary_tags_loader, dxf_stream_info, read, recover, tocodepage
from .broken import BROKEN, plain, reason
from .portions import TooMuchError, cut, files

LARGEST = 64 * MIB
"""bytes; a larger file is no frame drawing."""

LARGEST_BINARY = 8 * MIB
"""bytes of a binary file, whose objects cannot be counted before they are parsed."""

LARGEST_AT_ONCE = 16 * MIB
"""bytes of a text file that are parsed at once."""

BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"
_NO_MARKER = re.compile(r"missing '\w*' subclass in (\w+\(#\w*\))")
_END_MARK = b"EOF"
_TAIL = 1024  # bytes at the end of a file among which its end mark stands
_NOT_DRAWN = re.compile(
    rb"\n[ \t]*0[ \t\r]*\n[ \t]*SECTION[ \t\r]*\n[ \t]*2[ \t\r]*\n[ \t]*(?:OBJECTS|CLASSES)[ \t\r]*\n"
)
_END_OF_SECTION = re.compile(rb"\n[ \t]*0[ \t\r]*\n[ \t]*ENDSEC[ \t\r]*(?=\n)")
_NUMBERS = frozenset((*range(10, 60), *range(110, 150), *range(210, 240), *range(460, 470), *range(1010, 1060)))
"""group codes of real numbers, by the reference of the format."""
_SHOWN = 40  # characters of what stands for a number
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


class Opened:
    """A file that has been opened: `blocks` and `unit_code`, which is its $INSUNITS, 0 if it has none.

    Once all that is `drawn` has been taken, `in_paper` is how many objects there are in paper space, windows not
    counted, and `repaired` whether what is broken in it had to be left out.
    """

    def __init__(self, content: bytes, shown: str, most: int) -> None:
        self._shown = shown
        self.in_paper = 0
        self.repaired = False
        self._whole = content
        if content.startswith(BINARY):
            if len(content) > LARGEST_BINARY:
                raise self._error(f"a binary DXF of at most {LARGEST_BINARY // MIB} MiB is wanted: save it as text")
            self._portions: Iterator[bytes] = iter(())
        else:
            content, self._portions = self._cut(content, most)
        self._document = self._parsed(content)
        # a file without a header is given one by ezdxf, which says metres
        code = self._document.header.get("$INSUNITS", 0) if b"$INSUNITS" in content else 0
        self.unit_code = code if isinstance(code, int) else 0
        self.blocks = self._document.blocks

    def drawn(self) -> Iterator[DXFEntity]:
        """The objects in model space. Raises DrawingError with one mistake, whose path is `shown`."""
        yield from self._within(self._document)
        for portion in self._portions:
            yield from self._within(self._parsed(portion))

    def _within(self, document: Document) -> Sequence[DXFEntity]:
        try:
            papers = [block for block in document.blocks if block.is_any_paperspace]
            self.in_paper += sum(1 for paper in papers for entity in paper if entity.dxftype() != "VIEWPORT")
            return list(document.modelspace())
        except BROKEN as problem:
            raise self._error(_unreadable(problem)) from None

    def _cut(self, content: bytes, most: int) -> tuple[bytes, Iterator[bytes]]:
        """What is parsed at first, and the files that are parsed one by one."""
        content = _slimmed(content)
        try:
            head, portions = cut(content, most)
            if len(head) > LARGEST_AT_ONCE:
                raise TooMuchError(f"at most {LARGEST_AT_ONCE // MIB} MiB of blocks and tables are wanted (got more)")
            info = dxf_stream_info(io.TextIOWrapper(io.BytesIO(head), encoding="utf-8", errors="ignore"))
        except TooMuchError as problem:
            raise self._error(str(problem)) from None
        except BROKEN as problem:
            raise self._error(_unreadable(problem)) from None
        return head, files(content, info.version, tocodepage(info.encoding), portions)

    def _parsed(self, content: bytes) -> Document:
        try:
            return _strictly(content)
        except BROKEN as problem:
            if content.startswith(BINARY):  # the reader that repairs knows the text form alone
                raise self._error(_unreadable(problem)) from None
        if wrong := _no_number(self._whole):
            raise self._error(wrong)
        try:
            document, _ = recover.read(io.BytesIO(content))
        except BROKEN as problem:
            raise self._error(_unreadable(problem)) from None
        self.repaired = True
        return document

    def _error(self, what: str) -> DrawingError:
        return DrawingError.at(what, path=self._shown)


def open_document(path: Path, shown: str, most: int, content: bytes | None = None) -> Opened:
    """The file at `path`, or the `content` that stands for it, which may hold `most` objects.

    Raises DrawingError with one mistake, whose path is `shown`.
    """
    if content is None:
        content = read_whole(path, most=LARGEST, error=DrawingError, shown=shown)
    wrong = _what_else(content)
    if wrong:
        raise DrawingError.at(wrong, path=shown)
    return Opened(content, shown, most)


def _what_else(content: bytes) -> str:
    """Why this is not a whole DXF file; empty if it may well be one."""
    start = content[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    if not content:
        return "a DXF drawing is wanted (the file is empty)"
    for mark, what in _OTHERS.items():
        if start.startswith(mark):
            return f"a DXF drawing is wanted (got {what})"
    first, _, _ = start.partition(b"\n")
    if not content.startswith(BINARY) and first.strip() not in (b"0", b"999"):
        return "a DXF drawing is wanted (this is no DXF file)"
    if _END_MARK not in content[-_TAIL:] and _END_MARK not in content.rstrip()[-_TAIL:]:
        return "a whole DXF drawing is wanted (the file is cut off: its end mark is missing)"
    return ""


def _strictly(content: bytes) -> Document:
    if content.startswith(BINARY):
        return Document.load(binary_tags_loader(content, errors="surrogateescape"))
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


def _no_number(content: bytes) -> str:
    """Where a text file has something else for a number, which the reader that repairs would take for another."""
    lines = content.split(b"\n")
    for n in range(0, len(lines) - 1, 2):
        code, value = lines[n].strip(), lines[n + 1].strip()
        if not code.isdigit():
            return ""  # damaged otherwise: what follows is out of step
        if int(code) in _NUMBERS:
            try:
                float(value)
            except ValueError:
                got = plain(value[:_SHOWN].decode("utf-8", "replace"))
                comma = "; a decimal point is wanted, no comma" if b"," in value else ""
                return f'line {n + 2}: a number is wanted (got "{got}"{comma})'
    return ""


def _unreadable(problem: BaseException) -> str:
    """One line on what is wrong with a file that looks like DXF."""
    lacking = _NO_MARKER.search(str(problem))
    if lacking:
        return (
            f"a sound DXF drawing is wanted ({plain(lacking[1])} lacks its subclass marker): save it as R2010 or newer"
        )
    return f"a sound DXF drawing is wanted (it cannot be read: {reason(problem)})"

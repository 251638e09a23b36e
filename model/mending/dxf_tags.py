"""The tags of a DXF file, text or binary, each with its place in the file: what is changed is changed there alone."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import NamedTuple, Protocol

from ..drawing.document import BINARY
from ..drawing.portions import END, ENTITIES, LINKED, OBJECT
from .not_editable import NotEditableError

_NUMBERS = (
    (10, 59, "<d"), (60, 79, "<h"), (90, 99, "<i"), (110, 149, "<d"), (160, 169, "<q"), (170, 179, "<h"),
    (210, 239, "<d"), (270, 289, "<h"), (290, 299, "<B"), (370, 389, "<h"), (400, 409, "<h"), (420, 429, "<i"),
    (440, 459, "<i"), (460, 469, "<d"), (1010, 1059, "<d"), (1060, 1070, "<h"), (1071, 1071, "<i"),
)  # fmt: skip
"""Group codes from, to, and how their numbers are stored in a binary file, by the reference of the format."""

_CHUNKS = frozenset((*range(310, 320), 1004))
_WIDE = 255  # stands before a group code of two bytes where they have one


class Tag(NamedTuple):
    """A group code and its value, text as bytes; where the tag starts, where its value does and ends, and the next."""

    code: int
    value: bytes | float
    start: int
    at: int
    stop: int
    end: int


class Notation(Protocol):
    """How tags are written down."""

    def tags(self, start: int, stop: int) -> Iterator[Tag]:
        """The tags of a part of the file."""

    def objects(self) -> tuple[list[tuple[int, int]], int]:
        """Where each object drawn in the file stands, with what is linked to it, and the end of their section."""

    def number(self, value: float) -> bytes:
        """A real number as a value."""

    def tag(self, code: int, value: str | float, encoding: str) -> bytes:
        """A whole tag."""


class TextNotation:
    """Group code and value a line each."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._end = b"\r\n" if b"\r\n" in content[:200] else b"\n"

    def tags(self, start: int, stop: int) -> Iterator[Tag]:
        """The tags of a part of the file. Raises NotEditableError where it is damaged."""
        content, here = self._content, start
        while here < stop:
            at = content.find(b"\n", here) + 1
            if at == 0:
                return
            end = content.find(b"\n", at) + 1 or len(content)
            value = content[at:end].rstrip(b"\r\n")
            try:
                yield Tag(int(content[here : at - 1]), value, here, at, at + len(value), end)
            except ValueError:
                raise NotEditableError("its file is damaged") from None
            here = end

    def objects(self) -> tuple[list[tuple[int, int]], int]:
        """Where each object drawn in the file stands, and the end of their section."""
        section = ENTITIES.search(self._content)
        end = END.search(self._content, section.end()) if section else None
        if section is None or end is None:
            return [], 0
        found = OBJECT.finditer(self._content, section.end(), end.start() + 1)
        starts = [each.start() + 1 for each in found if each[1] not in LINKED]
        return list(zip(starts, [*starts[1:], end.start() + 1], strict=True)) if starts else [], end.start() + 1

    def number(self, value: float) -> bytes:
        """A real number as a value."""
        return repr(value).encode()

    def tag(self, code: int, value: str | float, encoding: str) -> bytes:
        """A whole tag."""
        return b"%3d%s%s%s" % (code, self._end, str(value).encode(encoding, "dxfreplace"), self._end)


class BinaryNotation:
    """Group code in one byte or two, numbers as the machine has them, text with a zero at its end."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        start = content.find(b"$ACADVER", 0, 1024) + len(b"$ACADVER\0")
        # of a file with short group codes the version follows upon a single byte
        self._short = content[start + 1 : start + 3] == b"AC" or b"$ACADVER" not in content[:1024]

    def tags(self, start: int, stop: int) -> Iterator[Tag]:
        """The tags of a part of the file. Raises NotEditableError where it is damaged."""
        content, here = self._content, max(start, len(BINARY))
        try:
            while here < stop:
                wide = 3 if content[here] == _WIDE else 1
                at = here + (wide if self._short else 2)
                code = content[here] if at == here + 1 else int.from_bytes(content[at - 2 : at], "little")
                form = _number_form(code)
                if form:
                    stop_at = end = at + struct.calcsize(form)
                    value: bytes | float = struct.unpack_from(form, content, at)[0]
                else:
                    stop_at = at + 1 + content[at] if code in _CHUNKS else content.index(b"\0", at)
                    end = stop_at + (code not in _CHUNKS)
                    value = content[at:stop_at]
                yield Tag(code, value, here, at, stop_at, end)
                here = end
        except (IndexError, ValueError, struct.error):
            raise NotEditableError("its file is damaged") from None

    def objects(self) -> tuple[list[tuple[int, int]], int]:
        """Where each object drawn in the file stands, and the end of their section."""
        starts: list[int] = []
        within, before = False, b""
        for tag in self.tags(0, len(self._content)):
            if within and tag.code == 0:
                if tag.value == b"ENDSEC":
                    return list(zip(starts, [*starts[1:], tag.start], strict=True)), tag.start
                if tag.value not in LINKED:
                    starts.append(tag.start)
            within = within or (before == b"SECTION" and tag.code == 2 and tag.value == b"ENTITIES")
            before = tag.value if tag.code == 0 and isinstance(tag.value, bytes) else b""
        return [], 0

    def number(self, value: float) -> bytes:
        """A real number as a value."""
        return struct.pack("<d", value)

    def tag(self, code: int, value: str | float, encoding: str) -> bytes:
        """A whole tag."""
        form = _number_form(code)
        number = float(value) if form == "<d" else int(value) if form else 0
        written = struct.pack(form, number) if form else str(value).encode(encoding, "dxfreplace") + b"\0"
        return code.to_bytes(1 if self._short else 2, "little") + written


def _number_form(code: int) -> str:
    return next((form for first, last, form in _NUMBERS if first <= code <= last), "")

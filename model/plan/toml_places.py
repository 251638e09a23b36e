"""Where things stand in a TOML text: a key path -> its line. The parser of the standard library does not tell."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TypeAlias

Path: TypeAlias = tuple[str | int, ...]
Place: TypeAlias = tuple[int, int]
Extent: TypeAlias = tuple[Place, Place]

MOST_ENTRIES = 100_000
"""Keys and array entries in one file; a plan of 200 frames has some 2,000. More is refused."""

MOST_KEYS = 16
"""Keys in one dotted name; the parser's time grows with their square."""

MOST_DEPTH = 16
"""Arrays and tables within one another in one value; the parser recurses."""

MOST_NUMBER = 200
"""Characters in one bare value; Python refuses to read whole numbers of thousands of digits."""

_VOID = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*+")
_BLANK = re.compile(r"[ \t]*+")
_END = re.compile(r"[ \t]*+(?:#[^\n]*+)?\r?(?:\n|\Z)")
_BARE = re.compile(r"[A-Za-z0-9_-]++")
_ONE_LINE = re.compile(r'"(?:[^"\\\n]++|\\[^\n])*+"|\'[^\'\n]*+\'')
# Before the closing quotes of a multi-line string there may be one or two more that belong to it.
_CLOSINGS = {'"""': re.compile(r'\\.|"{3,5}', re.DOTALL), "'''": re.compile(r"'{3,5}")}
_SCALAR = re.compile(r"[^,\]}#\n\"'\[{=]++")


class TomlTooMuchError(ValueError):
    """The text asks for more than any plan needs, and would cost more time or memory than it is worth."""

    def __init__(self, line: int, what: str) -> None:
        super().__init__(what)
        self.line = line
        self.what = what


@dataclass(frozen=True, slots=True, kw_only=True)
class TomlPlaces:
    """The lines of a TOML text's tables, keys and array entries, counted from 1.

    `values` are where the value of each key stands, `tables` each table with its header, up to the start of the line
    after the last of its keys: (line, column) both, from 1. `end` is that of the `text`.
    """

    lines: Mapping[Path, int]
    values: Mapping[Path, Extent] = field(default_factory=dict)
    tables: Mapping[Path, Extent] = field(default_factory=dict)
    end: Place = (1, 1)
    text: str = field(default="", repr=False)

    @classmethod
    def of(cls, text: str) -> TomlPlaces:
        """The places of a text. Where it is no TOML, those up to there: the parser says what is wrong.

        Raises TomlTooMuchError for a text that is not worth handing to the parser.
        """
        scan = _Scan(text)
        with suppress(_LostError):
            scan.document()
        return cls(lines=scan.lines, values=scan.values, tables=scan.tables, end=scan.place(len(text)), text=text)

    def text_of(self, start: Place, end: Place) -> str:
        """What stands between two places."""
        first, last = self.offset(start), self.offset(end)
        return self.text[first:last]

    def offset(self, place: Place) -> int:
        """How many characters stand before a place."""
        line, column = place
        return sum(len(each) + 1 for each in self.text.split("\n")[: line - 1]) + column - 1

    def line_of(self, *path: str | int) -> int:
        """The line of a key, a table's header or an array's entry; where there is none, that of what encloses it."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return 1


class _LostError(Exception):
    """The text is no TOML from here on."""


class _Scan:
    """One pass over a text. Methods take a position and return the one after what they have read."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.lines: dict[Path, int] = {}
        self.values: dict[Path, Extent] = {}
        self.tables: dict[Path, Extent] = {}
        self._breaks = [match.start() for match in re.finditer("\n", text)]
        self._latest: dict[Path, int] = {}
        self._entries = 0

    def document(self) -> None:
        """All statements, one after the other."""
        table: Path = ()
        at = self._after(_VOID, 0)
        while at < len(self.text):
            start = self.place(at)
            if self.text[at] == "[":
                table, at = self._header(at)
            else:
                at = self._pair(at, table, 0)
                start = self.tables.get(table, (start, start))[0]
            at = self._after(_END, at)
            self.tables[table] = start, self.place(at)
            at = self._after(_VOID, at)

    def _header(self, at: int) -> tuple[Path, int]:
        """The path of the table that `[a.b]` or `[[a.b]]` opens."""
        line, repeated = self._line(at), self.text.startswith("[[", at)
        keys, after = self._keys(at + 1 + repeated)
        close = "]]" if repeated else "]"
        if not self.text.startswith(close, after):
            raise _LostError
        self._count(at, len(keys))
        table: Path = ()
        for key in keys[:-1]:
            table = (*table, key)
            self._note(table, line)
            if table in self._latest:
                table = (*table, self._latest[table])
        table = (*table, keys[-1])
        if repeated:
            self._note(table, line)
            self._latest[table] = self._latest.get(table, -1) + 1
            table = (*table, self._latest[table])
        self.lines[table] = line
        return table, after + len(close)

    def _pair(self, at: int, table: Path, depth: int) -> int:
        """`key = value`, with the key's line noted below `table`."""
        line = self._line(at)
        keys, at = self._keys(at)
        if not self.text.startswith("=", at):
            raise _LostError
        self._count(at, len(keys))
        for end in range(1, len(keys) + 1):
            self._note((*table, *keys[:end]), line)
        start = self._after(_BLANK, at + 1)
        end = self._value(start, (*table, *keys), depth)
        written = start + len(self.text[start:end].rstrip())
        self.values[*table, *keys] = self.place(start), self.place(written)
        return end

    def _keys(self, at: int) -> tuple[tuple[str, ...], int]:
        """A dotted name, with the blanks around it."""
        keys: list[str] = []
        while True:
            key, at = self._key(self._after(_BLANK, at))
            keys.append(key)
            if len(keys) > MOST_KEYS:
                raise TomlTooMuchError(self._line(at), f"more than {MOST_KEYS} keys in one dotted name")
            at = self._after(_BLANK, at)
            if not self.text.startswith(".", at):
                return tuple(keys), at
            at += 1

    def _key(self, at: int) -> tuple[str, int]:
        if bare := _BARE.match(self.text, at):
            return bare.group(), bare.end()
        quoted = _ONE_LINE.match(self.text, at)
        if quoted is None:
            raise _LostError
        inner = quoted.group()[1:-1]
        if quoted.group()[0] == '"' and "\\" in inner:
            try:
                inner = tomllib.loads(f"key = {quoted.group()}")["key"]
            except tomllib.TOMLDecodeError:
                raise _LostError from None
        return inner, quoted.end()

    def _value(self, at: int, path: Path, depth: int) -> int:
        """A value; the entries of arrays and the keys of inline tables are noted below `path`."""
        if depth > MOST_DEPTH:
            raise TomlTooMuchError(self._line(at), f"more than {MOST_DEPTH} arrays or tables within one another")
        opening = self.text[at : at + 1]
        if opening == "[":
            return self._array(at + 1, path, depth + 1)
        if opening == "{":
            return self._inline_table(at + 1, path, depth + 1)
        if opening in ('"', "'"):
            return self._string(at)
        end = self._after(_SCALAR, at)
        if end - at > MOST_NUMBER and len(self.text[at:end].strip()) > MOST_NUMBER:
            raise TomlTooMuchError(self._line(at), f"a value of more than {MOST_NUMBER} characters without quotes")
        return end

    def _string(self, at: int) -> int:
        quotes = self.text[at : at + 3]
        if quotes not in _CLOSINGS:
            return self._after(_ONE_LINE, at)
        for match in _CLOSINGS[quotes].finditer(self.text, at + 3):
            if match.group().startswith(quotes):
                return match.end()
        raise _LostError

    def _array(self, at: int, path: Path, depth: int) -> int:
        index = 0
        while not self.text.startswith("]", at := self._after(_VOID, at)):
            entry = (*path, index)
            self._count(at, 1)
            self._note(entry, self._line(at))
            at = self._after(_VOID, self._value(at, entry, depth))
            if self.text.startswith(",", at):
                at += 1
            elif not self.text.startswith("]", at):
                raise _LostError
            index += 1
        return at + 1

    def _inline_table(self, at: int, path: Path, depth: int) -> int:
        while not self.text.startswith("}", at := self._after(_VOID, at)):
            at = self._after(_VOID, self._pair(at, path, depth))
            if self.text.startswith(",", at):
                at += 1
            elif not self.text.startswith("}", at):
                raise _LostError
        return at + 1

    def _note(self, path: Path, line: int) -> None:
        """Keeps the first line at which a path is named."""
        self.lines.setdefault(path, line)

    def _count(self, at: int, entries: int) -> None:
        self._entries += entries
        if self._entries > MOST_ENTRIES:
            raise TomlTooMuchError(self._line(at), f"more than {MOST_ENTRIES} keys and array entries")

    def _after(self, pattern: re.Pattern[str], at: int) -> int:
        """The position after the pattern, which has to stand here."""
        match = pattern.match(self.text, at)
        if match is None:
            raise _LostError
        return match.end()

    def place(self, at: int) -> Place:
        """The line and the column of a position."""
        line = self._line(at)
        return line, at - (self._breaks[line - 2] if line > 1 else -1)

    def _line(self, at: int) -> int:
        return bisect_left(self._breaks, at) + 1

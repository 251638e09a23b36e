"""How keys and values of a TOML file are written in messages: as their writer knows them, and safe to print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LONGEST = 60
_BIGGEST = 10**18


def dotted(path: Sequence[str | int]) -> str:
    """A key path as TOML writes it, indices in brackets from 0: `layers."LEG INNER".stock`, `frames[2].rake`."""
    pieces = []
    for key in path:
        if isinstance(key, int):
            pieces.append(f"[{key}]")
        else:
            pieces.append(f".{key if len(key) <= _LONGEST and _BARE.fullmatch(key) else quoted(key)}")
    return "".join(pieces).removeprefix(".")


def quoted(text: str) -> str:
    """Text in double quotes, cut short where long, with nothing in it that a terminal would obey."""
    cut = text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
    plain = cut.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in plain) + '"'


def shown(value: object) -> str:
    """A value as it could stand in the file, cut short where long."""
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) >= _BIGGEST:
        return "a number of more than 18 digits"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return _shown_list(value)
    return "a table" if isinstance(value, dict) else str(value)


def _shown_list(values: Sequence[object]) -> str:
    pieces: list[str] = []
    room = _LONGEST
    for value in values:
        pieces.append(shown(value))
        room -= len(pieces[-1]) + 2
        if room < 0:
            pieces[-1] = "…"
            break
    return f"[{', '.join(pieces)}]"

"""How TOML is written that a designer reads: keys, numbers, tables with their values and comments in columns."""

from __future__ import annotations

from collections.abc import Iterable

from scrieve.shared.wording import trimmed


def number(value: float) -> str:
    """A number to a thousandth, without needless zeros."""
    return trimmed(value, 3)


def text(value: str) -> str:
    """Text in TOML's double quotes."""
    plain = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{plain}"'


def key(name: str) -> str:
    """A name as a key of a table's header, in quotes where it wants them."""
    return name if name.isascii() and name.replace("-", "").replace("_", "").isalnum() else text(name)


def block(header: str, *entries: tuple[str, str, str]) -> str:
    """A table: key, value and a comment a line, the values in one column, the comments in another."""
    wide = max(len(key) for key, _, _ in entries)
    lines = [(f"{key:<{wide}} = {value}", comment) for key, value, comment in entries]
    column = max((len(line) for line, comment in lines if comment), default=0)
    out = [header, *(f"{line:<{column}}  # {comment}" if comment else line for line, comment in lines)]
    return "\n".join(out) + "\n"


def numbers(values: Iterable[float]) -> str:
    """Numbers in brackets."""
    return f"[{', '.join(number(value) for value in values)}]"

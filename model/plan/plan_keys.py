"""Edits of the plan's own file: a key set, a table taken out or added, as a change of its text."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeAlias

from scrieve.shared.edits import Key, SetKey
from scrieve.shared.findings import Source
from scrieve.shared.units import MM_PER_UNIT

from .toml_places import TomlPlaces
from .toml_words import dotted

Value: TypeAlias = str | bool | int | Decimal | float | Sequence[float]
"""Text, yes or no, a count as an int, degrees as a Decimal; a length as a float, mm, or several."""

_PLACES = 6  # of a length in the plan's own unit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanKeys:
    """Makes edits of the plan's `file`, bare lengths in whose `unit`. Each is empty where its place is not known."""

    file: str = ""
    unit: str = "mm"
    places: TomlPlaces = field(default_factory=lambda: TomlPlaces(lines={}))

    def set(self, table: Key | Source, key: str, value: Value, *, sure: bool = False) -> tuple[SetKey, ...]:
        """A key of a table (by its path, or the line of its header) given a value, or put into the table."""
        places, path, text = self.places, self._path(table), self._written(value)
        entry = f"{dotted((key,))} = {text}"
        whole = (*path, key)
        beside = [extent for other, extent in places.values.items() if other[:-1] == path]
        if whole in places.values:
            (start, end), new = places.values[whole], text
        elif path in places.tables:
            start = end = places.tables[path][1]
            new = f"{entry}\n" if end[1] == 1 else f"\n{entry}"
        elif beside and path:
            start = end = max(end for _, end in beside)
            new = f", {entry}"
        else:
            return ()
        return (SetKey(file=self.file, key=whole, value=text, start=start, end=end, text=new, sure=sure),)

    def without(self, table: Source, *, sure: bool = False) -> tuple[SetKey, ...]:
        """The table with its header on this line taken out, with all its keys."""
        path = self._path(table)
        if not path:
            return ()
        start, end = self.places.tables[path]
        return (SetKey(file=self.file, key=path, value="", start=start, end=end, text="", sure=sure),)

    def with_tables(self, name: str, tables: Sequence[Mapping[str, str]]) -> tuple[SetKey, ...]:
        """More tables of an array of tables, at the end of the file."""
        if not self.file:
            return ()
        written = [[f"{key} = {self._written(value)}" for key, value in keys.items()] for keys in tables]
        number = len({path[1] for path in self.places.lines if len(path) > 1 and path[0] == name})
        end = self.places.end
        text = ("" if end[1] == 1 else "\n") + "".join("\n".join(("", f"[[{name}]]", *own, "")) for own in written)
        value = ", ".join(f"{{ {', '.join(own)} }}" for own in written)
        return (SetKey(file=self.file, key=(name, number), value=value, start=end, end=end, text=text),)

    def _path(self, table: Key | Source) -> Key:
        if not isinstance(table, Source):
            return table
        return next((path for path, (start, _) in self.places.tables.items() if start[0] == table.line), ())

    def _written(self, value: Value) -> str:
        if isinstance(value, Decimal):
            return f"{value:f}"
        if isinstance(value, float):
            return f"{round(value / MM_PER_UNIT[self.unit], _PLACES):.15g}"
        if isinstance(value, str | int):
            return json.dumps(value, ensure_ascii=False)
        return f"[{', '.join(map(self._written, value))}]"

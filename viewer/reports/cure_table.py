"""The cures of a boat that are plain changes of its files as a table (CSV), for a spreadsheet or a script."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from io import StringIO
from typing import TypeAlias

from scrieve.model.boat.view import DrawingView
from scrieve.model.plan.toml_words import dotted
from scrieve.shared.edits import Add, Edit, Move, OfDrawing, Relabel, Remove, Reshape, SetKey, Spot

from .style import plain

COLUMNS = (
    "frame", "name", "do", "file", "line", "layer", "handle", "unit", "u", "v", "new u", "new v",
    "y mm", "z mm", "new y mm", "new z mm", "value", "goes along", "sure",
)  # fmt: skip

Row: TypeAlias = tuple[str, Spot | None, Spot | None, str, tuple[str, ...]]

_FORMULA = ("=", "+", "-", "@")


def cure_table(edits: Iterable[Edit], views: Mapping[str, DrawingView]) -> str:
    """A line for each thing that should move, go or come, each corner of an outline, each key of the plan.

    The first line names the columns. u and v are in the drawing's own coordinates and unit, y and z those of the
    frame, by the `views` of frames by number, in mm as the report tells them. Several handles, or things that go along,
    stand in one cell, a space or a semicolon between them. Text that begins with = + - or @ has an apostrophe before
    it.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for edit in edits:
        sure = "yes" if edit.sure else "no"
        if isinstance(edit, SetKey):
            do = "set" if edit.value else "take out"
            words = ("", dotted(edit.key), do, edit.file, str(edit.start[0]), *[""] * 11, edit.value, "", sure)
            writer.writerow(map(_cell, words))
            continue
        on, view = edit.target, views.get(edit.target.frame)
        for do, start, end, value, along in rows_of(edit):
            back = [None if at is None or view is None else view.back(at) for at in (start, end)]
            places = [number for at in (start, end, *back) for number in _pair(at)]
            words = (on.frame, on.name, do, on.file, "", on.layer, " ".join(on.handles), on.unit)
            writer.writerow((*map(_cell, words), *places, *map(_cell, (value, "; ".join(along), sure))))
    return out.getvalue()


def rows_of(edit: OfDrawing) -> Iterator[Row]:
    """What to do, where it is and where it should be, a number or text that goes with it, what goes along."""
    match edit:
        case Move():
            yield "move after the others" if edit.after else "move", edit.start, edit.end, "", edit.along
        case Remove():
            yield "leave out", edit.at, None, "", edit.along
        case Reshape():
            yield from (("move corner", start, end, "", ()) for start, end in edit.corners)
        case Relabel():
            yield "write", None, None, edit.text, ()
        case Add(diameter=0.0):
            bulges = edit.bulges or (0.0,) * len(edit.points)
            corners = zip(edit.points, bulges, strict=True)
            yield from (("add corner", None, at, f"bulge {_number(bulge)}", ()) for at, bulge in corners)
        case Add():
            yield "add circle", None, edit.points[0], f"diameter {_number(edit.diameter)}", ()


def _cell(text: str) -> str:
    """Text that no spreadsheet takes for a formula: one that begins like a formula has an apostrophe before it."""
    shown = plain(text)
    return f"'{shown}" if shown.startswith(_FORMULA) else shown


def _pair(at: tuple[float, float] | None) -> tuple[str, str]:
    """Coordinates to a millionth, without needless zeros."""
    return ("", "") if at is None else (_number(at[0]), _number(at[1]))


def _number(value: float) -> str:
    return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")

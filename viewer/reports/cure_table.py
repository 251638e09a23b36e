"""The moves that cure a boat's screws as a table (CSV), for a spreadsheet or a script."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from io import StringIO

from scrieve.model.proposals.screws.drawn_moves import DrawnMove

from .style import plain

COLUMNS = (
    "frame", "screw", "do", "drawing", "layer", "handle", "unit", "u", "v", "new u", "new v",
    "y mm", "z mm", "new y mm", "new z mm", "goes along",
)  # fmt: skip

_FORMULA = ("=", "+", "-", "@")


def cure_table(moves: Iterable[DrawnMove]) -> str:
    """A line for each thing drawn that should move or go, after one that names the columns.

    u and v are in the drawing's own coordinates and unit, y and z the frame's own in mm as the report tells them.
    Several handles, or screws that go along, stand in one cell, a space or a semicolon between them. Text that begins
    with = + - or @ has an apostrophe before it.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for move in moves:
        writer.writerow(
            (
                *map(
                    _cell,
                    (
                        move.frame.number,
                        move.screw.name,
                        move.outcome,
                        move.view.shown,
                        move.layer,
                        " ".join(move.handles),
                        move.view.unit,
                    ),
                ),
                *_pair(move.drawn_at),
                *_pair(move.drawn_to),
                *_pair(move.at),
                *_pair(move.to),
                _cell("; ".join(move.along)),
            )
        )
    return out.getvalue()


def _cell(text: str) -> str:
    """Text that no spreadsheet takes for a formula: one that begins like a formula has an apostrophe before it."""
    shown = plain(text)
    return f"'{shown}" if shown.startswith(_FORMULA) else shown


def _pair(at: tuple[float, float] | None) -> tuple[str, str]:
    """Coordinates to a millionth, without needless zeros."""
    return ("", "") if at is None else (_number(at[0]), _number(at[1]))


def _number(value: float) -> str:
    return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")

"""Edits as JSON, for the reports that have a place for them; `findings.schema.json` says every key."""

from __future__ import annotations

from dataclasses import asdict

from scrieve.shared.edits import Edit, SetKey

_PLACES = 6  # of the drawing's own unit, which may be a metre


def edit_json(edit: Edit) -> dict[str, object]:
    """The kind of an edit and all that it says."""
    kind = "set" if isinstance(edit, SetKey) else type(edit).__name__.lower()
    return {"edit": kind} | {key: _plain(value) for key, value in asdict(edit).items()}


def _plain(value: object) -> object:
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return round(value, _PLACES) + 0.0 if isinstance(value, float) else value

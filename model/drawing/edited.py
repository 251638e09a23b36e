"""A drawing as it would be read with edits made to it, without a file: moves, removals and other texts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from scrieve.shared.edits import Move, OfDrawing, Relabel, Remove
from scrieve.shared.units import MM_PER_UNIT

from ..geometry.outline import Outline
from .drawn import Drawing, DrawnChain, DrawnCircle, DrawnOutline, DrawnPoint, DrawnText, Point

_Drawn = TypeVar("_Drawn", DrawnOutline, DrawnChain, DrawnCircle, DrawnPoint, DrawnText)


def edited_drawing(drawing: Drawing, edits: Iterable[OfDrawing]) -> Drawing:
    """The drawing with the moves, removals and other texts made in their order.

    Raises ValueError for an edit of another kind.
    """
    for edit in edits:
        drawing = replace(
            drawing,
            outlines=_each(drawing.outlines, edit),
            chains=_each(drawing.chains, edit),
            circles=_each(drawing.circles, edit),
            points=_each(drawing.points, edit),
            texts=_each(drawing.texts, edit),
        )
    return drawing


def _each(things: Sequence[_Drawn], edit: OfDrawing) -> tuple[_Drawn, ...]:
    out = []
    for thing in things:
        if thing.source.handle not in edit.target.handles:
            out.append(thing)
        elif isinstance(edit, Move):
            out.append(_moved(thing, (np.array(edit.end) - edit.start) * MM_PER_UNIT[edit.target.unit]))
        elif isinstance(edit, Relabel):
            out.append(replace(thing, text=edit.text) if isinstance(thing, DrawnText) else thing)
        elif not isinstance(edit, Remove):
            raise ValueError(f"moves, removals and texts are wanted (got {type(edit).__name__})")
    return tuple(out)


def _moved(thing: _Drawn, by: np.ndarray) -> _Drawn:
    def there(point: Point) -> Point:
        return float(point[0] + by[0]), float(point[1] + by[1])

    if isinstance(thing, DrawnOutline):
        return replace(thing, outline=Outline.of(thing.outline.points + by, thing.outline.bulges))
    if isinstance(thing, DrawnChain):
        return replace(thing, points=tuple(map(there, thing.points)))
    if isinstance(thing, DrawnCircle):
        return replace(thing, centre=there(thing.centre))
    if isinstance(thing, DrawnText):
        return replace(thing, at=there(thing.at), middle=there(thing.middle))
    return replace(thing, at=there(thing.at))

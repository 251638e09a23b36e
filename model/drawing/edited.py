"""A drawing as it would be read with edits made to it, without a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.edits import Add, Move, OfDrawing, Relabel, Remove, Reshape
from scrieve.shared.units import MM_PER_UNIT

from ..geometry.outline import Outline
from .drawn import Drawing, DrawnChain, DrawnCircle, DrawnOutline, DrawnPoint, DrawnText, Point, drawn_with

Values = NDArray[np.float64]
_NEAR = 1e-3  # mm; a corner this close to where an edit has it is that corner
_Drawn = TypeVar("_Drawn", DrawnOutline, DrawnChain, DrawnCircle, DrawnPoint, DrawnText)


def edited_drawing(drawing: Drawing, edits: Iterable[OfDrawing]) -> Drawing:
    """The drawing with its edits made in their order: moves, removals, other texts, corners moved, lines across gaps.

    Raises ValueError for an edit of another kind.
    """
    for edit in edits:
        if isinstance(edit, Add):
            drawing = _joined(drawing, edit)
            continue
        drawing = replace(
            drawing,
            outlines=_each(drawing.outlines, edit),
            chains=_each(drawing.chains, edit),
            circles=_each(drawing.circles, edit),
            points=_each(drawing.points, edit),
            texts=_each(drawing.texts, edit),
        )
    return drawing


def _joined(drawing: Drawing, edit: Add) -> Drawing:
    """The drawing with a line across the gap in a chain, which closes it, or between two, which makes them one."""
    if len(edit.points) != 2 or edit.diameter:
        raise ValueError("a line across a gap is wanted (got another thing to add)")
    ends = np.array(edit.points) * MM_PER_UNIT[edit.target.unit]
    touched = [
        (chain, [bool(np.hypot(*np.subtract(end, at)) < _NEAR) for end in (chain.points[0], chain.points[-1])])
        for chain in drawing.chains
        if chain.layer == edit.target.layer
        for at in ends
    ]
    met = list(dict.fromkeys(id(chain) for chain, at_ends in touched if any(at_ends)))
    chains = [chain for chain in drawing.chains if id(chain) in met]
    rest = tuple(chain for chain in drawing.chains if id(chain) not in met)
    if len(chains) == 1:
        (chain,) = chains
        outline = Outline.of(chain.points, (*chain.bulges, 0.0))
        return replace(
            drawing,
            chains=rest,
            outlines=(*drawing.outlines, DrawnOutline(layer=chain.layer, outline=outline, source=chain.source)),
        )
    if len(chains) != 2:
        raise ValueError(f"a gap of one chain or between two is wanted (got {len(chains)} chains)")
    one, other = chains
    if not _at_end(one, ends):
        one = _turned(one)
    if _at_end(other, ends):
        other = _turned(other)
    both = replace(
        one,
        points=(*one.points, *other.points),
        bulges=(*one.bulges, 0.0, *other.bulges),
        source=drawn_with(one.source, [other.source]),
    )
    return replace(drawing, chains=(*rest, both))


def _at_end(chain: DrawnChain, ends: Values) -> bool:
    """Whether a chain ends, and does not begin, at one of two places."""
    return bool(np.hypot(*(ends - chain.points[-1]).T).min() < _NEAR)


def _turned(chain: DrawnChain) -> DrawnChain:
    return replace(chain, points=chain.points[::-1], bulges=tuple(-bulge for bulge in chain.bulges[::-1]))


def _each(things: Sequence[_Drawn], edit: OfDrawing) -> tuple[_Drawn, ...]:
    out = []
    for thing in things:
        if thing.source.handle not in edit.target.handles:
            out.append(thing)
        elif isinstance(edit, Move):
            out.append(_moved(thing, (np.array(edit.end) - edit.start) * MM_PER_UNIT[edit.target.unit]))
        elif isinstance(edit, Reshape):
            out.append(_reshaped(thing, edit))
        elif isinstance(edit, Relabel):
            out.append(replace(thing, text=edit.text) if isinstance(thing, DrawnText) else thing)
        elif not isinstance(edit, Remove):
            raise ValueError(f"moves, removals, corners and texts are wanted (got {type(edit).__name__})")
    return tuple(out)


def _reshaped(thing: _Drawn, edit: Reshape) -> _Drawn:
    """Corners moved of an outline; anything else is no part."""
    if not isinstance(thing, DrawnOutline):
        return thing
    points = thing.outline.points.copy()
    for start, end in np.array(edit.corners) * MM_PER_UNIT[edit.target.unit]:
        points[np.hypot(*(thing.outline.points - start).T) < _NEAR] = end
    return replace(thing, outline=Outline.of(points, thing.outline.bulges))


def _moved(thing: _Drawn, by: Values) -> _Drawn:
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

"""A drawing as it would be read with edits made to it, without a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.edits import Add, Move, OfDrawing, Relabel, Reshape
from scrieve.shared.findings import Source
from scrieve.shared.units import MM_PER_UNIT

from ..geometry.outline import Outline
from .drawn import Drawing, DrawnChain, DrawnCircle, DrawnOutline, DrawnPoint, DrawnText, Point, drawn_with

Values = NDArray[np.float64]
_NEAR = 1e-3  # mm; a corner this close to where an edit has it is that corner
_ADDED = "+"  # no handle in a file begins so
_Drawn = TypeVar("_Drawn", DrawnOutline, DrawnChain, DrawnCircle, DrawnPoint, DrawnText)


def edited_drawing(drawing: Drawing, edits: Iterable[OfDrawing]) -> Drawing:
    """The drawing with its edits made in their order. Raises ValueError for one of nothing that is drawn for itself."""
    for number, edit in enumerate(edits):
        if isinstance(edit, Add):
            drawing = _with(drawing, edit, f"{_ADDED}{number}")
            continue
        things: Iterable[DrawnOutline | DrawnChain | DrawnCircle | DrawnPoint | DrawnText]
        things = (*drawing.outlines, *drawing.chains, *drawing.circles, *drawing.points, *drawing.texts)
        if not any(thing.source.handle in edit.target.handles for thing in things):
            raise ValueError(f"an object that is drawn for itself is wanted (got {edit.target.handles})")
        drawing = replace(
            drawing,
            outlines=_each(drawing.outlines, edit),
            chains=_each(drawing.chains, edit),
            circles=_each(drawing.circles, edit),
            points=_each(drawing.points, edit),
            texts=_each(drawing.texts, edit),
        )
    return drawing


def is_added(source: Source) -> bool:
    """Whether a thing is drawn by an edit, and in no file."""
    return source.handle.startswith(_ADDED)


def _with(drawing: Drawing, edit: Add, handle: str) -> Drawing:
    """The drawing with a circle more, a closed outline with its text, or a line across a gap."""
    if len(edit.points) == 2 and not edit.diameter:
        return _joined(drawing, edit)
    points = np.array(edit.points) * MM_PER_UNIT[edit.target.unit]
    layer, source = edit.target.layer, Source(file=drawing.shown, handle=handle, layer=edit.target.layer)
    if edit.diameter:
        ((u, v),) = points.tolist()
        radius = edit.diameter / 2 * MM_PER_UNIT[edit.target.unit]
        circle = DrawnCircle(layer=layer, centre=(u, v), radius=radius, source=source)
        return replace(drawing, circles=(*drawing.circles, circle))
    outline = Outline.of(points, edit.bulges or [0.0] * len(points))
    (at,) = shapely.get_coordinates(shapely.Polygon(points).representative_point()).tolist()
    text = DrawnText(layer=layer, text=edit.text, at=tuple(at), middle=tuple(at), source=source)
    return replace(
        drawing,
        outlines=(*drawing.outlines, DrawnOutline(layer=layer, outline=outline, source=source)),
        texts=(*drawing.texts, *([text] if edit.text else [])),
    )


def _joined(drawing: Drawing, edit: Add) -> Drawing:
    """The drawing with a line across the gap in a chain, which closes it, or between two, which makes them one."""
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

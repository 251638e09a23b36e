"""Where the names of the bodies of a close-up stand: on the body, off the place, clear of one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.findings import Finding
from scrieve.shared.names import within_frame

from ..reports.style import plain
from .body import Body, Points
from .close_up import CloseUp
from .sides import View
from .triple import Triple, triple

MOST = 6
"""names; of more bodies none is named, they are alike."""

_OFF = (9.0, 5.0)  # letters from the place to a name; the second where the first leaves no room
_ROW = 2.0  # letters from spot to spot
_INSET = 0.8  # letters from the edge of what is seen of the body


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedBody:
    """The `words` of a body and `spots` (x, y) where they could stand, in letters from the picture's upper left.

    The best come first. Where there are none the words stand beside `on`, with a line to it.
    """

    words: str
    body: int
    spots: tuple[tuple[float, float], ...]
    on: tuple[float, float]


def named_bodies(
    finding: Finding, close: CloseUp, bodies: Sequence[Body], view: View, tall: float, aspect: float
) -> Iterator[NamedBody]:
    """The bodies that get a name, as they are seen in a picture `tall` letters high, `aspect` times that wide."""
    told = {words for words, _ in close.signs.words}
    numbers = [n for n in close.bodies if bodies[n].name not in told]
    if len(numbers) > MOST:
        return
    size = np.array([tall * aspect, tall])
    middle = view.seen([close.at], aspect)[0] * size
    window = shapely.box(0.0, 0.0, *size)
    seen = {n: _seen(close.pieces.get(n, bodies[n]), view, aspect, size, window) for n in numbers}
    for n in numbers:
        if seen[n].is_empty:
            continue
        others = shapely.union_all([seen[other] for other in numbers if other != n])
        alone = shapely.difference(seen[n], others)
        small = bodies[n].kind in ("screw", "dowel")  # words would hide them
        wheres = () if small else (alone, seen[n])
        spots = next((found for where in wheres if (found := _spots(where, size, middle))), [])
        largest = max(shapely.get_parts(seen[n] if alone.is_empty else alone), key=lambda piece: piece.area)
        on = shapely.maximum_inscribed_circle(largest, tolerance=0.3)
        x, y = on.coords[0]
        yield NamedBody(words=plain(within_frame(bodies[n].name, finding.frame)), body=n, spots=tuple(spots), on=(x, y))


def lifted(body: Body, view: View, x: float, y: float, aspect: float) -> Triple | None:
    """The place on a body, hull axes, mm, that is seen at (x, y), shares of the picture from its upper left."""
    right, over, back = view.axes()
    tall = view.height_at_target()
    across = right * (x - 0.5) * tall * aspect + over * (0.5 - y) * tall
    start = np.add(view.position, across) if view.height else np.array(view.position)
    way = -back if view.height else np.add(view.target, across) - start
    corners = body.points[body.triangles]
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    across_way = np.cross(way, two)
    size = np.einsum("ij,ij->i", one, across_way)
    size = np.where(np.abs(size) > 1e-12, size, np.nan)
    off = start - corners[:, 0]
    u = np.einsum("ij,ij->i", off, across_way) / size
    turned = np.cross(off, one)
    v = (turned @ way) / size
    far = np.einsum("ij,ij->i", two, turned) / size
    hit = (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (far > 0.0)
    return triple(start + way * float(far[hit].min())) if hit.any() else None


def _seen(body: Body, view: View, aspect: float, size: Points, window: shapely.Polygon) -> shapely.Geometry:
    """What of a body is in the picture, in letters."""
    corners = view.seen(body.points, aspect) * size
    faces = shapely.polygons(corners[body.triangles])
    return shapely.union_all(shapely.intersection(faces[shapely.area(faces) > 1e-9], window))


def _spots(where: shapely.Geometry, size: Points, middle: Points) -> list[tuple[float, float]]:
    """Places well inside a shape and well off the middle, those nearest to it first."""
    roomy = shapely.buffer(where, -_INSET)
    if roomy.is_empty:
        return []
    xs, ys = np.meshgrid(np.arange(0.0, size[0], _ROW), np.arange(0.0, size[1], _ROW))
    grid = np.column_stack([xs.ravel(), ys.ravel()])
    grid = grid[shapely.contains_xy(roomy, *grid.T)]
    far = np.hypot(*(grid - middle).T)
    for least in _OFF:
        if np.any(far > least):
            grid, far = grid[far > least], far[far > least]
            return [(float(x), float(y)) for x, y in grid[np.argsort(np.round(far, 3), kind="stable")]]
    return []

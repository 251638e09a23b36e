"""A finding close up: the bodies it is about, what its marks say, a view of it, and where names stand on the bodies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding
from scrieve.shared.names import within_frame

from ..reports.style import plain
from .bodies import piece_of
from .body import Body, Points
from .sides import ALL_ROUND, Margins, View, view_along
from .signs import Signs, signs_of
from .triple import Triple, triple
from .viewpoint import viewpoint

_PIECE = 0.42
"""of the height of the picture: how far to each side of the place battens and rails are seen. More would lie
before the eye."""

MOST = 6
"""names; of more bodies none is named, they are alike."""

_OFF = (9.0, 5.0)  # letters from the place to a name; the second where the first leaves no room
_ROW = 2.0  # letters from spot to spot
_INSET = 0.8  # letters from the edge of what is seen of the body


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseUp:
    """What a finding is about: `bodies` by number, the worst first, and its `signs`.

    `about` (n, 3) mm, hull axes, is in sight in the `view`; `faint` lets one see through wood. `also` by number is
    what else is seen; of the bodies that are `pieces` no more is seen than these.
    """

    at: Triple
    bodies: tuple[int, ...]
    view: View
    about: Points
    faint: bool
    signs: Signs
    also: tuple[int, ...]
    pieces: Mapping[int, Body]

    @property
    def whole(self) -> frozenset[int]:
        """The bodies that are seen as they are."""
        return frozenset((*self.bodies, *self.also)) - frozenset(self.pieces)


def close_up(
    finding: Finding, bodies: Sequence[Body], assembly: Assembly, aspect: float, room: Margins = ALL_ROUND
) -> CloseUp | None:
    """The close-up of a finding in a picture of this width by height; None for one that has no place."""
    if finding.at is None:
        return None
    named = subjects_among(finding, bodies)
    signs = signs_of(finding, bodies)
    also = tuple(sorted({*_also(finding, signs, bodies)} - {*named}))
    seen = viewpoint(finding, signs, [bodies[n] for n in named or also], assembly)
    view = view_along(seen.toward, seen.up, seen.about, aspect, room)
    reach = max(_PIECE * view.height_at_target(), float(np.abs(seen.about[:, 0] - finding.at[0]).max()))
    pieces = {
        n: piece
        for n in (*named, *also)
        if (piece := piece_of(bodies[n], assembly, finding.at[0] - reach, finding.at[0] + reach)) is not None
    }
    return CloseUp(
        at=finding.at, bodies=named, view=view, about=seen.about, faint=seen.faint, signs=signs, also=also,
        pieces=pieces,
    )  # fmt: skip


def subjects_among(finding: Finding, bodies: Sequence[Body]) -> tuple[int, ...]:
    """The bodies, by number, that a finding is about, the worst first; frames are none."""
    number = {body.name: n for n, body in enumerate(bodies)}
    return tuple(number[subject.name] for subject in finding.subjects if subject.name in number)


def _also(finding: Finding, signs: Signs, bodies: Sequence[Body]) -> Iterator[int]:
    """What has an axis that is marked; and of whole frames, where the marks lie between them, their parts."""
    yield from (axis.body for axis in signs.axes if axis.body is not None)
    first = finding.subjects[0].kind if finding.subjects else ""
    if first == "frame" and not any(mark.frame for mark in finding.evidence):
        frames = {subject.frame for subject in finding.subjects if subject.kind == "frame"}
        small = ("screw", "dowel")
        yield from (n for n, body in enumerate(bodies) if body.frame in frames and body.kind not in small)


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

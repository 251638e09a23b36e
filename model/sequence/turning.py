"""Which way round a part may go: turned over in its own place, or swapped with its twin on the other side.

A part is cut with one face up and marked on that face. Where its outline is its own mirror image it may
be laid either way, so that the marks come to the side they are wanted on. Where it is the mirror image of
the part on the other side of the boat, the two may change places, each turned over. A part with pockets has one way
round: turned over it has them on the wrong face.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.plane import mirrored

Points = NDArray[np.float64]

_MOST_TURNS = 64
"""Turns tried to bring one outline on the other. A gear might need more; no part of a frame does."""

_FEW = 4
"""Corners at one distance from the middle that are as good as one: a rectangle's."""

_ROUGH = 4.0
"""times what is allowed; outlines laid corner on corner may lie so far off one another before they are settled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """How else a part fits: `either_way` up in its own place, or turned over in the place of each of `twins`.

    `twins` are names, sorted, of parts of the same frame, face, role and stock on the other side of the boat.
    """

    part: str
    either_way: bool
    twins: tuple[str, ...]


def turnings(frame: Frame, allowed: float) -> tuple[Turning, ...]:
    """How else each part of a frame fits, in the order of its parts; outlines may differ by `allowed`, mm."""
    return tuple(
        Turning(
            part=part.name,
            either_way=not part.pockets and fits_turned(part, part, allowed),
            twins=() if part.pockets else tuple(_twins(part, frame, allowed)),
        )
        for part in frame.parts
    )


def _twins(part: Part, frame: Frame, allowed: float) -> Iterator[str]:
    across = {"port": "starboard", "starboard": "port"}.get(part.side)
    for other in frame.parts:
        if other.side != across or other.pockets:
            continue
        if _like(part) == _like(other) and fits_turned(part, other, allowed):
            yield other.name


def _like(part: Part) -> tuple[object, ...]:
    """What two parts must have in common besides their outlines."""
    return part.face, part.role, part.stock, round(part.thickness, 3)


def fits_turned(part: Part, other: Part, allowed: float) -> bool:
    """Whether `part` turned over fits where `other` lies: its mirror image can be moved on to it within `allowed`, mm.

    Every corner of either outline as cut, holes included, then lies no further than that off the other's edge.
    """
    mine, its = mirrored(part.shape), other.shape
    reach = allowed + COINCIDENT
    if abs(mine.area - its.area) > reach * its.length or len(mine.interiors) != len(its.interiors):
        return False
    mine, its = _centred(mine), _centred(its)
    for turn in _turns(mine, its, reach):
        turned = _turned(mine, turn)
        rough = _ROUGH * reach
        if _lies_on(turned, its, rough) and _lies_on(_settled(turned, its, rough), its, reach):
            return True
    return False


def _centred(shape: shapely.Polygon) -> shapely.Polygon:
    middle = shapely.get_coordinates(shape.centroid)[0]
    return shapely.transform(shape, lambda points: points - middle)


def _turned(shape: shapely.Polygon, angle: float) -> shapely.Polygon:
    c, s = np.cos(angle), np.sin(angle)
    return shapely.transform(shape, lambda points: points @ np.array([[c, s], [-s, c]]))


def _turns(mine: shapely.Polygon, its: shapely.Polygon, reach: float) -> Iterator[float]:
    """The angles, radians, that bring a corner of `mine` on one of `its`: a corner that stands out, by its radius."""
    here, there = _corners(mine), _corners(its)
    radii = np.sort(np.hypot(*here.T))
    far = np.hypot(*there.T)
    alike = np.searchsorted(radii, far + 2 * reach) - np.searchsorted(radii, far - 2 * reach)
    told = int(np.lexsort((-far, np.maximum(alike, _FEW)))[0])
    which = np.abs(np.hypot(*here.T) - far[told]) <= 2 * reach
    angles = np.arctan2(there[told, 1], there[told, 0]) - np.arctan2(here[which, 1], here[which, 0])
    yield from np.unique(np.round(angles % (2 * np.pi), 9))[:_MOST_TURNS].tolist()


def _settled(mine: shapely.Polygon, its: shapely.Polygon, reach: float) -> shapely.Polygon:
    """`mine` moved and turned a little, so that its corners lie on those of the other as nearly as can be.

    Corners that are `reach` or more from any of the other's, as those of arcs may be, are left out of account.
    """
    here, there = _corners(mine), _corners(its)
    off = np.hypot(*np.moveaxis(here[:, None] - there[None], 2, 0))
    near = off.min(axis=1) < reach
    if not near.any():
        return mine
    matched = there[off.argmin(axis=1)]
    middle, to = here[near].mean(axis=0), matched[near].mean(axis=0)
    a, b = here[near] - middle, matched[near] - to
    angle = float(np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b)))
    turned = _turned(shapely.transform(mine, lambda points: points - middle), angle)
    return shapely.transform(turned, lambda points: points + to)


def _corners(shape: shapely.Polygon) -> Points:
    """(n, 2): each corner once, of the outline and of the holes."""
    points, ring = shapely.get_coordinates(shapely.get_rings(shape), return_index=True)
    return np.asarray(points[:-1][ring[1:] == ring[:-1]])


def _lies_on(mine: shapely.Polygon, its: shapely.Polygon, reach: float) -> bool:
    return _corners_on(mine, its.boundary, reach) and _corners_on(its, mine.boundary, reach)


def _corners_on(shape: shapely.Polygon, edge: shapely.Geometry, reach: float) -> bool:
    corners = shapely.points(shapely.get_coordinates(shape))
    return bool(np.all(shapely.dwithin(corners, edge, reach)))

"""What a round cutter really leaves of an outline.

A cutter that goes round the outside of a part cannot reach into inside corners sharper than its own
radius: wood stays there. The outline as cut is the drawn one with that wood added, which is the
morphological closing of the drawn outline by the cutter's disc.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import CHORD_TURN, COINCIDENT, CUTTER_PLAY, SLIVER

_QUADRANT = 48  # segments a quarter turn: a 10 mm cutter is then within 0.001 mm of round
_HAIR = 1e-5  # mm; wood thinner than two of these is rounding


def as_cut(drawn: shapely.Polygon, cutter_diameter: float) -> shapely.Polygon:
    """The outline as cut: `drawn` and the wood that the cutter leaves. No cutter (0): `drawn` itself."""
    left = left_standing(drawn, cutter_diameter)
    if not left:
        return drawn
    # grown by a hair so that the pieces join the part along their common edge instead of at points
    joined = shapely.union_all([drawn, *(piece.buffer(1e-6, join_style="mitre") for piece in left)])
    if joined.geom_type != "Polygon":
        joined = max(joined.geoms, key=lambda piece: piece.area)
    return joined


def pieces_as_cut(drawn: shapely.Geometry, cutter_diameter: float) -> shapely.Geometry:
    """The same of what may be several pieces, with the wood that the cutter leaves where it does not fit between."""
    pieces = [piece for piece in shapely.get_parts(drawn) if piece.geom_type == "Polygon"]
    whole = shapely.union_all([as_cut(piece, cutter_diameter) for piece in pieces])
    if len(pieces) < 2 or cutter_diameter <= 2 * CUTTER_PLAY:
        return whole
    closed = _closed(shapely.MultiPolygon(pieces), cutter_diameter / 2 - CUTTER_PLAY)
    between = [p for p in shapely.get_parts(shapely.difference(closed, whole)) if not _is_sliver(p)]
    return shapely.union_all([whole, *between])


@lru_cache(maxsize=4096)  # asked for once when a part is cut and again by the check of its corners
def left_standing(drawn: shapely.Polygon, cutter_diameter: float) -> tuple[shapely.Polygon, ...]:
    """The pieces of wood that the cutter cannot reach, outside `drawn` and touching it, worst first."""
    radius = cutter_diameter / 2
    if radius <= CUTTER_PLAY or _is_convex(drawn):
        return ()
    # a corner drawn to the cutter's own radius must not leave the chords of its flattened arc as wood
    smaller = radius - CUTTER_PLAY
    nothing = drawn.area + _chord_error(drawn, smaller)
    if _closed_at_most(drawn, smaller).area < nothing:
        return ()
    closed = _closed(drawn, smaller)
    if closed.area < nothing:
        return ()
    unreached = _rest(closed, drawn)
    if not unreached:
        return ()
    pieces = [p for p in _rest(_closed(drawn, radius), drawn) if any(shapely.intersects(p, u) for u in unreached)]
    return tuple(sorted(pieces, key=lambda p: (-p.area, p.bounds)))


def _closed(drawn: shapely.Polygon | shapely.MultiPolygon, radius: float) -> shapely.Geometry:
    """`drawn` with what a disc rolled round its outside does not touch."""
    closed = shapely.buffer(shapely.buffer(drawn, radius, quad_segs=_QUADRANT), -radius, quad_segs=_QUADRANT)
    # where walls all but touch, the way back can leave a ring that crosses itself, of which no overlay can be had
    return closed if closed.is_valid else shapely.make_valid(closed, method="structure", keep_collapsed=False)


def without_hairs(wood: shapely.Geometry, width: float = SLIVER) -> shapely.Geometry:
    """`wood` without what is narrower than `width`, mm, which is parted there; itself where nothing is."""
    return wood if shapely.minimum_clearance(wood) >= width else _opened(wood, width / 2)


def _opened(wood: shapely.Geometry, by: float) -> shapely.Geometry:
    """What of `wood` is left when its edges are moved in by `by`, mm, and out again."""
    with np.errstate(divide="ignore"):  # GEOS divides by the width of spikes that a hair takes away
        narrowed = shapely.buffer(wood, -by, join_style="mitre")
        return shapely.buffer(narrowed, by, join_style="mitre")


def _closed_at_most(drawn: shapely.Polygon, radius: float) -> shapely.Polygon:
    """`_closed`, and perhaps more, in a third of the time: outside corners are grown to points and not rounded.

    A point reaches beyond the disc, so that it may seem to shut a gap that the disc goes through.
    """
    grown = shapely.buffer(drawn, radius, join_style="mitre", mitre_limit=10.0)
    return shapely.buffer(grown, -radius, quad_segs=_QUADRANT)


def _chord_error(drawn: shapely.Polygon, radius: float) -> float:
    """mm2, at most: what `_closed` adds to inside corners of the cutter's radius or more, which it can reach.

    They are drawn in chords and so is the disc: neither can lie in the other without a little room.
    """
    turns = np.concatenate([_inside_turns(drawn.exterior, -1.0), *(_inside_turns(h, 1.0) for h in drawn.interiors)])
    of_disc = float(turns.sum()) * radius**2 * (1.0 - math.cos(math.pi / (4 * _QUADRANT)))
    small = turns[turns < CHORD_TURN] / 2
    return of_disc + radius**2 * float((np.tan(small) - small).sum())


def _inside_turns(ring: shapely.LinearRing, way: float) -> NDArray[np.float64]:
    """By how much the ring turns at each inside corner of the wood, radians.

    Run counter-clockwise, those are its turns to the right (`way` -1), or to the left (1) if it is a hole.
    """
    runs = np.diff(shapely.get_coordinates(ring), axis=0)
    after = np.roll(runs, -1, axis=0)
    turns = np.arctan2(runs[:, 0] * after[:, 1] - runs[:, 1] * after[:, 0], np.sum(runs * after, axis=1))
    turns = way * (turns if shapely.is_ccw(ring) else -turns)
    return np.asarray(turns[turns > 0])


def _rest(closed: shapely.Geometry, drawn: shapely.Polygon) -> list[shapely.Polygon]:
    """What `closed` has and `drawn` has not, slivers left out."""
    rest = [p for p in shapely.get_parts(shapely.difference(closed, drawn)) if not _is_needle(p)]
    if not rest:
        return []
    # the way out and back leaves hairs of rounding along straight walls, which join one corner to the next
    parted = _opened(shapely.multipolygons(rest), _HAIR)
    return [p for p in shapely.get_parts(parted) if p.geom_type == "Polygon" and not _is_sliver(p)]


def _is_needle(piece: shapely.Geometry) -> bool:
    """Whether there is nothing in it but rounding, or it is no polygon at all."""
    return piece.geom_type != "Polygon" or bool(piece.area <= _HAIR * piece.length)


def _is_convex(drawn: shapely.Polygon) -> bool:
    """Whether there is no inside corner at all: no hole, and nothing between the outline and its hull."""
    return not drawn.interiors and bool(drawn.convex_hull.area - drawn.area < COINCIDENT)


def _is_sliver(piece: shapely.Polygon) -> bool:
    return bool(2 * piece.area < SLIVER * piece.length) or piece.buffer(-SLIVER / 2).is_empty

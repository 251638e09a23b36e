"""Which walls about a batten are those of one notch, however far off they stand."""

from __future__ import annotations

import shapely

from scrieve.shared.tolerances import JOINT_REACH, SLIVER

from .notch import Crossing, Wall


def walls_of_notch(crossing: Crossing, found: list[Wall], far: list[Wall]) -> list[Wall]:
    """Those of `far` that are walls of the notch that `found`, the walls close by, belong to.

    Wood far off is a wall of the same notch if the outline of the core runs from it to a wall close by
    without leaving the neighbourhood, and if it faces a wall across the batten or closes the space
    between two. What stands alone is an edge that the batten passes.
    """
    if not found or not far:
        return []
    outline = _outline(crossing, max(wall.gap for wall in far))
    pieces = [piece for piece in outline if any(_on(wall, piece) for wall in found)]
    joined = [wall for wall in far if any(_on(wall, piece) for piece in pieces)]
    walls = [*found, *joined]
    return [wall for wall in joined if any(_faces(wall, other) for other in walls) or _between(wall, found)]


def _outline(crossing: Crossing, reach: float) -> list[shapely.Geometry]:
    """The outline of the core within `reach` of the batten, mm, in pieces; parts that butt make one piece."""
    frame = crossing.frame
    passage = crossing.passage(frame.core_low, frame.core_high)
    about = shapely.buffer(passage, reach + JOINT_REACH, join_style="mitre")
    lines = [shapely.intersection(part.drawn_shape.boundary, about) for part in frame.core]
    parts = [piece for line in lines for piece in shapely.get_parts(shapely.line_merge(line))]
    done: list[shapely.Geometry] = []
    for piece in parts:
        near = [other for other in done if shapely.dwithin(other, piece, JOINT_REACH)]
        done = [other for other in done if not any(other is one for one in near)]
        done.append(shapely.union_all([piece, *near]))
    return done


def _on(wall: Wall, piece: shapely.Geometry) -> bool:
    return bool(shapely.dwithin(piece, shapely.Point(wall.at), SLIVER))


def _faces(wall: Wall, other: Wall) -> bool:
    """Whether two walls lie on opposite sides of the batten."""
    return wall.way[0] * other.way[0] + wall.way[1] * other.way[1] < -_OPPOSITE


def _between(wall: Wall, found: list[Wall]) -> bool:
    """Whether walls close by stand on both sides next to this one."""
    beside = [other for other in found if not _faces(wall, other)]
    return any(_faces(one, other) for one in beside for other in beside)


_OPPOSITE = 0.9  # cosine; sides of a batten are opposite or about square to one another

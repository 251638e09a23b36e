"""The arms of a gusset on one board: where its screws run along one edge, and where along the next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_STRAIGHT = 0.5  # mm; an edge curved by less counts as straight
_IN_LINE = 5.0  # mm; pieces of an edge that a notch parts lie no further off one line
_ALIKE = 0.17  # rad (10 degrees); edges that turn less run the same way
_TURNED = 0.52  # rad (30 degrees); edges that turn more belong to two arms
_SHARE = 0.5  # of the longest edge; a shorter one has no arm of its own
_SLENDER = 1.15  # an arm is longer than wide by this; all these are common sense, no source
_END = 0.1  # share of its length, from its far end, where its width is taken
_FAR = 1e5  # mm; beyond any frame


class _EdgeLine(NamedTuple):
    """Edges in one line: a point on it, its unit direction with the wood to its left, and how long they are.

    `ends` are where along it the first begins and the last ends.
    """

    point: Floats
    along: Floats
    length: float
    ends: tuple[float, float]

    @property
    def inward(self) -> Floats:
        """The unit direction into the wood."""
        return np.array([-self.along[1], self.along[0]])

    @property
    def angle(self) -> float:
        """Which way it runs, radians, 0 to a half turn."""
        angle = float(np.arctan2(self.along[1], self.along[0])) % np.pi
        return angle if angle < np.pi - 1e-9 else 0.0


class Arm(NamedTuple):
    """An arm: the half of the plane in which it lies, and the angle at which it runs, radians, 0 to a half turn."""

    half: shapely.Polygon
    angle: float


def arms_of(region: shapely.Geometry, boundaries: Sequence[shapely.Geometry]) -> tuple[Arm, ...]:
    """The two arms of a region that is an L; none of one that is not.

    An arm runs along an edge that all of `boundaries`, those of board and gussets, have in common, and is longer
    than wide. Two are parted by the mitre, the line as far from the one edge as from the other.
    """
    lines = _outer_lines(region, boundaries)
    if not lines:
        return ()
    first = max(lines, key=lambda line: line.length)
    others = [line for line in lines if _between(first, line) > _TURNED and line.length >= _SHARE * first.length]
    if not others:
        return ()
    second = max(others, key=lambda line: line.length)
    mitre = _meeting(first, second)
    if not all(_is_arm(region, line, mitre) for line in (first, second)):
        return ()
    return Arm(_nearer(first, second), first.angle), Arm(_nearer(second, first), second.angle)


def _outer_lines(region: shapely.Geometry, boundaries: Sequence[shapely.Geometry]) -> list[_EdgeLine]:
    lines: list[_EdgeLine] = []
    for piece in shapely.get_parts(shapely.normalize(region.simplify(_STRAIGHT))):
        if piece.geom_type != "Polygon":
            continue
        corners = shapely.get_coordinates(piece.exterior)
        corners = corners if shapely.is_ccw(piece.exterior) else corners[::-1]
        edges = np.diff(corners, axis=0)
        middles = shapely.points(corners[:-1] + edges / 2)
        common = np.all([shapely.distance(line, middles) <= 1.2 * _STRAIGHT for line in boundaries], axis=0)
        for n in np.flatnonzero(common).tolist():
            length = float(np.hypot(*edges[n]))
            along = edges[n] / length
            start = float(corners[n] @ along)
            lines = _joined(lines, _EdgeLine(corners[n], along, length, (start, start + length)))
    return lines


def _joined(lines: list[_EdgeLine], edge: _EdgeLine) -> list[_EdgeLine]:
    """The lines with one more edge, added to the one that it lies in."""
    for n, line in enumerate(lines):
        off = abs(float((edge.point - line.point) @ line.inward))
        if _between(line, edge) < _ALIKE and line.along @ edge.along > 0 and off <= _IN_LINE:
            longer = line if line.length >= edge.length else edge
            ends = min(line.ends[0], edge.ends[0]), max(line.ends[1], edge.ends[1])
            return [*lines[:n], longer._replace(length=line.length + edge.length, ends=ends), *lines[n + 1 :]]
    return [*lines, edge]


def _between(one: _EdgeLine, other: _EdgeLine) -> float:
    """The angle between two lines, radians, 0 to a right angle."""
    return float(np.arccos(np.clip(abs(one.along @ other.along), 0.0, 1.0)))


def _meeting(one: _EdgeLine, other: _EdgeLine) -> Floats:
    """Where two lines cross."""
    normals = np.array([one.inward, other.inward])
    return np.asarray(np.linalg.solve(normals, [one.point @ one.inward, other.point @ other.inward]))


def _nearer(one: _EdgeLine, other: _EdgeLine) -> shapely.Polygon:
    """The half of the plane whose points lie nearer to the one line than to the other, on the wood's side of both."""
    normal = one.inward - other.inward
    offset = one.point @ one.inward - other.point @ other.inward
    size = float(np.hypot(*normal))
    foot, out = normal * (offset / size**2), normal / size
    along = np.array([-out[1], out[0]])
    corners = [foot - _FAR * along, foot + _FAR * along, foot + _FAR * (along - out), foot - _FAR * (along + out)]
    return shapely.Polygon(corners)


def _is_arm(region: shapely.Geometry, line: _EdgeLine, mitre: Floats) -> bool:
    """Whether a region is longer along an edge, from the mitre on, than it is wide at that edge's far end.

    A region without an inside corner is that along one of two edges at most. At the mitre it may be as wide as it
    likes: there the inside corner of an L is rounded.
    """
    corner = mitre @ line.along
    ends = line.ends
    far = ends[0] if abs(ends[0] - corner) > abs(ends[1] - corner) else ends[1]
    start = line.along * (far + _END * (corner - far)) + line.inward * (line.point @ line.inward)
    across = region.intersection(shapely.LineString([start - line.inward, start + _FAR * line.inward]))
    return bool(abs(far - corner) >= _SLENDER * across.length)

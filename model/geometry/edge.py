"""Straight edges of outlines, each with the way it faces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import RELIEF_RADIUS

from .plane import without_needless_corners

Points = NDArray[np.float64]

_CHORD = np.pi / 5  # rad; what turns by more from chord to chord is no arc, however coarsely drawn
_ROUND = np.pi / 6  # rad; what turns by less in all is a bend of an edge


_NO_EDGE = 1e-4  # mm; as long are the seams by which the wood that a cutter leaves joins a part


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edges:
    """The straight edges of a closed ring, or some of them, wood to the left of the way they run.

    `starts`, `ends` (n, 2) float64, mm. Arcs count as the chords they are flattened to. Corners within a straight
    line count for nothing in `around` and `meeting`: an edge is whole however it is divided in the drawing.
    """

    starts: Points
    ends: Points

    @classmethod
    def around(cls, polygon: shapely.Geometry) -> Edges:
        """All the edges of a polygon or of several, outer rings and holes; none of an empty one."""
        rings = _rings(polygon)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        same = ring[1:] == ring[:-1]
        return cls(starts=points[:-1][same], ends=points[1:][same])._real()

    @classmethod
    def meeting(cls, polygon: shapely.Geometry) -> Edges:
        """Those edges that another part may be meant to touch: all but inside rounds of up to RELIEF_RADIUS.

        Those are dogbones, T-bones and what a cutter leaves in a corner: holes beside the line of a joint.
        """
        rings = _rings(polygon)
        edges = [cls._of_closed(shapely.get_coordinates(ring)) for ring in rings]
        kept = [each.only(~each._relief()) for each in edges if len(each)]
        if not kept:
            return cls(starts=np.empty((0, 2)), ends=np.empty((0, 2)))
        return cls(
            starts=np.concatenate([each.starts for each in kept]), ends=np.concatenate([each.ends for each in kept])
        )

    @classmethod
    def _of_closed(cls, points: Points) -> Edges:
        return cls(starts=points[:-1], ends=points[1:])._real()

    def _relief(self) -> NDArray[np.bool_]:
        """(n,): which edges of one whole ring, in their order, are chords of a small inside round."""
        along, lengths = self.along, self.lengths
        after = np.roll(along, -1, axis=0)
        inward = -np.arctan2(along[:, 0] * after[:, 1] - along[:, 1] * after[:, 0], np.sum(along * after, axis=1))
        # two chords of one circle turn by half their length over its radius
        reach = (lengths + np.roll(lengths, -1)) / 2
        round_on = (inward > 0.0) & (inward < _CHORD) & (reach <= RELIEF_RADIUS * inward)
        if not round_on.any() or round_on.all():
            return np.zeros(len(self), dtype=bool)
        first = int(np.argmin(round_on)) + 1  # begin just past a corner that is none of a round
        on, turns = np.roll(round_on, -first), np.roll(inward, -first)
        run = np.concatenate([[0], np.cumsum(~on)[:-1]])  # edges with one number hang together
        turned = np.bincount(run, weights=np.where(on, turns, 0.0))
        return np.roll(turned[run] > _ROUND, first)

    @classmethod
    def of_ring(cls, points: Points) -> Edges:
        """The edges of one ring of corners (n, 2), the last joined to the first; may turn either way."""
        following = np.roll(points, -1, axis=0)
        doubled = np.sum(points[:, 0] * following[:, 1] - points[:, 1] * following[:, 0])
        starts, ends = (points, following) if doubled >= 0 else (following, points)
        return cls(starts=starts, ends=ends)._real()

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def lengths(self) -> NDArray[np.float64]:
        """(n,) mm."""
        return np.asarray(np.hypot(*(self.ends - self.starts).T))

    @property
    def along(self) -> Points:
        """(n, 2) unit vectors, the way the edges run."""
        return np.asarray((self.ends - self.starts) / self.lengths[:, None])

    @property
    def facing(self) -> Points:
        """(n, 2) unit vectors pointing out of the wood."""
        along = self.along
        return np.column_stack([along[:, 1], -along[:, 0]])

    def only(self, which: NDArray[np.bool_] | NDArray[np.intp]) -> Edges:
        """Those edges that the mask or the numbers pick."""
        return Edges(starts=self.starts[which], ends=self.ends[which])

    def within(self, bounds: tuple[float, float, float, float], reach: float) -> Edges:
        """Those whose own bounds come within `reach` of `bounds` (left, bottom, right, top), mm."""
        low, high = np.minimum(self.starts, self.ends), np.maximum(self.starts, self.ends)
        near = np.all(high >= np.array(bounds[:2]) - reach, axis=1) & np.all(
            low <= np.array(bounds[2:]) + reach, axis=1
        )
        return self.only(near)

    def _real(self) -> Edges:
        return self.only(np.hypot(*(self.ends - self.starts).T) > _NO_EDGE)


def _rings(polygon: shapely.Geometry) -> NDArray[np.object_]:
    """The rings of a polygon or of several, wood to their left, without corners in a straight line."""
    return np.asarray(shapely.get_rings(shapely.get_parts(shapely.orient_polygons(without_needless_corners(polygon)))))


def reliefs(polygon: shapely.Polygon) -> list[shapely.Geometry]:
    """What the inside rounds of up to RELIEF_RADIUS, which `Edges.meeting` leaves out, go round: a hull for each."""
    out = []
    for ring in shapely.get_rings(shapely.orient_polygons(polygon)):
        edges = Edges._of_closed(shapely.get_coordinates(ring))
        rounds = edges.only(edges._relief()) if len(edges) else edges
        chords = shapely.linestrings(np.stack([rounds.starts, rounds.ends], axis=1))
        merged = shapely.line_merge(shapely.multilinestrings(chords)) if len(rounds) else shapely.MultiLineString()
        out += [shapely.convex_hull(each) for each in shapely.get_parts(merged)]
    return out

"""Straight edges of outlines, each with the way it faces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edges:
    """The straight edges of a closed ring, or some of them, wood to the left of the way they run.

    `starts`, `ends` (n, 2) float64, mm. Arcs count as the chords they are flattened to.
    """

    starts: Points
    ends: Points

    @classmethod
    def around(cls, polygon: shapely.Geometry) -> Edges:
        """All the edges of a polygon or of several, outer rings and holes; none of an empty one."""
        rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(polygon)))
        points, ring = shapely.get_coordinates(rings, return_index=True)
        same = ring[1:] == ring[:-1]
        return cls(starts=points[:-1][same], ends=points[1:][same])._real()

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
        return self.only(np.any(self.starts != self.ends, axis=1))

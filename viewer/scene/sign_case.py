"""A finding in its frame: what every way of making signs starts from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.shared.findings import Finding

from .body import Mesh, prism_mesh, round_mesh
from .signs import Ends, Points
from .span import AGREES, Span
from .triple import Triple, triple

_SIDES = 48


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """A finding that has a place: `at` (y, v, w) of its frame, mm; `span` is what it measures there, if known."""

    finding: Finding
    frame: Frame
    assembly: Assembly
    at: Triple
    span: Span | None

    @property
    def parts(self) -> list[Part]:
        """The parts of the frame that the finding names."""
        return [part for part in self.frame.parts if part.name in self.finding.parts]

    @property
    def screws(self) -> list[Screw]:
        """The screws of the frame that the finding names."""
        return [screw for screw in self.frame.screws if screw.name in self.finding.parts]

    @property
    def outboard(self) -> float:
        """1 to port of the centreline, -1 to starboard."""
        return 1.0 if self.at[0] >= 0.0 else -1.0

    def hull(self, points: ArrayLike) -> Points:
        """(n, 3) hull axes of points (y, v, w), or (y, v) at the depth of the finding."""
        given = np.asarray(points, dtype=np.float64).reshape(-1, np.shape(points)[-1])
        if given.shape[1] == 2:
            given = np.column_stack([given, np.full(len(given), self.at[2])])
        return self.frame.placement.to_hull(given)

    def way(self, vector: ArrayLike) -> Triple:
        """A direction (y, v, w) of the frame in hull axes."""
        return triple(self.frame.placement.vector_to_hull(np.reshape(vector, (1, 3)))[0])

    def ends(self, start: ArrayLike, end: ArrayLike) -> Ends | None:
        """Two points of the frame as what the finding measures; None unless they are as far apart as it says."""
        a, b = self.hull(np.reshape([start, end], (2, -1)))
        length = float(np.linalg.norm(b - a))
        measured = self.finding.measured
        if measured is None or abs(length - abs(measured)) > AGREES or length <= AGREES:
            return None
        return triple(a), triple(b)

    def outlines(self, shape: shapely.Geometry, depth: float) -> tuple[Points, ...]:
        """The lines of a shape's boundary, or of lines, at a depth of the frame."""
        lines = shapely.boundary(shape) if shape.geom_type in ("Polygon", "MultiPolygon") else shape
        return tuple(self.at_depth(line, depth) for line in shapely.get_parts(lines) if not line.is_empty)

    def at_depth(self, line: shapely.Geometry, depth: float) -> Points:
        """(n, 3) hull axes: a line of the frame's plane at a depth."""
        flat = shapely.get_coordinates(line)
        return self.hull(np.column_stack([flat, np.full(len(flat), depth)]))

    def prism(self, shape: shapely.Polygon, low: float, high: float) -> Mesh:
        """A prism of the frame, hull axes."""
        points, triangles, edges = prism_mesh(shape, low, high)
        return self.hull(points), triangles, edges

    def cylinder(self, at: tuple[float, float], diameter: float, start: float, end: float) -> Mesh:
        """A round prism of the frame from one depth to another, hull axes, its two rims drawn."""
        points, triangles, rim = round_mesh(np.array([0.0, end - start]), np.full(2, diameter / 2), _SIDES)
        return self.hull(points + np.array([*at, start])), triangles, np.concatenate([rim, rim + _SIDES])


def around(points: Iterable[ArrayLike], past: float = 0.0) -> Points:
    """(8, 3): the corners of the box around all these points, and so much past them, mm."""
    every = np.concatenate([np.asarray(each, dtype=np.float64).reshape(-1, 3) for each in points])
    low, high = every.min(axis=0) - past, every.max(axis=0) + past
    return np.array([(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])

"""Marks laid on a plane: any that looks along parallel lines, that of a frame or of a cut through it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.model.geometry.plane import disc
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Mark, Polyhedron, Prism, Region, Span
from scrieve.shared.tolerances import COINCIDENT

Project = Callable[[ArrayLike], NDArray[np.float64]]
"""Takes (n, 3) in hull axes, mm, to (n, 2) of the plane."""


def flat(mark: Mark, project: Project) -> shapely.Geometry:
    """A mark on the plane: a line, or the shape that a solid covers; an axis that is looked along is a disc."""
    match mark:
        case Span():
            return shapely.LineString(project([mark.start, mark.end]))
        case Line() | Arrow():
            return shapely.LineString(project(mark.points))
        case Axis():
            ends = project([mark.start, mark.end])
            if float(np.hypot(*(ends[1] - ends[0]))) <= COINCIDENT:
                return disc(ends[0], mark.diameter)
            return shapely.LineString(ends).buffer(mark.diameter / 2, cap_style="flat")
        case Region() | Ghost():
            return _prism(mark.solid, project) if isinstance(mark.solid, Prism) else _polyhedron(mark.solid, project)


def _prism(solid: Prism, project: Project) -> shapely.Geometry:
    outer, *holes = (project(ring) for ring in solid.rings)
    shift = project(np.add(solid.rings[0][:1], solid.through))[0] - outer[0]
    if float(np.hypot(*shift)) <= COINCIDENT:
        return shapely.Polygon(outer, holes)
    ends = np.roll(outer, -1, axis=0)
    sides = shapely.polygons(np.stack([outer, ends, ends + shift, outer + shift], axis=1))
    return shapely.union_all([shapely.Polygon(outer, holes).buffer(0.0), *sides[shapely.area(sides) > 0.0]])


def _polyhedron(solid: Polyhedron, project: Project) -> shapely.Geometry:
    faces = shapely.polygons(project(solid.corners)[np.array(solid.triangles)])
    return shapely.union_all(faces[shapely.area(faces) > 0.0])

"""Evidence: marks and subjects made from what a check has in hand, in a frame's plane or in space."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

from scrieve.shared.findings import Subject
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Place, Polyhedron, Prism, Region, Ring, Span
from scrieve.shared.tolerances import COINCIDENT, SLIVER

from ..geometry.plane import mirrored
from .batten import Batten
from .frame import Frame
from .part import Part
from .screw import Dowel, Screw
from .solid import Solid

_LEAST = 1e-3  # mm3; less is rounding where two solids touch


def subject(thing: Frame | Part | Screw | Dowel | Batten) -> Subject:
    """What a finding calls one of the nouns of the boat."""
    match thing:
        case Frame():
            return Subject(kind="frame", name=thing.name, frame=thing.number)
        case Batten():
            return Subject(kind="batten", name=thing.name)
        case Part():
            return Subject(kind="part", name=thing.name, frame=thing.frame)
        case Screw():
            return Subject(kind="screw", name=thing.name, frame=thing.frame)
        case Dowel():
            return Subject(kind="dowel", name=thing.name, frame=thing.frame)


def subjects(*things: Frame | Part | Screw | Dowel | Batten | Subject) -> tuple[Subject, ...]:
    """What a finding is about, in this order, each once."""
    return tuple(dict.fromkeys(thing if isinstance(thing, Subject) else subject(thing) for thing in things))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marker:
    """Makes marks of what lies in a frame: points are (y, v, w), or (y, v) at the depth `w`, mm."""

    frame: Frame
    w: float = 0.0

    def at(self, point: ArrayLike) -> Place:
        """A point in hull axes."""
        return self._places(np.asarray(point, dtype=np.float64)[None])[0]

    def span(self, start: ArrayLike, end: ArrayLike) -> Span:
        """What is measured between two points."""
        a, b = self._places(np.stack([np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)]))
        return Span(start=a, end=b, frame=self.frame.number)

    def spans(self, start: ArrayLike, end: ArrayLike) -> tuple[Span, ...]:
        """The same; nothing where the two points are one."""
        span = self.span(start, end)
        return (span,) if span.length > COINCIDENT else ()

    def line(self, points: ArrayLike, *, drawn: bool = False, words: str = "") -> Line:
        """(n, 2) or (n, 3): a line through these points."""
        return Line(points=self._places(points), drawn=drawn, frame=self.frame.number, words=words)

    def lines(self, shape: shapely.Geometry, *, drawn: bool = False) -> tuple[Line, ...]:
        """The boundary of a shape, or lines as they are, at the depth."""
        edges = shapely.boundary(shape) if shape.geom_type in ("Polygon", "MultiPolygon") else shape
        pieces = [piece for piece in shapely.get_parts(edges) if not piece.is_empty]
        return tuple(self.line(shapely.get_coordinates(piece), drawn=drawn) for piece in pieces)

    def arrow(self, points: ArrayLike, *, words: str = "") -> Arrow:
        """(n, 2) or (n, 3): from tail to head."""
        return Arrow(points=self._places(points), frame=self.frame.number, words=words)

    def axis(self, at: ArrayLike, diameter: float, start: float, end: float, *, words: str = "") -> Axis:
        """Something round about `at` (y, v), from the depth `start` to `end` along the frame's normal."""
        a, b = self._places([(*np.asarray(at, dtype=np.float64), w) for w in (start, end)])
        return Axis(start=a, end=b, diameter=diameter, frame=self.frame.number, words=words)

    def screw(self, screw: Screw) -> Axis:
        """A screw, from its head to its tip."""
        return self.axis(screw.at, screw.size.diameter, screw.head, screw.tip)

    def dowel(self, at: ArrayLike, diameter: float, *, words: str = "") -> Axis:
        """A dowel or its hole, as high as the core of the frame."""
        return self.axis(at, diameter, self.frame.core_low, self.frame.core_high, words=words)

    def region(self, shape: shapely.Polygon, low: float, high: float) -> Region:
        """A flat shape (y, v) from one depth to another, as what two things share or what is missing."""
        return Region(solid=self._prism(shape, low, high), frame=self.frame.number)

    def regions(self, shape: shapely.Geometry, low: float, high: float) -> tuple[Region, ...]:
        """A region for each polygon of a shape; nothing of slivers, nor where `high` is not above `low`."""
        pieces = [piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon"]
        wide = [piece for piece in pieces if 4 * piece.area > SLIVER * piece.length]
        return tuple(self.region(piece, low, high) for piece in wide if high - low > COINCIDENT)

    def common(self, one: shapely.Geometry, other: shapely.Geometry, low: float, high: float) -> tuple[Region, ...]:
        """What two flat shapes share, piece by piece; slivers left out."""
        return self.regions(shapely.intersection(one, other), low, high)

    def images(self, parts: Sequence[Part]) -> Iterator[Ghost | Line]:
        """Parts as a mirror on the centreline would show them, and their outlines as they are drawn."""
        for part in parts:
            yield self.ghost(mirrored(part.shape), part.low, part.high)
        for part in parts:
            yield from self.outlines(part)

    def outlines(self, part: Part) -> tuple[Line, ...]:
        """A part's outline as drawn, on the face from which it is seen."""
        return Marker(frame=self.frame, w=seen_face(part)).lines(part.shape, drawn=True)

    def ghost(self, shape: shapely.Polygon, low: float, high: float, *, words: str = "") -> Ghost:
        """The same as where a thing should be, or was drawn."""
        return Ghost(solid=self._prism(shape, low, high), frame=self.frame.number, words=words)

    def _prism(self, shape: shapely.Polygon, low: float, high: float) -> Prism:
        rings = tuple(self._ring(ring, low) for ring in (shape.exterior, *shape.interiors))
        x, y, z = self.frame.placement.vector_to_hull([(0.0, 0.0, high - low)])[0]
        return Prism(rings=rings, through=(float(x), float(y), float(z)))

    def _ring(self, ring: shapely.LinearRing, w: float) -> Ring:
        flat = shapely.get_coordinates(ring)[:-1]
        return self._places(np.column_stack([flat, np.full(len(flat), w)]))

    def _places(self, points: ArrayLike) -> tuple[Place, ...]:
        given = np.asarray(points, dtype=np.float64)
        if given.shape[1] == 2:
            given = np.column_stack([given, np.full(len(given), self.w)])
        return places(self.frame.placement.to_hull(given))


def places(points: ArrayLike) -> tuple[Place, ...]:
    """(n, 3) hull axes as plain tuples."""
    return tuple((x, y, z) for x, y, z in np.asarray(points, dtype=np.float64).reshape(-1, 3).tolist())


def seen_face(part: Part) -> float:
    """The depth of the face of a part from which it is looked at: the aft one of what lies aft of the core."""
    return part.low if part.face == "aft" else part.high


def rail(side: str) -> Subject:
    """The rail of the strongback on a side."""
    return Subject(kind="rail", name=f"{side} rail")


def polyhedron(points: ArrayLike, triangles: Sequence[Sequence[int]] | ArrayLike) -> Polyhedron:
    """A closed solid in space of its corners (n, 3), hull axes, and triangles (m, 3)."""
    rows = np.asarray(triangles, dtype=np.int64).reshape(-1, 3).tolist()
    return Polyhedron(corners=places(points), triangles=tuple((a, b, c) for a, b, c in rows))


def shared(one: Solid, other: Solid, frame: str = "") -> tuple[Region, ...]:
    """What two solids in hull axes both fill; nothing where they only touch."""
    common = one ^ other
    return (solid_region(common, frame),) if common.volume() > _LEAST else ()


def solid_region(solid: Solid, frame: str = "") -> Region:
    """A solid in hull axes as what two things share."""
    mesh = solid.to_mesh64()
    return Region(solid=polyhedron(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts)), frame=frame)

"""A foul: two things that want the same space, with the shortest way out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import reduce
from operator import add

import numpy as np
import shapely
from numpy.typing import ArrayLike

from scrieve.shared.findings import Source, Subject
from scrieve.shared.marks import Mark, Region, Span

from ...boat.evidence import Marker, places, solid_region
from ...boat.part import Part
from ...boat.solid import Solid, prism
from ...boat.solid_overlap import SolidOverlap
from ...geometry.overlap import Overlap
from ...geometry.placement import Placement

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Foul:
    """Two things, sorted by name, that overlap by `depth` (mm) past `limit`, deepest about `at` (hull axes).

    `first` comes free if it moves `room` mm along the unit vector `way` (hull axes), or `second` the
    opposite way. `frame` is the number of the frame it belongs to, if to one. `also` counts further
    fouls of the same kind between the same frames that this one stands for. `message` and `cure` are
    for what needs words of its own; empty, the usual ones are made of the rest. `evidence` makes the marks:
    many fouls are only counted.
    """

    first: Subject
    second: Subject
    depth: float
    limit: float
    at: Triple
    way: Triple
    room: float
    frame: str
    source: Source
    evidence: Callable[[], tuple[Mark, ...]]
    also: int = 0
    message: str = ""
    cure: str = ""

    @classmethod
    def between(
        cls,
        one: Subject,
        other: Subject,
        *,
        depth: float,
        limit: float,
        at: Triple,
        way: ArrayLike,
        room: float,
        frame: str,
        source: Source,
        evidence: Callable[[], tuple[Mark, ...]],
        message: str = "",
        cure: str = "",
    ) -> Foul:
        """The foul of two things given in any order, where `way` is that of `one`."""
        first, second = sorted((one, other), key=lambda subject: subject.name)
        out = triple(np.multiply(way, 1.0 if first == one else -1.0))
        return cls(
            first=first, second=second, depth=depth, limit=limit, at=at, way=out, room=room,
            frame=frame, source=source, evidence=evidence, message=message, cure=cure,
        )  # fmt: skip


def as_drawn(part: Part) -> shapely.Geometry:
    """The part's shape as cut, less the wood the cutter leaves in its corners, which is the `corner` check's."""
    return shapely.intersection(part.shape, part.drawn_shape)


def part_solid(part: Part, placement: Placement) -> Solid:
    """The part in hull axes, `as_drawn`."""
    pieces = [
        (piece, each)
        for each in part.prisms
        for piece in shapely.get_parts(as_drawn(each))
        if piece.geom_type == "Polygon"
    ]
    return reduce(add, (prism(piece, each.low, each.high, placement) for piece, each in pieces))


def way_out(overlap: Overlap, first: shapely.Geometry, second: shapely.Geometry) -> tuple[tuple[float, float], float]:
    """The unit (y, v) along which `first` comes free of this overlap soonest, and how far it has to go, mm."""
    way = np.asarray(overlap.way)
    along = shapely.get_coordinates(overlap.region) @ way
    room = float(along.max() - along.min())

    def left(sign: float) -> float:
        moved = shapely.transform(first, lambda points: points + sign * room * way)
        return float(shapely.area(shapely.intersection(moved, second)))

    y, v = (way if left(1.0) <= left(-1.0) else -way).tolist()
    return (y, v), room


def solid_way_out(overlap: SolidOverlap, first: Solid, second: Solid) -> Triple:
    """The unit vector, hull axes, along which `first` comes free of this overlap soonest."""
    way = np.asarray(overlap.way)

    def left(sign: float) -> float:
        moved = first.translate((sign * overlap.depth * way).tolist())
        return float((moved ^ second).volume())

    return triple(way if left(1.0) <= left(-1.0) else -way)


def plane_evidence(
    mark: Marker, overlap: Overlap, common: shapely.Geometry, low: float, high: float
) -> tuple[Mark, ...]:
    """The marks of an overlap of two prisms of one frame that share the depths `low` to `high`: what is deep, and all
    of `common` (y, v)."""
    middle = (low + high) / 2
    if high - low < overlap.depth:
        span = mark.span((*overlap.at, low), (*overlap.at, high))
    else:
        half = np.multiply(overlap.way, overlap.depth / 2)
        span = mark.span((*np.subtract(overlap.at, half), middle), (*np.add(overlap.at, half), middle))
    return (span, *mark.regions(common, low, high))


def space_evidence(overlap: SolidOverlap, pieces: Iterable[Solid] = ()) -> tuple[Span | Region, ...]:
    """The marks of an overlap in space: what is deep, the overlap, and more pieces of the same."""
    half = np.multiply(overlap.way, overlap.depth / 2)
    start, end = places([np.subtract(overlap.at, half), np.add(overlap.at, half)])
    return (Span(start=start, end=end), *map(solid_region, (overlap.piece, *pieces)))


def triple(vector: ArrayLike) -> Triple:
    """Three plain floats, no minus zeros."""
    x, y, z = (float(c) + 0.0 for c in np.asarray(vector, dtype=np.float64))
    return x, y, z

"""The length that a finding measures, found again as two points of its frame, so that it can be drawn.

Each check has its own ways of measuring; what is found is believed only where it comes to the number that
the finding gives. A dimension in a drawing therefore never says another thing than the report.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.geometry.overlap import Overlap, overlaps
from scrieve.model.geometry.spline import NaturalSpline
from scrieve.model.relations.battens.fairness import strays
from scrieve.model.relations.joints.joint import joints, leg_joints
from scrieve.shared.findings import Finding

from .thing import Point, Thing, foot, frame_of, place_in, things_of

Triple = tuple[float, float, float]
Pair = tuple[Triple, Triple]

AGREES = 0.02
"""mm; a length this close to the one that the finding gives is that length."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Span:
    """What a finding measures: from `start` to `end`, the frame's (y, v, w), mm; `length` as the finding gives it.

    `across` says that it lies in the frame's plane and not along its normal.
    """

    start: Triple
    end: Triple
    length: float

    @property
    def across(self) -> bool:
        """Whether it lies in the plane of the frame rather than along its normal."""
        (y0, v0, w0), (y1, v1, w1) = self.start, self.end
        return float(np.hypot(y1 - y0, v1 - v0)) > abs(w1 - w0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Case:
    finding: Finding
    frame: Frame
    assembly: Assembly
    things: tuple[Thing, ...]
    at: Triple

    @property
    def here(self) -> Point:
        return self.at[:2]

    def flat(self, a: Point, b: Point) -> Pair:
        """Two points of the plane, at the depth of the finding."""
        return (*a, self.at[2]), (*b, self.at[2])


def span_of(finding: Finding, assembly: Assembly) -> Span | None:
    """The span of a finding; None where it measures no length, or one that is not between two points of a frame."""
    frame = frame_of(finding, assembly)
    if frame is None or finding.at is None or finding.measured is None or finding.unit != "mm":
        return None
    case = _Case(
        finding=finding,
        frame=frame,
        assembly=assembly,
        things=things_of(finding, frame, assembly),
        at=place_in(frame, finding),
    )
    wanted = abs(finding.measured)
    for way in _WAYS.get(finding.check, ()):
        fits = [pair for pair in way(case) if abs(_length(pair) - wanted) <= AGREES and wanted > AGREES]
        if fits:
            start, end = min(fits, key=lambda pair: _off(pair, case.at))
            return Span(start=_plain(start), end=_plain(end), length=wanted)
    return None


def overlap_near(a: shapely.Geometry, b: shapely.Geometry, at: Point) -> Overlap | None:
    """The overlap of two shapes about a place; None where there is none."""
    point = shapely.Point(at)
    return min(overlaps(a, b), key=lambda o: (round(o.region.distance(point), 6), -o.depth), default=None)


# ---- the ways of measuring


def _deep(case: _Case) -> Iterator[Pair]:
    """How deep two of the things lie in one another, in the plane or along the normal."""
    for a, b in combinations(case.things, 2):
        found = overlap_near(a.shape, b.shape, case.here)
        if found is not None:
            way = np.multiply(found.way, found.depth / 2)
            yield case.flat(_point(found.at - way), _point(found.at + way))
        low, high = max(a.low, b.low), min(a.high, b.high)
        yield (*case.here, low), (*case.here, high)


def _round_in(case: _Case) -> Iterator[Pair]:
    """How deep a round thing stands in another, or how far it is off it."""
    for a in case.things:
        if a.axis is None:
            continue
        others = [b.shape for b in case.things if b is not a] or [part.shape for part in case.frame.core]
        for other in others:
            edge = foot(other, a.axis)
            inside = other.contains(shapely.Point(a.axis))
            way = np.subtract(edge, a.axis)
            length = float(np.hypot(*way))
            if length > 0.0:
                rim = np.add(a.axis, way / length * (-1.0 if inside else 1.0) * _radius(a))
                yield case.flat(_point(rim), edge)


def _apart(case: _Case) -> Iterator[Pair]:
    """From the one to the other, straight across the place, or where they come nearest."""
    for a, b in combinations(case.things, 2):
        yield case.flat(foot(a.shape, case.here), foot(b.shape, case.here))
        ends = shapely.get_coordinates(shapely.shortest_line(a.shape, b.shape))
        yield case.flat(_point(ends[0]), _point(ends[1]))


def _to_edge(case: _Case) -> Iterator[Pair]:
    """From the place to the nearest edge of any of the things."""
    for thing in case.things:
        yield case.flat(case.here, foot(thing.shape, case.here))


def _to_core(case: _Case) -> Iterator[Pair]:
    """From the place to the nearest edge of any part of the core, or of all of it together."""
    for part in case.frame.core:
        yield case.flat(case.here, foot(part.shape, case.here))
    if case.frame.core:
        yield case.flat(case.here, foot(shapely.union_all([part.shape for part in case.frame.core]), case.here))


def _over_joint(case: _Case) -> Iterator[Pair]:
    """Across a joint, where it is widest or deepest; along it; and the step from face to face."""
    for joint in (*joints(case.frame), *leg_joints(case.frame)):
        if {joint.first.name, joint.second.name} <= set(case.finding.parts):
            for stretch in joint.stretches:
                for end in (0, 1):
                    yield case.flat(stretch.first[end], stretch.second[end])
                middle = [_point(np.mean(side, axis=0)) for side in (stretch.first, stretch.second)]
                yield case.flat(middle[0], middle[1])
            corners = shapely.get_coordinates(joint.line)
            along = corners @ np.array([-joint.way[1], joint.way[0]])
            yield case.flat(_point(corners[along.argmin()]), _point(corners[along.argmax()]))
            for one, other in ((joint.first.low, joint.second.low), (joint.first.high, joint.second.high)):
                yield (*case.here, one), (*case.here, other)


def _axes(case: _Case) -> Iterator[Pair]:
    """From axis to axis."""
    round_things = [thing for thing in case.things if thing.axis is not None]
    for a, b in combinations(round_things, 2):
        assert a.axis is not None and b.axis is not None
        yield case.flat(a.axis, b.axis)


def _rims(case: _Case) -> Iterator[Pair]:
    """Between the rims of two round things, or as deep as these overlap."""
    for a, b in combinations([thing for thing in case.things if thing.axis is not None], 2):
        assert a.axis is not None and b.axis is not None
        way = np.subtract(b.axis, a.axis)
        if length := float(np.hypot(*way)):
            way = way / length
            yield case.flat(_point(np.add(a.axis, way * _radius(a))), _point(np.subtract(b.axis, way * _radius(b))))


def _beyond(case: _Case) -> Iterator[Pair]:
    """From the far face of the wood to the tip of a screw."""
    for thing in case.things:
        if thing.screw is not None:
            yield (*thing.screw.at, thing.screw.far), (*thing.screw.at, thing.screw.tip)


def _to_datum(case: _Case) -> Iterator[Pair]:
    """Upright to the datum plane."""
    assert case.finding.at is not None
    x, y, _ = case.finding.at
    down = case.frame.placement.to_frame([(x, y, 0.0)])[0]
    yield case.at, (float(down[0]), float(down[1]), float(down[2]))


def _to_rail(case: _Case) -> Iterator[Pair]:
    """Level to the inner face of a rail."""
    if case.assembly.strongback is not None:
        half = case.assembly.strongback.inside_width / 2
        y, v, _ = case.at
        yield case.flat(case.here, (half if y > 0 else -half, v))


def _to_image(case: _Case) -> Iterator[Pair]:
    """To the nearest edge of any of the things as seen in a mirror on the centreline."""
    for thing in case.things:
        mirrored = shapely.transform(thing.shape, lambda points: points * (-1.0, 1.0))
        yield case.flat(case.here, foot(mirrored, case.here))


def _to_fair(case: _Case) -> Iterator[Pair]:
    """From a batten's section to where the fair curve through the others has it, or the batten sprung through them."""
    for batten in case.assembly.battens:
        for n, section in enumerate(batten.sections):
            if batten.name not in case.finding.parts or section.frame != case.frame.number or len(batten.sections) < 4:
                continue
            x, points = batten.centres[:, 0], batten.centres[:, 1:]
            through = NaturalSpline.through(np.delete(x, n), np.delete(points, n, axis=0))
            offs = [np.array(s.off) for s in strays(x, points, case.assembly.limits["fair"]) if s.index == n]
            slope = through.slope(x[n : n + 1])[0]
            sine, cosine = np.sin(case.frame.placement.rake), np.cos(case.frame.placement.rake)
            for off in (*offs, points[n] - through(x[n : n + 1])[0]):
                # in a raked frame what is moved up is moved along the boat too
                v = off[1] / (cosine + sine * slope[1])
                by = np.array([off[0] - sine * slope[0] * v, v])
                yield case.flat(section.centre, _point(section.centre - by))


_Way = Callable[[_Case], Iterator[Pair]]
_WAYS: Mapping[str, tuple[_Way, ...]] = MappingProxyType(
    {
        "foul": (_deep, _round_in, _beyond),
        "notch-foul": (_deep,),
        "notch-slack": (_to_edge, _apart),
        "screw-foul": (_axes,),
        "screw-edge": (_to_edge,),
        "screw-bite": (_beyond,),
        "joint-gap": (_over_joint, _apart),
        "joint-bare": (_over_joint,),
        "gusset-lap": (_to_core,),
        "proud": (_to_edge, _to_core),
        "leg-bottom": (_to_datum,),
        "leg-side": (_to_rail,),
        "leg-pair": (_to_image,),
        "mirror": (_to_image,),
        "dowel": (_deep, _round_in),
        "board": (_rims,),
        "fair": (_to_fair,),
    }
)


# ---- small things


def _length(pair: Pair) -> float:
    return float(np.linalg.norm(np.subtract(pair[1], pair[0])))


def _off(pair: Pair, at: Triple) -> float:
    """How far the middle of a span is from the finding's place."""
    return float(np.linalg.norm(np.mean(pair, axis=0) - at))


def _radius(thing: Thing) -> float:
    left, _, right, _ = thing.shape.bounds
    return float(right - left) / 2


def _point(values: np.typing.ArrayLike) -> Point:
    y, v = np.asarray(values, dtype=np.float64)
    return float(y), float(v)


def _plain(values: Triple) -> Triple:
    y, v, w = (float(value) + 0.0 for value in values)
    return y, v, w

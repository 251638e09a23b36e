"""A finding close up: the bodies it is about, what they share, the ends of what it measures, and a view of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from scrieve.model.assembly import Assembly
from scrieve.model.frame import Frame
from scrieve.shared.findings import Finding

from ..flat.detail import ON_RAILS
from ..flat.span import Span, span_of
from ..flat.thing import frame_of
from .body import Body
from .sides import View, view_along

Triple = tuple[float, float, float]
Ends = tuple[Triple, Triple]
Points = NDArray[np.float64]

_AROUND = 90.0
"""mm on each side of a finding's place that its close-up shows where nothing is measured."""

_FRAME = 320.0
"""mm; the same where no body is named, so that one sees where one is."""

_NEAREST, _FARTHEST = 42.0, 180.0
"""mm; the same where something is: what is measured is seen large, and something about it."""

_TIMES = 7.0
"""how many times what is measured is seen to each side."""

_UPWARD = np.array([0.0, 0.0, 1.0])
_LEAST = 1e-3
"""mm3; less is rounding where two bodies touch."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseUp:
    """What a finding is about. `bodies` by number; `shared` (points, triangles) is what two of them both fill.

    `gap` are the ends of what is measured; where nothing is, and the bodies are two that do not meet, of the
    shortest way from the one to the other. Hull axes, mm. `measures`: the ends are those of what is measured.
    """

    at: Triple
    bodies: tuple[int, ...]
    shared: tuple[Points, NDArray[np.int64]] | None
    gap: Ends | None
    measures: bool
    view: View


def close_up(finding: Finding, bodies: Sequence[Body], assembly: Assembly, aspect: float) -> CloseUp | None:
    """The close-up of a finding in a picture of this width by height; None for one that has no place."""
    if finding.at is None:
        return None
    frame = frame_of(finding, assembly)
    named = _named(finding, bodies)
    span = span_of(finding, assembly)
    shared = _shared([bodies[n] for n in named], finding.at)
    ends = None if span is None or frame is None else _ends(span, frame)
    if finding.measured is None and shared is None and len(named) == 2:
        ends = _nearest(bodies[named[0]], bodies[named[1]], np.array(finding.at))
    return CloseUp(
        at=finding.at,
        bodies=named,
        shared=shared,
        gap=ends,
        measures=span is not None,
        view=_view(finding, [bodies[n] for n in named], frame, span, aspect),
    )


def _named(finding: Finding, bodies: Sequence[Body]) -> tuple[int, ...]:
    """The bodies that a finding names, and the rail beneath where it is about that as well."""
    assert finding.at is not None
    number = {body.name: n for n, body in enumerate(bodies)}
    names = list(finding.parts)
    if finding.check in ON_RAILS:
        names.append("port rail" if finding.at[1] > 0 else "starboard rail")
    return tuple(number[name] for name in names if name in number)


def _ends(span: Span, frame: Frame) -> Ends:
    a, b = frame.placement.to_hull([span.start, span.end])
    return _triple(a), _triple(b)


def _shared(named: Sequence[Body], at: Triple) -> tuple[Points, NDArray[np.int64]] | None:
    """What the first two that share any space both fill; screws are in wood on purpose."""
    solids = [_solid(body) for body in named if body.kind != "screw"]
    screws = [_solid(body) for body in named if body.kind == "screw"]
    for some in (screws, solids):
        for n, one in enumerate(some):
            for other in some[n + 1 :]:
                both = one ^ other
                if both.volume() > _LEAST:
                    mesh = both.to_mesh64()
                    points = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
                    return points, np.asarray(mesh.tri_verts, dtype=np.int64)
    return None


def _solid(body: Body) -> manifold3d.Manifold:
    return manifold3d.Manifold(
        manifold3d.Mesh64(np.ascontiguousarray(body.points), np.ascontiguousarray(body.triangles, dtype=np.uint64))
    )


def _nearest(a: Body, b: Body, at: Points) -> Ends | None:
    """The shortest way between two bodies within sight of a place, from corners and the foot of the place."""
    best: tuple[float, Points, Points] | None = None
    for one, other in ((a, b), (b, a)):
        own, surface = _surface(one), _surface(other)
        foot = own.find_closest_cell(at, return_closest_point=True)[1]
        near = one.points[np.linalg.norm(one.points - at, axis=1) < _AROUND]
        starts = np.vstack([foot, near])
        ends = surface.find_closest_cell(starts, return_closest_point=True)[1]
        lengths = np.linalg.norm(ends - starts, axis=1)
        n = int(lengths.argmin())
        if best is None or lengths[n] < best[0]:
            best = float(lengths[n]), starts[n], ends[n]
    if best is None or best[0] < _LEAST:
        return None
    return _triple(best[1]), _triple(best[2])


def _surface(body: Body) -> pv.PolyData:
    return pv.PolyData.from_regular_faces(body.points, body.triangles)


def _view(finding: Finding, named: Sequence[Body], frame: Frame | None, span: Span | None, aspect: float) -> View:
    """Square to what is measured, so that it is seen at its length; else from the face on which the thing lies."""
    assert finding.at is not None
    normal = np.array([1.0, 0.0, 0.0]) if frame is None else frame.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
    outward = sum((np.array(body.outward) for body in named), np.zeros(3))
    face = normal if outward @ normal >= 0 else -normal
    outboard = np.array([0.0, 1.0 if finding.at[1] >= 0 else -1.0, 0.0])
    lean = 0.45 * outboard + (0.0, 0.0, 0.4)
    way, middle, half = face + lean, np.array(finding.at), _AROUND if named else _FRAME
    if span is not None and frame is not None:
        a, b = (np.array(end) for end in _ends(span, frame))
        along = (b - a) / np.linalg.norm(b - a)
        side = np.cross(normal, along) if span.across else outboard
        if all(body.kind == "screw" for body in named):  # from beside them, so that their length is seen
            face = side if side @ (outboard + _UPWARD) >= 0 else -side
            lean = 0.3 * normal
        way = (face if span.across else outboard) + 0.8 * lean
        way = way - along * (way @ along)
        middle, half = (a + b) / 2, float(np.clip(_TIMES * span.length, _NEAREST, _FARTHEST))
    box = [(middle[n] - half * wide, middle[n] + half * wide) for n, wide in enumerate((0.3, 1.0, 1.0))]
    bounds = (*box[0], *box[1], *box[2])
    return view_along(_triple(way), (0.0, 0.0, 1.0), bounds, aspect)


def _triple(values: Points) -> Triple:
    x, y, z = (float(v) + 0.0 for v in values)
    return x, y, z

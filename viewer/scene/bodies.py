"""Every solid of an assembly as a body, and a coarse likeness of it: what is painted of a large boat while it moves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel, Screw

from .body import Body, Mesh, Points, box_mesh, part_mesh, prism_mesh, round_mesh, swept_mesh
from .kinds import Kind
from .triple import Triple, triple

_DOWEL_SIDES = 24
_SIDES = 16  # of a screw: a few points of most pictures, round close up
_PROUD = 0.05  # mm that a head is drawn above the face it is flush with
_ROUND = 5  # points on an eased edge
_STEP = 40.0  # mm along a batten from section to section

_OFF = 1.5  # mm by which an outline may be off
_COARSE_STEP = 200.0  # mm along a batten from section to section
_COARSE_SIDES = 4  # of a screw's head, which is all that is seen of it


def bodies_of(assembly: Assembly) -> tuple[Body, ...]:
    """The bodies: frame by frame its parts, screws and dowels, then the battens and the rails. Names are unique.

    Dowels belong to the assembly board and not to the finished boat: they are shown while a frame lies on it.
    """
    return tuple(_all(assembly))


def _all(assembly: Assembly) -> Iterator[Body]:
    for frame in assembly.frames:
        for part in frame.parts:
            yield _part(frame, part)
        for screw in frame.screws:
            yield _screw(frame, screw)
        for dowel in frame.dowels:
            yield _dowel(frame, dowel)
    for batten in assembly.battens:
        if (body := _batten(batten)) is not None:
            yield body
    if assembly.strongback is not None:
        for side in ("port", "starboard"):
            points, triangles, edges = box_mesh(*assembly.strongback.rail(side))
            yield Body(name=f"{side} rail", kind="rail", frame="", points=points, triangles=triangles, edges=edges)


def _part(frame: Frame, part: Part) -> Body:
    points, triangles, edges = part_mesh(part)
    kind: Kind = part.role
    return Body(
        name=part.name,
        kind=kind,
        frame=frame.number,
        points=frame.placement.to_hull(points),
        triangles=triangles,
        edges=edges,
        outward=_outward(frame, {"forward": 1.0, "aft": -1.0, "core": 0.0}[part.face]),
    )


def _screw(frame: Frame, screw: Screw) -> Body:
    depths, radii = np.array(screw.profile).T
    radii = np.maximum(radii, 0.05)  # a point would leave triangles without area
    depths[0] -= _PROUD  # of two faces in one plane now the one would be seen and now the other
    inward = 1.0 if screw.tip > screw.head else -1.0
    points, triangles, edges = round_mesh(depths * inward, radii, _SIDES)
    return Body(
        name=screw.name,
        kind="screw",
        frame=frame.number,
        points=frame.placement.to_hull(points + np.array([*screw.at, screw.head])),
        triangles=triangles,
        edges=edges,
        outward=_outward(frame, 2.0 * (1.0 if screw.driven_from == "forward" else -1.0)),
    )


def _dowel(frame: Frame, dowel: Dowel) -> Body:
    """As high as the core: what is in the board is not seen."""
    depths = np.array([frame.core_low, frame.core_high])
    points, triangles, edges = round_mesh(depths, np.full(2, dowel.diameter / 2), _DOWEL_SIDES)
    here = np.arange(_DOWEL_SIDES)
    far = np.column_stack([here, np.roll(here, -1)]) + _DOWEL_SIDES
    return Body(
        name=dowel.name,
        kind="dowel",
        frame=frame.number,
        points=frame.placement.to_hull(points + np.array([*dowel.at, 0.0])),
        triangles=triangles,
        edges=np.concatenate([edges, far]),
    )


def piece_of(body: Body, assembly: Assembly, aft: float, forward: float) -> Body | None:
    """What of a batten or of a rail lies between two places along the boat, x in mm; None for any other body."""
    batten = next((batten for batten in assembly.battens if batten.name == body.name), None)
    if batten is not None:
        return _batten(batten, aft, forward)
    if body.kind != "rail":
        return None
    (x0, *low), (x1, *high) = body.points.min(axis=0).tolist(), body.points.max(axis=0).tolist()
    aft, forward = max(aft, x0), min(forward, x1)
    if aft >= forward:
        return None
    points, triangles, edges = box_mesh((aft, low[0], low[1]), (forward, high[0], high[1]))
    return Body(name=body.name, kind=body.kind, frame="", points=points, triangles=triangles, edges=edges)


def _batten(batten: Batten, aft: float = -np.inf, forward: float = np.inf) -> Body | None:
    first, last = max(batten.centres[0, 0], aft), min(batten.centres[-1, 0], forward)
    if first >= last:
        return None
    points, triangles, edges = batten_mesh(batten, _fewer(batten.profile), (first, last), _STEP)
    return Body(name=batten.name, kind="batten", frame="", points=points, triangles=triangles, edges=edges)


def batten_mesh(batten: Batten, profile: Points, ends: tuple[float, float], step: float) -> Mesh:
    """A batten of this `profile` (k, 2), as many points a corner, between two x, with sections every so many mm."""
    x = np.linspace(*ends, max(2, int((ends[1] - ends[0]) / step) + 1))
    tangent, long, short = batten.axes(x)
    if np.cross(long[0], short[0]) @ tangent[0] < 0:  # it runs clockwise as seen from forward
        profile = profile[::-1]
    rings = batten.centre(x)[:, None] + profile[None, :, :1] * long[:, None] + profile[None, :, 1:] * short[:, None]
    corner = len(profile) // 4
    return swept_mesh(rings, corner // 2 + corner * np.arange(4))


def _fewer(profile: Points) -> Points:
    """The profile with no more than _ROUND points a corner, evenly picked."""
    corner = len(profile) // 4
    if corner <= _ROUND:
        return profile
    picked = np.round(np.linspace(0, corner - 1, _ROUND)).astype(int)
    return np.asarray(profile[np.concatenate([quarter * corner + picked for quarter in range(4)])])


def _outward(frame: Frame, layer: float) -> Triple:
    return triple(layer * frame.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0])


def coarse_bodies(assembly: Assembly, bodies: Sequence[Body]) -> tuple[Body, ...]:
    """The coarse likeness of each of the `bodies` of an assembly, in their order."""
    meshes: dict[str, Mesh] = {}
    for frame in assembly.frames:
        meshes |= {part.name: _coarse_part(part, frame) for part in frame.parts}
        meshes |= {screw.name: _coarse_screw(screw, frame) for screw in frame.screws}
    meshes |= {batten.name: _coarse_batten(batten) for batten in assembly.battens}
    return tuple(_like(body, meshes.get(body.name)) for body in bodies)


def _like(body: Body, mesh: Mesh | None) -> Body:
    if mesh is None:
        return body
    points, triangles, edges = mesh
    return replace(body, points=points, triangles=triangles, edges=edges)


def _coarse_part(part: Part, frame: Frame) -> Mesh:
    rough = shapely.simplify(part.shape, _OFF)
    shape = rough if isinstance(rough, shapely.Polygon) and not rough.is_empty else part.shape
    points, triangles, edges = prism_mesh(shape, part.low, part.high)
    return frame.placement.to_hull(points), triangles, edges


def _coarse_screw(screw: Screw, frame: Frame) -> Mesh:
    """The head alone, as a disc seen from the side it is driven from."""
    turns = 2 * np.pi * np.arange(_COARSE_SIDES) / _COARSE_SIDES
    ring = np.column_stack([np.cos(turns), np.sin(turns)]) * screw.size.head_diameter / 2 + screw.at
    here = np.arange(1, _COARSE_SIDES - 1)
    triangles = np.column_stack([np.zeros_like(here), here, here + 1])
    outward = 1.0 if screw.driven_from == "forward" else -1.0
    points = frame.placement.to_hull(np.column_stack([ring, np.full(_COARSE_SIDES, screw.head + 0.1 * outward)]))
    return points, triangles if outward > 0 else triangles[:, ::-1], np.zeros((0, 2), dtype=np.int64)


def _coarse_batten(batten: Batten) -> Mesh:
    corners = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * (batten.long / 2, batten.short / 2)
    return batten_mesh(batten, corners, (batten.centres[0, 0], batten.centres[-1, 0]), _COARSE_STEP)

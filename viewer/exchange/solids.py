"""The solids of a boat as other programs get them: closed meshes in hull axes, each with what is known of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.model.boat.solid import batten_solid, box, prism, screw_solid
from scrieve.model.geometry.plane import disc

from ..scene.kinds import Kind

_SIDES = 24  # flat sides of a screw and of a dowel; their corners lie on the round
_PAST = 1.0  # mm by which what is cut out reaches past the face

Facts = Mapping[str, str | float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExchangeSolid:
    """`points` (n, 3) hull axes, mm, and `triangles` (m, 3), closed and facing outwards, of one solid.

    `name` is unique in the boat, `frame` the number of its frame, "" for battens and rails; `facts` say what is known.
    """

    name: str
    kind: Kind
    frame: str
    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    facts: Facts = field(default_factory=dict)


def solids_of(assembly: Assembly) -> Iterator[ExchangeSolid]:
    """Frame by frame its parts, screws and dowels, then the battens and the rails. A part cut away whole is none."""
    for frame in assembly.frames:
        for part in frame.parts:
            solid = part_solid(frame, part)
            if not solid.is_empty():
                facts: Facts = {
                    "label": part.label,
                    "stock": part.stock,
                    "thickness": part.thickness,
                    "face": part.face,
                }
                yield _solid(part.name, part.role, frame, solid, facts)
        for screw in frame.screws:
            solid = screw_solid(screw, frame.placement, _SIDES)
            yield _solid(screw.name, "screw", frame, solid, _of_screw(screw))
        for dowel in frame.dowels:
            round_ = disc(dowel.at, dowel.diameter, quad_segs=_SIDES // 4)
            solid = prism(round_, frame.core_low, frame.core_high, frame.placement)
            yield _solid(dowel.name, "dowel", frame, solid, {"diameter": dowel.diameter})
    for batten in assembly.battens:
        first, last = batten.centres[0, 0], batten.centres[-1, 0]
        if first < last:
            section: Facts = {"long": batten.long, "short": batten.short, "arris": batten.arris}
            yield _solid(batten.name, "batten", None, batten_solid(batten, first, last), section)
    if (strongback := assembly.strongback) is not None:
        for side in ("port", "starboard"):
            yield _solid(f"{side} rail", "rail", None, box(*strongback.rail(side)), {})


def part_solid(frame: Frame, part: Part) -> Any:
    """A part in its place, hull axes, its pockets cut out."""
    solid = prism(part.shape, part.low, part.high, frame.placement)
    for pocket in part.pockets:
        floor = part.floor(pocket)
        low, high = (floor, part.high + _PAST) if pocket.face == "forward" else (part.low - _PAST, floor)
        for piece in shapely.get_parts(pocket.shape):
            if piece.area > 0.0:
                solid -= prism(piece, low, high, frame.placement)
    return solid


def _of_screw(screw: Screw) -> Facts:
    return {"size": screw.size.name, "length": screw.size.length, "driven_from": screw.driven_from}


def _solid(name: str, kind: Kind, frame: Frame | None, solid: Any, facts: Facts) -> ExchangeSolid:
    mesh = solid.to_mesh64()
    return ExchangeSolid(
        name=name,
        kind=kind,
        frame="" if frame is None else frame.number,
        points=np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3],
        triangles=np.asarray(mesh.tri_verts, dtype=np.int64),
        facts={"kind": kind, **({} if frame is None else {"frame": frame.number}), **facts},
    )

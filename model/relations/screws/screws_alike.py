"""Screws that lack what others of their size hold: the gusset under the heads, or the wood behind it.

One screw beside its gusset was drawn in a wrong place; several with none near them say that the part is missing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

import shapely

from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Face, Part, Role
from ...boat.screw import Screw

_FEWEST = 2  # screws; as many are not all drawn in a wrong place
_ACROSS = 1.0  # mm off the mirror image, as for what is on neither side
_NEAR = 10.0  # diameters; by no more a screw is drawn beside its part. Common practice, no source


class Lacking(NamedTuple):
    """Screws of one size in a frame, by name, that all lack a part of this role: core behind, or another on top.

    Or what a part `across` the centreline is to their mirror images, on either face.
    """

    role: Role
    screws: tuple[Screw, ...]
    across: Part | None = None


def lacking(frame: Frame, assembly: Assembly) -> tuple[Lacking, ...]:
    """The screws of a frame that lack the same, where they are several."""
    usual = _usual(screw for each in assembly.frames for screw in each.screws)
    groups: dict[tuple[str, Role, Part | None], list[Screw]] = {}
    for screw in frame.screws:
        if screw.proposed or not screw.plies or screw.penetration > COINCIDENT:
            continue
        has, ends = screw.plies[0].part.role, abs(screw.far - screw.head) <= screw.plies[0].thickness + COINCIDENT
        twin = _across(screw, frame) if has == "core" else None
        on_top = usual.get(screw.size.name) if twin is None else twin.role
        if on_top is None:
            continue
        if has == "core" and not _is_near(screw, frame, on_top, screw.driven_from if twin is None else twin.face):
            groups.setdefault((screw.size.name, on_top, twin), []).append(screw)
        elif has == on_top and ends:
            groups.setdefault((screw.size.name, "core", None), []).append(screw)
    return tuple(
        Lacking(role, tuple(sorted(screws, key=lambda screw: screw.name)), twin)
        for (_, role, twin), screws in sorted(
            groups.items(), key=lambda group: (*group[0][:2], group[0][2].name if group[0][2] else "")
        )
        if len(screws) >= _FEWEST
    )


def _across(screw: Screw, frame: Frame) -> Part | None:
    """What the screw's mirror image holds to the core; None where there is no such screw, or that holds nothing."""
    y, v = screw.at
    for other in frame.screws:
        alike = other.size.name == screw.size.name and other.driven_from == screw.driven_from
        if alike and other is not screw and math.dist(other.at, (-y, v)) <= _ACROSS:
            parts = [ply.part for ply in other.plies]
            held = [part for part in parts if part.role != "core"]
            if held and len(held) < len(parts):
                return held[0]
    return None


def _usual(screws: Iterable[Screw]) -> dict[str, Role]:
    """What lies under the heads of most screws of each size that hold something to the core."""
    counts: dict[str, Counter[Role]] = {}
    for screw in screws:
        roles = [ply.part.role for ply in screw.plies]
        if "core" in roles[1:] and roles[0] != "core":
            counts.setdefault(screw.size.name, Counter())[roles[0]] += 1
    return {size: max(sorted(count), key=lambda role: count[role]) for size, count in counts.items()}


def _is_near(screw: Screw, frame: Frame, role: Role, face: Face) -> bool:
    at, reach = shapely.Point(screw.at), _NEAR * screw.size.diameter
    there = [part.shape for part in frame.parts if part.role == role and part.face == face]
    return any(shapely.dwithin(shape, at, reach) for shape in there)

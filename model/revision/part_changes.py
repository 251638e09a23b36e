"""Parts of two states of a boat, matched by label and frame: new, gone, cut otherwise, or in another place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from math import dist
from typing import Literal

import numpy as np
import shapely

from scrieve.shared.tolerances import exceeds
from scrieve.shared.wording import mm

from ..boat.assembly import Assembly
from ..boat.cut_sheet import SheetShape
from ..boat.part import Part
from ..sheets.difference import Pattern, laid

Point = tuple[float, float]

_BETTER = 0.9
"""share of what is off where a part stands, under which it is told as laid on the old one; it was moved besides"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartChange:
    """What has become of a part. `moved`: as cut it is the same, in another place of its frame.

    `off` is how far its outlines, laid on one another, are apart at worst, mm; `at` is where, in the hull axes of the
    new boat, or None. `moved` is how far its middle went, mm. `otherwise` says what else of it is different.
    `sheets` are the new cut sheets that it is on.
    """

    name: str
    frame: str
    change: Literal["new", "gone", "changed", "moved"]
    off: float = 0.0
    at: tuple[float, float, float] | None = None
    moved: float = 0.0
    otherwise: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()

    @property
    def cut(self) -> bool:
        """Whether it has to be cut anew, or need not have been."""
        return self.change != "moved"


def part_changes(old: Assembly, new: Assembly) -> Iterator[PartChange]:
    """The parts that are different, as frames and parts come; those of one name in the order of their places."""
    limit = new.limits["cut_sheet"]
    ours, theirs = _by_name(old), _by_name(new)
    for name in (*theirs, *(name for name in ours if name not in theirs)):
        for before, after in zip_longest(ours.get(name, ()), theirs.get(name, ())):
            if before is None or after is None:
                part = after or before
                yield PartChange(name=name, frame=part.frame, change="new" if before is None else "gone")
            elif (change := _changed(before, after, new, limit)) is not None:
                yield change


def _by_name(boat: Assembly) -> dict[str, list[Part]]:
    found: dict[str, list[Part]] = defaultdict(list)
    for part in boat.parts():
        found[part.name].append(part)
    return {name: sorted(parts, key=lambda part: part.shape.bounds) for name, parts in found.items()}


def _changed(old: Part, new: Part, boat: Assembly, limit: float) -> PartChange | None:
    otherwise = tuple(_otherwise(old, new, limit))
    off, at = farthest(new.shape, old.shape)
    moved = 0.0
    if exceeds(off, limit):
        shape = SheetShape(outline=new.drawn, region=new.drawn_shape, layer="", source=new.source, holes=new.holes)
        move = laid(Pattern(old), shape, limit).move
        laid_off, there = farthest(move.shape(new.shape), old.shape)
        if laid_off < off * _BETTER:  # else it differs where it stands
            off, at = laid_off, move.back(there)
        moved = dist(*((part.shape.centroid.x, part.shape.centroid.y) for part in (old, new)))
    if exceeds(off, limit) or otherwise:
        frame = next(frame for frame in boat.frames if frame.number == new.frame)
        place = frame.placement.point(*at, (new.low + new.high) / 2) if exceeds(off, limit) else None
        off = off if place is not None else 0.0
        return PartChange(name=new.name, frame=new.frame, change="changed", off=off, at=place, otherwise=otherwise)
    if exceeds(moved, limit):
        return PartChange(name=new.name, frame=new.frame, change="moved", moved=moved)
    return None


def _otherwise(old: Part, new: Part, limit: float) -> Iterator[str]:
    if old.stock != new.stock:
        yield f"of {new.stock} instead of {old.stock}"
    if exceeds(abs(old.thickness - new.thickness), limit):
        yield f"{mm(new.thickness)} thick instead of {mm(old.thickness)}"
    if not _same_pockets(old, new, limit):
        yield "its pockets are others"


def _same_pockets(old: Part, new: Part, limit: float) -> bool:
    """Whether each pocket has one of its face, depth and size in the other: where it lies, the outline tells."""

    def size(part: Part) -> list[tuple[str, float, float]]:
        return sorted((each.face, each.depth, each.drawn_shape.length) for each in part.pockets)

    return len(old.pockets) == len(new.pockets) and all(
        one[0] == other[0] and not exceeds(abs(one[1] - other[1]), limit) and not exceeds(abs(one[2] - other[2]), limit)
        for one, other in zip(size(old), size(new), strict=True)
    )


def farthest(one: shapely.Geometry, other: shapely.Geometry) -> tuple[float, Point]:
    """How far a corner of either outline is at most from the other, mm, and the corner; curves as they are chorded."""
    edges: Sequence[shapely.Geometry] = (one.boundary, other.boundary)
    found = []
    for mine, its in (edges, edges[::-1]):
        corners = shapely.get_coordinates(mine)
        away = shapely.distance(shapely.points(corners), its)
        worst = int(np.argmax(away))
        found.append((float(away[worst]), (float(corners[worst, 0]), float(corners[worst, 1]))))
    return max(found)

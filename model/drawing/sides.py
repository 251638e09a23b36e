"""Port and starboard in the names of shapes, and names that are given twice."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import shapely

from scrieve.shared.findings import Source

from ..defect import Defect
from ..outline import Outline
from ..wording import listed, place
from .drawn import Point

_MIDDLE = 1.0
"""mm; what lies with its centroid this close to the centreline is on neither side (as parts and battens have it)."""

_SIDE = re.compile(r"^(port|starboard)\b", re.IGNORECASE)
_OTHER = {"port": "starboard", "starboard": "port"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Shape:
    """An outline with its label, on its way to its final name."""

    label: str
    layer: str
    makes: str
    outline: Outline
    holes: tuple[Outline, ...]
    region: shapely.Polygon
    source: Source

    @cached_property
    def middle(self) -> Point:
        """The centroid of its region."""
        centre = self.region.centroid
        return float(centre.x), float(centre.y)

    @property
    def side(self) -> str:
        """ "port", "starboard", or "" on the centreline, by the centroid."""
        y = self.middle[0]
        return "" if abs(y) <= _MIDDLE else "port" if y > 0 else "starboard"


def other_side(label: str) -> str:
    """The label of the mirror image: "port side" of "starboard side"; one that says no side stays."""
    return _SIDE.sub(lambda match: _OTHER[match[1].lower()], label)


def named_by_side(shapes: Sequence[Shape]) -> list[Shape]:
    """The shapes; those of one kind that share a label across the centreline are told apart as port and starboard."""
    sides: dict[tuple[str, str], set[str]] = defaultdict(set)
    for shape in shapes:
        sides[shape.makes, shape.label.casefold()].add(shape.side)
    named = []
    for shape in shapes:
        both = {"port", "starboard"} <= sides[shape.makes, shape.label.casefold()]
        if both and shape.side and not _SIDE.match(shape.label):
            shape = replace(shape, label=f"{shape.side} {shape.label}")
        named.append(shape)
    return named


def wrong_sides(shapes: Sequence[Shape]) -> list[Defect]:
    """One defect for all that say port and lie to starboard, or the reverse."""
    wrong = []
    for shape in shapes:
        said = _SIDE.match(shape.label)
        if said and shape.side == _OTHER[said[1].lower()]:
            wrong.append(shape)
    if not wrong:
        return []
    first = wrong[0]
    names = listed(sorted({f'"{shape.label}"' for shape in wrong}))
    lies = f"lies to {first.side}" if len(wrong) == 1 else "lie on the other side of the boat than their labels say"
    return [
        Defect(
            message=f"{names} {lies}: is the drawing seen from the other side?",
            source=first.source,
            at=first.middle,
            cure="set seen in the plan to how the drawing looks, or change the labels",
        )
    ]


def told_apart(shapes: Sequence[Shape]) -> tuple[list[Shape], list[Defect]]:
    """The shapes with a number behind each label that is given twice, and a defect for each such label.

    On different layers shapes may share a label if they lie over each other, as the plies of a leg
    and the gussets of the two faces do.
    """
    alike: dict[tuple[str, str], list[int]] = defaultdict(list)
    for index, shape in enumerate(shapes):
        alike[shape.makes, shape.label.casefold()].append(index)
    defects = []
    out = list(shapes)
    for group in alike.values():
        if len(group) < 2:
            continue
        clashing = [i for i in group if any(_clash(shapes[i], shapes[j]) for j in group if j != i)]
        if not clashing:
            continue
        first = shapes[clashing[0]]
        where = listed(place(*shapes[i].middle) for i in clashing)
        defects.append(
            Defect(
                message=f'{len(clashing)} outlines are labelled "{first.label}", round {where}',
                source=first.source,
                at=first.middle,
                cure="give each a label of its own",
            )
        )
        for number, i in enumerate(clashing, start=1):
            out[i] = replace(shapes[i], label=f"{shapes[i].label} ({number})")
    return out, defects


def _clash(one: Shape, other: Shape) -> bool:
    return one.layer == other.layer or not shapely.intersects(one.region, other.region)

"""Twins: which parts of a frame should be mirror images of one another, and how far two are from being it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT, exceeds

from ..boat.part import Part
from ..boat.pocket import Pocket
from ..geometry.outline import Outline
from ..geometry.plane import foot, mirrored, mirrored_points, without_needless_corners

Floats = NDArray[np.float64]
Pair = tuple[Part, Part]
Point = tuple[float, float]

_SIDES = {"port": "starboard", "starboard": "port"}
_SIDE = re.compile(r"\b(port|starboard)\b", re.IGNORECASE)
_ALIKE = 0.2  # share of the area of both that the overlap of twins without a name for it has at least

_TOGETHER = 0.1  # share of what a part lies off; corners that differ by less lie off as a whole


class Twins(NamedTuple):
    """The parts of a frame, its legs left out: port and starboard two by two, those across the middle, the rest."""

    pairs: tuple[Pair, ...]
    middle: tuple[Part, ...]
    alone: tuple[Part, ...]


class Difference(NamedTuple):
    """How far a corner of `part` at `at` (y, v) lies off the mirror image of its twin, mm, and which way it does.

    `whole`: all of the part lies off by as much, that way. `span` (y, v) goes from a corner that lies off so far to
    where the mirror image has it.
    """

    part: Part
    off: float
    at: tuple[float, float]
    way: tuple[float, float]
    whole: bool
    span: tuple[Point, Point]


def swapped(name: str) -> str:
    """The name of what lies on the other side: "port chine" for "starboard chine"; lower case."""
    return _SIDE.sub(lambda word: _SIDES[word.group().lower()], name).lower()


def twins(parts: Iterable[Part]) -> Twins:
    """Twins lie on the same face; by their labels, else where their shapes lie over one another best."""
    left = [part for part in parts if part.role != "leg"]
    pairs: list[Pair] = []
    by_label: dict[tuple[str, str], list[Part]] = {}
    for part in left:
        by_label.setdefault((part.face, part.label.lower()), []).append(part)
    for (face, label), these in by_label.items():
        others = by_label.get((face, swapped(label)), [])
        if "starboard" not in label and swapped(label) != label and len(these) == len(others) == 1:
            pairs.append((these[0], others[0]))
    paired = {part for pair in pairs for part in pair}
    left = [part for part in left if part not in paired]
    middle = [part for part in left if part.side == "centre"]
    by_place = list(_by_place([part for part in left if part.side != "centre"]))
    paired = {part for pair in by_place for part in pair}
    alone = [part for part in left if part.side != "centre" and part not in paired]
    return Twins(pairs=(*pairs, *by_place), middle=tuple(middle), alone=tuple(alone))


def _by_place(parts: Sequence[Part]) -> Iterator[Pair]:
    """Parts on the same face, one to port and one to starboard, those whose shapes agree best first."""
    found = []
    for port in parts:
        for starboard in parts:
            if port.side == "port" and starboard.side == "starboard" and port.face == starboard.face:
                image = mirrored(port.shape)
                common = float(shapely.intersection(image, starboard.shape).area)
                alike = common / (port.shape.area + starboard.shape.area - common)
                if alike >= _ALIKE:
                    found.append((-round(alike, 9), port.name, starboard.name, port, starboard))
    done: set[Part] = set()
    for *_, port, starboard in sorted(found, key=lambda one: one[:3]):
        if not done & {port, starboard}:
            done |= {port, starboard}
            yield port, starboard


def difference(one: Part, other: Part, limit: float, axis: float = 0.0) -> Difference | None:
    """Where one part lies furthest off the mirror image of the other about y = `axis`; None if within `limit`.

    Of the outlines as drawn. Where one corner goes with one all round, that is told quickly; else every
    corner of either, holes too, is measured against the mirror image of the other's outline.
    """
    moved = _corner_by_corner(one.drawn, other.drawn, axis)
    if moved is not None and not one.holes and not other.holes:
        steps, bulging = moved
        off = np.hypot(*steps.T)
        if not exceeds(float(off.max()) + bulging, limit):
            return None
        mean = steps.mean(axis=0)
        if np.hypot(*(steps - mean).T).max() + bulging <= _TOGETHER * np.hypot(*mean):
            y, v = one.drawn.points.mean(axis=0).tolist()
            n = int(off.argmax())
            span = _pair(one.drawn.points[n]), _pair(one.drawn.points[n] - steps[n])
            return Difference(part=one, off=float(off.max()), at=(y, v), way=_pair(mean), whole=True, span=span)
    worst = max(_furthest(one, other, axis), _furthest(other, one, axis), key=lambda d: (round(d.off, 9), d.part.name))
    return worst if exceeds(worst.off, limit) else None


def without_image(one: Part, other: Part, limit: float) -> tuple[Part, Pocket] | None:
    """A pocket of one of two parts that the mirror image of the other has not, to within `limit` mm, and the part."""
    for part, twin in ((one, other), (other, one)):
        for pocket in part.pockets:
            wanted = mirrored(pocket.shape)
            alike = (
                each.shape
                for each in twin.pockets
                if (each.face, each.depth) == (pocket.face, pocket.depth) and not shapely.is_empty(each.shape)
            )
            if all(exceeds(float(shapely.hausdorff_distance(wanted, each)), limit) for each in alike):
                return part, pocket
    return None


def _mirrored(points: Floats, axis: float) -> Floats:
    return np.asarray(mirrored_points(points) + np.array([2 * axis, 0.0]))


def _corner_by_corner(one: Outline, other: Outline, axis: float) -> tuple[Floats, float] | None:
    """By how much each corner of one lies off that of the mirror image of the other, (n, 2), and arcs differ, mm.

    None where they have not the same number of corners.
    """
    if len(one.points) != len(other.points):
        return None
    image = _mirrored(other.points, axis)
    # drawn as mirror images they turn opposite ways round, drawn apart perhaps the same way
    ways_round = [(image[::-1], np.roll(other.bulges[::-1], -1)), (image, -other.bulges)]
    found = []
    for points, bulges in ways_round:
        start = int(np.argmin(np.sum((points - one.points[0]) ** 2, axis=1)))
        steps = one.points - np.roll(points, -start, axis=0)
        chords = np.hypot(*(np.roll(one.points, -1, axis=0) - one.points).T)
        bulging = float(np.max(np.abs(one.bulges - np.roll(bulges, -start)) * chords)) / 2
        found.append((float(np.abs(steps).max()), bulging, steps))
        if found[-1][:2] <= (COINCIDENT, COINCIDENT):
            break
    _, bulging, steps = min(found, key=lambda way: way[:2])
    return steps, bulging


def _furthest(part: Part, other: Part, axis: float) -> Difference:
    corners = shapely.get_coordinates(part.drawn_shape)
    needed = shapely.get_coordinates(without_needless_corners(part.drawn_shape))
    corners = corners[np.isin(corners @ (1, 1j), needed @ (1, 1j))]
    image = shapely.transform(other.drawn_shape.boundary, lambda points: _mirrored(points, axis))
    points = shapely.points(corners)
    off = shapely.distance(points, image)
    worst = int(np.argmax(np.round(off, 9)))
    onto = foot(image, corners[worst])
    way = corners[worst] - onto
    at = _pair(corners[worst])
    return Difference(part=part, off=float(off[worst]), at=at, way=_pair(way), whole=False, span=(at, _pair(onto)))


def _pair(values: Floats) -> Point:
    return float(values[0]), float(values[1])

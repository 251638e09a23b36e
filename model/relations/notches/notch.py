"""How a batten passes the frames: what it takes up in each, and the walls of the notches it lies in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT, WALL_REACH, WALL_TURN

from ...boat.batten import Batten, Section
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import Edges

Plane = float
Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class Crossing:
    """A batten where it passes one frame, in that frame's (y, v), mm.

    `section` is the batten's section there, None where there is none. `long` and `short` are those of
    `Cuts` in the middle of the core. `rings` holds the outline at the faces of every ply.
    """

    batten: Batten
    frame: Frame
    section: Section | None
    long: NDArray[np.float64]
    short: NDArray[np.float64]
    rings: dict[Plane, NDArray[np.float64]]
    _bounds: dict[Plane, tuple[float, float, float, float]]
    _passages: dict[tuple[Plane, Plane], shapely.Polygon] = field(default_factory=dict)

    def ring(self, low: Plane, high: Plane) -> NDArray[np.float64]:
        """(n, 2): the outlines at two faces, one after the other; both must be faces of plies."""
        return np.concatenate([self.rings[low], self.rings[high]])

    def bounds(self, low: Plane, high: Plane) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of all that the batten takes up between two faces."""
        aft, forward = self._bounds[low], self._bounds[high]
        return (
            min(aft[0], forward[0]), min(aft[1], forward[1]), max(aft[2], forward[2]), max(aft[3], forward[3]),
        )  # fmt: skip

    def passage(self, low: Plane, high: Plane) -> shapely.Polygon:
        """All that the batten takes up between two faces: see `Batten.passage`."""
        if (low, high) not in self._passages:
            self._passages[low, high] = shapely.convex_hull(shapely.linestrings(self.ring(low, high)))
        return self._passages[low, high]

    def notch_size(self, low: Plane, high: Plane) -> tuple[float, float]:
        """What the batten takes up between two faces, along and across the long side as drawn, mm.

        Where no section is drawn as the plane cuts it, that of the batten as it passes is taken for the long side.
        """
        section = self.section
        angle = float(np.arctan2(self.long[1], self.long[0])) if section is None or section.square else section.angle
        c, s = np.cos(angle), np.sin(angle)
        along, across = np.ptp(self.ring(low, high) @ np.array([(c, -s), (s, c)]), axis=0)
        return float(along), float(across)

    def reaches(self, part: Part, reach: float = 0.0) -> bool:
        """Whether the bounds of the batten in this part's plies come within `reach` of the part's, mm."""
        left, bottom, right, top = self.bounds(part.low, part.high)
        part_left, part_bottom, part_right, part_top = part.shape.bounds
        beside = right + reach >= part_left and left - reach <= part_right
        return bool(beside and top + reach >= part_bottom and bottom - reach <= part_top)

    def share_in(self, part: Part) -> float:
        """How much of the batten's own section lies in a part's wood, 0 to 1, half-way through the part."""
        if not self.reaches(part):
            return 0.0
        section = shapely.Polygon((self.rings[part.low] + self.rings[part.high]) / 2)
        return float(shapely.intersection(section, part.shape).area / section.area)

    @cached_property
    def unnotched(self) -> bool:
        """Whether more than half of the batten's section lies in the wood of the core: it has no notch."""
        return sum(self.share_in(part) for part in self.frame.core) > 0.5

    def missing_in(self, part: Part) -> bool:
        """Whether a part is one that lacks a notch because the core has none: core, or covering the place."""
        return self.unnotched and (part in self.frame.core or self.share_in(part) > 0.5)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wall:
    """A wall of a notch: wood that faces one of the four sides of a batten.

    `way` is the unit direction (y, v) from the batten into the wall; `gap` the least distance between
    them along it, mm, negative by how far the wall's wood reaches into what the batten takes up; `at`
    is where. `parts` are those whose wood it is, and `covers` the share of the side's flat part, clear
    of the eased arrises, that they lie along.
    """

    way: Point
    gap: float
    at: Point
    parts: tuple[Part, ...]
    covers: float

    @property
    def name(self) -> str:
        """ "lower", "upper port": which wall it is as the boat stands, one name for each side of a batten."""
        y, v = self.way
        words = []
        if abs(v) > _LEANING:
            words.append("upper" if v > 0 else "lower")
        if abs(y) > _LEANING:
            words.append("port" if y > 0 else "starboard")
        return " ".join(words)


_LEANING = float(np.sin(np.pi / 8))  # walls square to one another then never share a name


@kept
def crossings(batten: Batten, frames: tuple[Frame, ...]) -> tuple[Crossing, ...]:
    """Where the batten passes these frames: those that hold a section of it, and all in between.

    A batten ends with its first and last section; the thickness of the frames there belongs to it.
    """
    sections = {section.frame: section for section in batten.sections}
    start, end = batten.centres[0, 0], batten.centres[-1, 0]
    middles = batten.cuts(
        [frame.placement for frame in frames], [(frame.core_low + frame.core_high) / 2 for frame in frames]
    )
    passed = [
        (i, frame)
        for i, frame in enumerate(frames)
        if frame.number in sections or start - COINCIDENT <= middles.x[i] <= end + COINCIDENT
    ]
    faces = [(i, frame, w) for i, frame in passed for w in _faces(frame)]
    rings = batten.cuts([frame.placement for _, frame, _ in faces], [w for *_, w in faces]).rings(batten.profile)
    boxes = np.concatenate([rings.min(axis=1), rings.max(axis=1)], axis=1).tolist()
    by_place: dict[int, dict[Plane, NDArray[np.float64]]] = {i: {} for i, _ in passed}
    bounds: dict[int, dict[Plane, tuple[float, float, float, float]]] = {i: {} for i, _ in passed}
    for (i, _, w), ring, box in zip(faces, rings, boxes, strict=True):
        by_place[i][w] = ring
        bounds[i][w] = tuple(box)
    return tuple(
        Crossing(
            batten=batten,
            frame=frame,
            section=sections.get(frame.number),
            long=middles.long[i],
            short=middles.short[i],
            rings=by_place[i],
            _bounds=bounds[i],
        )
        for i, frame in passed
    )


def _faces(frame: Frame) -> list[Plane]:
    prisms = (prism for part in frame.parts for prism in part.prisms)
    return sorted({frame.core_low, frame.core_high} | {w for prism in prisms for w in (prism.low, prism.high)})


@kept
def drawn_edges(part: Part) -> Edges:
    """The edges of a part as drawn."""
    return Edges.around(part.drawn_shape)


def walls(crossing: Crossing, parts: Iterable[Part], low: Plane, high: Plane, far: float = 0.0) -> Iterator[Wall]:
    """The walls that the drawn outlines of `parts` make for a batten between two faces, side by side.

    A wall is made of edges that turn less than WALL_TURN from a side of the batten, lie beside its
    flat part, and are not further off, or deeper in, than WALL_REACH of the batten's short side. On a
    side without any such, those up to `far` mm off are taken.
    """
    ring = crossing.ring(low, high)
    close = WALL_REACH * crossing.batten.short
    reach = max(close, far)
    bounds = crossing.bounds(low, high)
    near = [(part, drawn_edges(part).within(bounds, reach)) for part in parts if crossing.reaches(part, reach)]
    near = [(part, edges) for part, edges in near if len(edges)]
    if not near:
        return
    owner = np.repeat(np.arange(len(near)), [len(edges) for _, edges in near])
    edges = Edges(
        starts=np.concatenate([edges.starts for _, edges in near]),
        ends=np.concatenate([edges.ends for _, edges in near]),
    )
    middle = ring.mean(axis=0)
    hull = shapely.get_coordinates(shapely.orient_polygons(shapely.convex_hull(shapely.multipoints(ring)))) - middle
    for unit, way, flat in _sides(crossing):
        facing = edges.facing @ way < -np.cos(WALL_TURN)
        wall = edges.only(facing)
        begin, finish, off_begin, off_finish = _beside(wall, middle, unit, way, flat)
        side = _Side.of(hull, unit, way)
        place, nearest = side.nearest(begin, finish, off_begin, off_finish)
        beside_it = (finish - begin > COINCIDENT) & (nearest >= -close)
        is_wall = beside_it & (nearest <= close)
        if not is_wall.any():
            is_wall = beside_it & (nearest <= reach)
        if not is_wall.any():
            continue
        best = int(np.argmin(np.where(is_wall, nearest, np.inf)))
        beside, out = place[best], np.interp(place[best], side.along, side.out)
        at = middle + unit * beside + way * (nearest[best] + out)
        owners = sorted({int(i) for i in owner[facing][is_wall]})
        yield Wall(
            way=(float(way[0]), float(way[1])),
            gap=float(nearest[best]),
            at=(float(at[0]), float(at[1])),
            parts=tuple(near[i][0] for i in owners),
            covers=_covered(begin[is_wall], finish[is_wall]) / (2 * flat),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """How far all that a batten takes up reaches out of a side, `out` (n,) mm at `along` (n,) along it, rising.

    Eased arrises and the taper of a batten that passes askew are in it.
    """

    along: NDArray[np.float64]
    out: NDArray[np.float64]

    @classmethod
    def of(cls, hull: NDArray[np.float64], unit: NDArray[np.float64], way: NDArray[np.float64]) -> _Side:
        """The side of a closed convex ring of corners, counter-clockwise, that faces `way`."""
        runs = np.diff(hull, axis=0)
        outward = np.column_stack([runs[:, 1], -runs[:, 0]]) @ way > COINCIDENT
        corners = np.concatenate([hull[:-1][outward], hull[1:][outward]])
        along, which = np.unique(corners @ unit, return_index=True)
        return cls(along=along, out=corners[which] @ way)

    def nearest(
        self, begin: NDArray[np.float64], finish: NDArray[np.float64], *offs: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Where along the side each of n straight edges comes nearest to it, and how near, mm; the middle of alikes."""
        corners = np.clip(self.along[None, :], begin[:, None], finish[:, None])
        places = np.column_stack([begin, corners, finish])
        share = (places - begin[:, None]) / np.maximum(finish - begin, COINCIDENT)[:, None]
        gaps = offs[0][:, None] + share * (offs[1] - offs[0])[:, None] - np.interp(places, self.along, self.out)
        least = gaps.min(axis=1)
        alike = gaps <= least[:, None] + COINCIDENT
        low = np.where(alike, places, np.inf).min(axis=1)
        high = np.where(alike, places, -np.inf).max(axis=1)
        return (low + high) / 2, least


def _sides(crossing: Crossing) -> Iterator[tuple[NDArray[np.float64], NDArray[np.float64], float]]:
    """The batten's four sides in the plane: unit vectors along it and out of it, half its flat length.

    Where the arrises leave little or no flat, the middle half of the side is taken for it.
    """
    batten = crossing.batten
    axes, halves = (crossing.long, crossing.short), (batten.long / 2, batten.short / 2)
    for sign in (1.0, -1.0):
        for out, beside in ((0, 1), (1, 0)):
            stretch = float(np.hypot(*axes[beside]))
            unit = axes[beside] / stretch
            way = sign * (axes[out] - unit * (axes[out] @ unit))
            yield unit, way / np.hypot(*way), stretch * max(halves[beside] - batten.arris, halves[beside] / 2)


def _beside(
    edges: Edges, middle: NDArray[np.float64], unit: NDArray[np.float64], way: NDArray[np.float64], flat: float
) -> tuple[NDArray[np.float64], ...]:
    """Each edge cut to the flat part of a side: from where to where along it, and how far off at both."""
    s0, s1 = (edges.starts - middle) @ unit, (edges.ends - middle) @ unit
    d0, d1 = (edges.starts - middle) @ way, (edges.ends - middle) @ way
    swap = s1 < s0
    s0, s1, d0, d1 = np.where(swap, s1, s0), np.where(swap, s0, s1), np.where(swap, d1, d0), np.where(swap, d0, d1)
    begin, finish = np.clip(s0, -flat, flat), np.clip(s1, -flat, flat)
    run = np.where(s1 > s0, s1 - s0, 1.0)
    rise = (d1 - d0) / run
    return begin, finish, d0 + (begin - s0) * rise, d0 + (finish - s0) * rise


def _covered(begin: NDArray[np.float64], finish: NDArray[np.float64]) -> float:
    """The length that intervals cover together."""
    total, reached = 0.0, -np.inf
    for start, end in sorted(zip(begin.tolist(), finish.tolist(), strict=True)):
        total += max(0.0, end - max(start, reached))
        reached = max(reached, end)
    return float(total)

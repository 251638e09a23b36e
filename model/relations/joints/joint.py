"""Butt joints: where the edges of two core parts face one another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Source
from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT, JOINT_REACH, PARALLEL, SLIVER

from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.edge import Edges

Point = tuple[float, float]

LONGEST_TENON = 100.0
"""mm; a finger or a tenon is no longer, so that a joint whose flanks touch is open by less. Common practice,
no source."""

_TURN = 40.0  # mm; where a joint turns corners, a finger whose edges reliefs took away may part it by as much
_ASKEW = 0.5  # cosine; stretches that face more alike than this close the same way

_OF_IMAGES = 15.0
"""mm; a part of a half drawing and its image this close were to meet on the centreline: a slot for a board is wider.
Common practice, no source."""

SHORTEST = JOINT_REACH
"""mm; edges that face one another over less are corners that come near, not a joint."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A straight piece of a joint, cut to the length that both parts share; (y, v), mm.

    `first` and `second` are the pieces of the two parts' edges, running the same way, so that their
    starts lie opposite one another and their ends too. `apart` is how far they stand apart at the
    start and at the end, negative where they overlap. `way` is the unit direction from the first
    part's wood into the second's.
    """

    first: tuple[Point, Point]
    second: tuple[Point, Point]
    apart: tuple[float, float]
    way: Point

    @property
    def middle(self) -> tuple[Point, Point]:
        """The line half-way between the two edges."""
        (a, b), (c, d) = self.first, self.second
        return _mean(a, c), _mean(b, d)

    @property
    def length(self) -> float:
        """mm, of the middle line."""
        (a, b) = self.middle
        return float(np.hypot(b[0] - a[0], b[1] - a[1]))


Run = list[Stretch]


@dataclass(frozen=True, kw_only=True, eq=False)
class Joint:
    """A butt joint of two parts, `first` before `second` by name.

    `gap` is the greatest distance between the facing edges over the length they share, `overlap` the
    greatest depth to which they run into one another, mm; each 0 where there is none. `across` goes from
    the first part's edge to the second's where the worse of the two is, (y, v).
    """

    first: Part
    second: Part
    stretches: tuple[Stretch, ...]
    gap: float
    overlap: float
    across: tuple[Point, Point]

    @property
    def at(self) -> Point:
        """(y, v) half-way across where the gap or the overlap is greatest."""
        return _mean(*self.across)

    @cached_property
    def line(self) -> shapely.MultiLineString:
        """The line of the joint in (y, v), half-way between the two edges, piece by piece."""
        return shapely.multilinestrings([shapely.linestrings(s.middle) for s in self.stretches])

    @property
    def length(self) -> float:
        """mm, over which the two parts face one another."""
        return float(self.line.length)

    @cached_property
    def way(self) -> Point:
        """The unit direction from the first part into the second, mean over the length."""
        total = np.sum([np.multiply(s.way, s.length) for s in self.stretches], axis=0)
        unit = total / np.hypot(*total)
        return float(unit[0]), float(unit[1])

    def other(self, part: Part) -> Part:
        """The part on the other side of the joint."""
        return self.second if part is self.first else self.first


@kept
def joints(frame: Frame) -> tuple[Joint, ...]:
    """The butt joints between the core parts of a frame (its legs left out), sorted by name and place.

    A joint is where outlines as cut face one another: outward normals opposed within PARALLEL, closer
    than JOINT_REACH whether apart or overlapping, over more than 5 mm of shared length. A notch or a
    hole that breaks a joint's line leaves one joint as long as the break is shorter than what it
    breaks; two parts that meet again further off have two joints.
    """
    pairs = _near(frame.core, frame.core)
    return _sorted(joint for a, b in pairs if a.name < b.name for joint in _between(a, b))


@kept
def leg_joints(frame: Frame) -> tuple[Joint, ...]:
    """The same between core parts and those plies of the legs that lie in the plane of the core.

    Kept apart from `joints`: the leg's other ply laps the joint, and no gusset belongs there.
    """
    plies = [p for p in frame.parts if p.role == "leg" and p.face == "core"]
    return _sorted(joint for a, b in _near(plies, frame.core) for joint in _between(a, b))


@kept
def image_joints(frame: Frame) -> tuple[Joint, ...]:
    """The same between a part of a half drawing that stops short of the centreline and its image.

    They are no joint to put a gusset on: drawn as far as the centreline, both are one part. None where something
    lies between them.
    """
    by_source: dict[Source, list[Part]] = {}
    for part in frame.core if frame.view.half else ():
        by_source.setdefault(part.source, []).append(part)
    found: list[Joint] = []
    for one, other in (each for each in by_source.values() if len(each) == 2):
        if JOINT_REACH < shapely.distance(one.shape, other.shape) <= _OF_IMAGES:
            others = [part.shape for part in frame.core if part not in (one, other)]
            others += [shapely.Point(section.centre) for section in frame.sections]
            found += (
                joint
                for joint in _between(one, other, _OF_IMAGES)
                if not any(shapely.intersects(gap_of(s), each) for s in joint.stretches for each in others)
            )
    return _sorted(found)


def _sorted(found: Iterable[Joint]) -> tuple[Joint, ...]:
    return tuple(sorted(found, key=lambda joint: (joint.first.name, joint.second.name, joint.at)))


def _near(some: Sequence[Part], others: Sequence[Part]) -> list[tuple[Part, Part]]:
    """Pairs of different parts whose outlines come within reach of one another."""
    if not some or not others:
        return []
    tree = shapely.STRtree([part.shape for part in others])
    left, right = tree.query([part.shape for part in some], predicate="dwithin", distance=JOINT_REACH)
    return [(some[i], others[j]) for i, j in zip(left, right, strict=True) if some[i] is not others[j]]


def _between(a: Part, b: Part, reach: float = JOINT_REACH) -> list[Joint]:
    first, second = sorted((a, b), key=lambda part: part.name)
    ours, theirs = meeting(first).within(second.shape.bounds, reach), meeting(second).within(first.shape.bounds, reach)
    found = facing(ours, theirs, reach)
    whole: list[tuple[Run, list[Stretch]]] = []
    for run in runs(found):
        slid = _slid(first, second, run)
        ends = {stretch.first for stretch in slid}
        # the two flanks of a tenon pulled out are one joint, if what has come apart is the same
        same = [pair for pair in whole if any(stretch.first in ends for stretch in pair[1])]
        whole = [pair for pair in whole if pair not in same]
        whole.append(([*run, *(s for touching, _ in same for s in touching)], slid))
    return [joint_of(first, second, [*run, *slid]) for run, slid in whole]


def _slid(first: Part, second: Part, run: Run) -> list[Stretch]:
    """Facing edges of a joint drawn apart along its flanks: what they hold apart by one distance in two places or more.

    Flanks of a finger, a step or a tenon touch however far it is pulled out. Where ends of the joint face one
    another the way that no stretch of it does, with neither part's wood between them and beside its line, it is open.
    """
    lines = shapely.multilinestrings([shapely.linestrings(s.middle) for s in run])
    ours, theirs = (meeting(part).within(lines.bounds, LONGEST_TENON) for part in (first, second))
    found = [
        s
        for s in facing(ours, theirs, LONGEST_TENON)
        if min(s.apart) > JOINT_REACH
        and all(abs(np.dot(s.way, other.way)) < _ASKEW for other in run)
        and shapely.dwithin(shapely.linestrings(s.middle), lines, max(s.apart))
    ]
    if len(found) < 2:
        return []
    wood = shapely.union(first.shape, second.shape)
    found = [s for s in found if shapely.area(shapely.intersection(gap_of(s), wood)) < SLIVER * s.length]
    return [
        s
        for s in found
        if any(
            o is not s and abs(o.apart[0] - s.apart[0]) < SLIVER and np.dot(o.way, s.way) > 1 - _ASKEW for o in found
        )
    ]


def gap_of(stretch: Stretch) -> shapely.Geometry:
    """What lies between the two edges of a stretch, (y, v): a polygon, a line where they touch."""
    return shapely.convex_hull(shapely.multipoints([*stretch.first, *stretch.second]))


@kept
def meeting(part: Part) -> Edges:
    """Those edges of a part as cut that another may be meant to touch: all but reliefs."""
    return Edges.meeting(part.shape)


def facing(first: Edges, second: Edges, reach: float = JOINT_REACH, turn: float = PARALLEL) -> list[Stretch]:
    """Where edges of the one face edges of the other within reach: every pair, cut to its shared length.

    `reach` is in mm, `turn` in radians: how far two edges may turn from parallel. Length is shared along
    the mean direction of the two edges, and the distance between them taken square to it, so that it
    comes out the same whichever is first.
    """
    if not len(first) or not len(second):
        return []
    i, j = np.nonzero(first.facing @ second.facing.T <= -np.cos(turn))
    a, b = first.only(i), second.only(j)
    u = a.along - b.along
    u /= np.hypot(*u.T)[:, None]
    n = np.column_stack([u[:, 1], -u[:, 0]])
    # along u: the first edge runs up, the second down
    a0, a1, b0, b1 = (np.sum(p * u, axis=1) for p in (a.starts, a.ends, b.ends, b.starts))
    low, high = np.maximum(a0, b0), np.minimum(a1, b1)
    shared = high - low > COINCIDENT
    i, j = i[shared], j[shared]
    first_ends = [_along(a, (at - a0) / (a1 - a0)) for at in (low, high)]
    second_ends = [_along(b, (b1 - at) / (b1 - b0)) for at in (low, high)]
    apart = [np.sum((q - p) * n, axis=1) for p, q in zip(first_ends, second_ends, strict=True)]
    nearest = np.where(apart[0] * apart[1] <= 0, 0.0, np.minimum(np.abs(apart[0]), np.abs(apart[1])))
    return [
        Stretch(
            first=(_point(first_ends[0][k]), _point(first_ends[1][k])),
            second=(_point(second_ends[0][k]), _point(second_ends[1][k])),
            apart=(float(apart[0][k]), float(apart[1][k])),
            way=_point(n[k]),
        )
        for k in np.flatnonzero(shared & (nearest <= reach))
    ]


def _along(edges: Edges, share: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(edges.starts + share[:, None] * (edges.ends - edges.starts))


def _point(values: NDArray[np.float64]) -> Point:
    return float(values[0]) + 0.0, float(values[1]) + 0.0  # no minus zero


def runs(stretches: list[Stretch]) -> list[Run]:
    """The stretches gathered into joints: end to end first, then over breaks shorter than the runs."""
    found = [run for run in _end_to_end(sorted(stretches, key=lambda s: s.middle)) if _length(run) > SHORTEST]
    return _gathered(found)


def _end_to_end(stretches: Sequence[Stretch]) -> list[Run]:
    """Stretches joined wherever two come within JOINT_REACH of one another, each run in the order given."""
    if not stretches:
        return []
    lines = shapely.linestrings([stretch.middle for stretch in stretches])
    near: list[list[int]] = [[] for _ in stretches]
    for one, other in shapely.STRtree(lines).query(lines, predicate="dwithin", distance=JOINT_REACH).T.tolist():
        near[one].append(other)
    out: list[Run] = []
    seen: set[int] = set()
    for start in range(len(stretches)):
        if start not in seen:
            run, waiting = {start}, [start]
            while waiting:
                more = set(near[waiting.pop()]) - run
                run |= more
                waiting += more
            seen |= run
            out.append([stretches[n] for n in sorted(run)])
    return out


def _gathered(runs: list[Run]) -> list[Run]:
    """Runs joined wherever two are closer than the longer of the two is long, or no further than reliefs part them."""
    done: list[Run] = []
    for run in runs:
        while True:
            near = [other for other in done if _distance(run, other) <= max(_length(run), _length(other), _TURN)]
            if not near:
                break
            done = [other for other in done if other not in near]
            run = sorted((s for part in (run, *near) for s in part), key=lambda s: s.middle)
        done.append(run)
    return done


def _length(run: Run) -> float:
    return sum(stretch.length for stretch in run)


def _distance(a: Run, b: Run) -> float:
    lines = [shapely.multilinestrings([shapely.linestrings(s.middle) for s in run]) for run in (a, b)]
    return float(shapely.distance(*lines))


def joint_of(first: Part, second: Part, run: Run) -> Joint:
    """The joint of two parts, given in the order of their names, along these stretches."""
    apart = [distance for stretch in run for distance in stretch.apart]
    worst = max(run, key=lambda s: (max(map(abs, s.apart)), s.length, s.middle))
    start, end = zip(worst.first, worst.second, strict=True)
    low, high = worst.apart
    even = abs(low - high) < SLIVER
    middle = _mean(*worst.first), _mean(*worst.second)
    return Joint(
        first=first,
        second=second,
        stretches=tuple(run),
        gap=max(0.0, *apart),
        overlap=max(0.0, *(-distance for distance in apart)),
        across=middle if even else start if abs(low) > abs(high) else end,
    )


def _mean(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2

"""From where a finding is looked at: what has to be in sight, and the way to an eye that sees it at its length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding

from .body import Body
from .kinds import Kind
from .signs import Points, Signs
from .solid_mesh import around
from .triple import Triple, triple

_NEAREST, _FARTHEST = 42.0, 180.0
"""mm on each side of what is measured that a close-up shows: it is seen large, and something about it."""

_TIMES = 7.0
"""how many times what is measured is seen to each side."""

_AROUND, _FRAME = 90.0, 320.0
"""mm on each side of a place without marks, where a body is named; and where none is, so that one sees where one is."""

_SHARED = 1.5
"""how far what two things share is seen to each side, against its own reach."""

_PAST = 20.0
"""mm about the marks themselves."""

_PAST_AXIS = 12.0
"""mm; the same where the axis of a screw or of a driver is among them."""

_WAY = 75.0
"""mm about an arrow that stands alone."""

_SEEN = 55.0
"""mm of an axis; the rest of a driver runs out of the picture."""

_OUTWARD = 0.45
"""of the way to the eye that sees a driver from the side: so much along its axis."""

_SQUARE = 0.2
"""cosine; an axis is looked at from the side when it is so nearly square to the line of sight."""

_LYING = 0.75
"""a view this much from above has the frame's normal up in the picture."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Viewpoint:
    """The way `toward` the eye and what is `up` in its picture; `about` (n, 3) mm, hull axes, has to be in sight.

    `faint` lets one see through wood: to the screws in it.
    """

    toward: Triple
    up: Triple
    about: Points
    faint: bool


def viewpoint(finding: Finding, signs: Signs, subjects: Sequence[Body], assembly: Assembly) -> Viewpoint:
    """Where to look at a finding from that has a place; `subjects` are the bodies that it is about."""
    look = _Look(finding, signs, subjects, assembly)
    toward, up = look.toward()
    faint = any(abs(_unit(end - start) @ _unit(toward)) < _SQUARE for start, end in look.ends("screw"))
    return Viewpoint(toward=triple(toward), up=triple(up), about=look.about(), faint=faint)


class _Look:
    def __init__(self, finding: Finding, signs: Signs, subjects: Sequence[Body], assembly: Assembly) -> None:
        assert finding.at is not None
        self.finding, self.signs, self.subjects = finding, signs, subjects
        self.at = np.array(finding.at)
        self.frame = next((frame for frame in assembly.frames if frame.number == finding.frame), None)
        self.normal = np.eye(3)[0]
        if self.frame is not None:
            self.normal = self.frame.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
        self.outboard = 1.0 if self.at[1] >= 0.0 else -1.0
        self.span = None if signs.gap is None else np.subtract(signs.gap[1], signs.gap[0])

    # ---- what has to be in sight

    def about(self) -> Points:
        """(n, 3): what is measured and what lies by it; else all the marks."""
        signs = self.signs
        lines = [*signs.strokes, *signs.inked]
        if signs.gap is None or self.span is None:
            marks = [*self._solids(), *signs.arrows, *lines, *([] if signs.arrows else self._axes())]
            marks += [self.at + _SHARED * (points - self.at) for points in self._shared(self.at)]
            if not marks:
                half = (_AROUND if self.subjects else _FRAME) * _FLAT
                return around([self.at - half, self.at + half])
            moved = [body.points for body in self._moved()]
            return around([*marks, *moved], _PAST if moved or not signs.arrows or lines else _WAY)
        middle, long = np.mean(signs.gap, axis=0), float(np.linalg.norm(self.span))
        shared, axes = [*self._shared(middle)], self._axes()
        near = [*self._solids(), *signs.arrows, *(lines if axes or not self.subjects else ())]
        near = [signs.gap, *(points for points in near if np.abs(points - middle).max() < _FARTHEST)]
        if self.ends("screw") or self.ends(None):
            return around([*near, *axes, *shared], _PAST_AXIS)
        wide = float(np.clip(_TIMES * long, _NEAREST, max(_FARTHEST if self.subjects else _FRAME, 0.75 * long)))
        wide = max([wide, *(_SHARED * float(np.abs(points - middle).max()) for points in shared)])
        return around([middle - wide * _FLAT, middle + wide * _FLAT, *near])

    def _solids(self) -> list[Points]:
        """What is not there and does not run out of the picture."""
        return [] if self.ends(None) else [points for points, _, _ in self.signs.ghosts]

    def _axes(self) -> list[Points]:
        """(2, 3) each: the axes, as much of them as is seen; of a driver and its screw that of the driver."""
        axes = self.ends(None) or [axis.ends for axis in self.signs.axes]
        long = [min(_SEEN, float(np.linalg.norm(end - start))) for start, end in axes]
        return [start + [[0.0], [far]] * _unit(end - start) for (start, end), far in zip(axes, long, strict=True)]

    def _shared(self, middle: Points) -> Iterator[Points]:
        """What two things share; all of it, unless it is large."""
        if self.signs.shared is not None:
            points = self.signs.shared[0]
            near = points[np.all(np.abs(points - middle) < _FARTHEST, axis=1)]
            if len(near):
                yield near

    def _moved(self) -> list[Body]:
        """The bodies that a ghost or an arrow tells of; battens and rails are too long."""
        count = len(self.subjects) if self.signs.ghosts else len(self.signs.arrows[:1])
        return [body for body in self.subjects[:count] if body.kind not in _LONG]

    def ends(self, kind: Kind | None) -> list[Points]:
        """(2, 3) each: the axes of bodies of a kind, or for None of what is not there."""
        return [axis.ends for axis in self.signs.axes if axis.kind == kind]

    # ---- the way to the eye

    def toward(self) -> tuple[Points, Points]:
        """To an eye square to what is measured, so that it is seen at its length; else to the face on which it lies."""
        if any(subject.kind == "board" for subject in self.finding.subjects):
            return self.normal, _UPWARD
        if (beside := self._beside()) is not None:
            return beside
        face = self.normal * self._side()
        outboard = self.outboard * _PORT
        lean = 0.45 * outboard + 0.4 * _UPWARD
        if self.span is not None:
            along = _unit(self.span)
            across = abs(along @ self.normal) < np.sqrt(0.5)
            way = (face if across else outboard) + 0.8 * lean
            return way - along * (way @ along), _UPWARD
        if self.signs.arrows and self.signs.strokes and not any(mark.frame for mark in self.finding.evidence):
            toward = np.cross(*(path[-1] - path[0] for path in (self.signs.strokes[0], self.signs.arrows[0])))
            if toward.any():
                toward = self._upper(_unit(toward), 0.4)
                return toward, _UPWARD if abs(toward[2]) < 0.9 else _PORT
        return face + lean, _UPWARD

    def _beside(self) -> tuple[Points, Points] | None:
        """Square to the plane of two screws, or to that of a driver and what is in its way; None for any other."""
        drivers = self.ends(None)
        screws = [*self.ends("screw"), *drivers]
        if len(screws) < 2 or (self.span is None and self.signs.shared is None):
            return None
        start, axis = screws[0][0], _unit(screws[-1][1] - screws[-1][0])
        aside = [points.mean(axis=0) - start for points in self._shared(self.at)]
        seen = [
            *([] if self.span is None else [self.span]),
            screws[1][0] - start,
            *aside,
            _UPWARD,
            self.outboard * _PORT,
        ]
        across = next(flat for way in seen for flat in [way - axis * (way @ axis)] if np.linalg.norm(flat) > 0.5)
        toward = self._upper(_unit(np.cross(axis, across)), 0.8)
        if drivers:
            toward = _unit(toward + _OUTWARD * axis)
        return toward, self.normal if abs(toward[2]) > _LYING else _UPWARD

    def _upper(self, way: Points, outward: float) -> Points:
        """The way, or the opposite one: the one that goes up and outboard."""
        return way if way @ (0.0, outward * self.outboard, 1.0) >= 0.0 else -way

    def _side(self) -> float:
        """1 for the forward face, -1 for the aft one: that of the parts, or of the core the one at the place."""
        outward = float(sum((np.array(body.outward) for body in self.subjects), np.zeros(3)) @ self.normal)
        if abs(outward) < 1e-9 and self.frame is not None:
            depth = self.frame.placement.to_frame([self.at])[0][2]
            middle = (self.frame.core_low + self.frame.core_high) / 2
            return -1.0 if depth < middle - 0.25 * self.frame.core_thickness else 1.0
        return 1.0 if outward >= 0.0 else -1.0


_FLAT = np.array([0.3, 1.0, 1.0])
"""A frame is thin along the boat."""

_PORT, _UPWARD = np.eye(3)[1:]

_LONG = frozenset({"batten", "rail"})


def _unit(vector: Points) -> Points:
    return np.asarray(vector / np.linalg.norm(vector))

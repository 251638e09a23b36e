"""Marks: what a finding found, as geometry that every display draws. Hull axes, mm; plain frozen values.

A mark that lies in a frame's plane names that `frame`, so that a flat drawing of the frame can show it; any other
leaves it empty. `words` stand beside a mark where it needs a name of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import dist
from typing import TypeAlias

Place: TypeAlias = tuple[float, float, float]
Ring: TypeAlias = tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prism:
    """A flat shape drawn out along `through`: `rings` lie in one plane, the outer one first, then its holes.

    No ring repeats its first point at its end.
    """

    rings: tuple[Ring, ...]
    through: Place

    @property
    def points(self) -> tuple[Place, ...]:
        """Those of all rings, on the side from which it is drawn out."""
        return tuple(place for ring in self.rings for place in ring)


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyhedron:
    """Any other closed solid: its corners, and triangles by the numbers of their corners, seen from outside
    counter-clockwise."""

    corners: tuple[Place, ...]
    triangles: tuple[tuple[int, int, int], ...]

    @property
    def points(self) -> tuple[Place, ...]:
        """The corners."""
        return self.corners


class _Straight:
    """From `start` to `end`."""

    __slots__ = ()
    start: Place
    end: Place

    @property
    def points(self) -> tuple[Place, ...]:
        """Start and end."""
        return self.start, self.end

    @property
    def length(self) -> float:
        """From end to end, mm."""
        return dist(self.start, self.end)


class _Solid:
    """A `solid`."""

    __slots__ = ()
    solid: Prism | Polyhedron

    @property
    def points(self) -> tuple[Place, ...]:
        """Those of the solid."""
        return self.solid.points


@dataclass(frozen=True, slots=True, kw_only=True)
class Span(_Straight):
    """What is measured: the straight line from `start` to `end`."""

    start: Place
    end: Place
    frame: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Region(_Solid):
    """What two things both fill, or what is missing."""

    solid: Prism | Polyhedron
    frame: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line that something should keep to, or breaks; `drawn` where it is one of the drawing and right as it is."""

    points: tuple[Place, ...]
    drawn: bool = False
    frame: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """A slide, a turn or a way: along `points` from the tail to the head."""

    points: tuple[Place, ...]
    frame: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis(_Straight):
    """The axis of something round (a screw, a driver, a dowel, a hole) from `start` to `end`, with its diameter, mm."""

    start: Place
    end: Place
    diameter: float
    frame: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ghost(_Solid):
    """Where a thing should be, or how it was drawn: nothing is there."""

    solid: Prism | Polyhedron
    frame: str = ""
    words: str = ""


Mark: TypeAlias = Span | Region | Line | Arrow | Axis | Ghost

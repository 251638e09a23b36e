"""Where a butt joint ends, and how the outlines of its two parts go on from there. (y, v), mm."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from ...geometry.plane import disc
from .joint import Joint

_ABOUT = 10.0  # mm from the end of a joint at which the way of an outline is taken
_ON = np.pi / 12  # rad; an outline that turns less from the joint's own way on runs on past it
_OFF = np.pi / 6  # rad; an outline that turns less from the joint is the joint's own edge

Floats = NDArray[np.float64]


class JointEnd(NamedTuple):
    """One end of a joint: the ends of both edges, which lie opposite one another; `out` points on along them.

    `way` is the unit direction from the first part into the second.
    """

    joint: Joint
    first: Floats
    second: Floats
    out: Floats
    way: Floats

    def of(self, *, first: bool) -> tuple[Floats, Floats]:
        """The end of the first part's edge, or of the second's, and the direction square to it into that part."""
        return (self.first, -self.way) if first else (self.second, self.way)

    def outline(self, *, first: bool) -> tuple[Floats, Floats]:
        """Which way the outline of the part goes on from this end, and which way is out of its wood there.

        Unit directions, the first from the joint as seen _ABOUT mm off. Where the part runs on past the joint the
        outline goes straight on.
        """
        at, into = self.of(first=first)
        part = self.joint.first if first else self.joint.second
        around = disc(at, 2 * _ABOUT).exterior
        met = shapely.get_coordinates(shapely.intersection(around, part.shape.boundary)) - at
        turns = np.arctan2(met @ into, -(met @ self.out)) % (2 * np.pi)
        turn = np.min(turns[(turns > _OFF) & (turns < np.pi)], initial=np.pi)
        return into * np.sin(turn) - self.out * np.cos(turn), self.out * np.sin(turn) + into * np.cos(turn)

    def is_askew(self, *, first: bool) -> bool:
        """Whether the part's wood goes on beside the end of the joint, but does not run on past it."""
        way, _ = self.outline(first=first)
        return bool(0.0 < way @ self.out < np.cos(_ON))


def ends(joint: Joint) -> tuple[JointEnd, JointEnd]:
    """The two ends of a joint, however many pieces it is in."""
    along = np.array([joint.way[1], -joint.way[0]])
    return _end(joint, along), _end(joint, -along)


def _end(joint: Joint, along: Floats) -> JointEnd:
    reaches = [
        (float(np.dot(point, along)), n, k) for n, s in enumerate(joint.stretches) for k, point in enumerate(s.middle)
    ]
    _, n, k = max(reaches)
    stretch = joint.stretches[n]
    middle = np.array(stretch.middle)
    out = middle[k] - middle[1 - k]
    return JointEnd(
        joint=joint,
        first=np.array(stretch.first[k]),
        second=np.array(stretch.second[k]),
        out=out / np.hypot(*out),
        way=np.array(stretch.way),
    )

"""Outlines as a draughtsman thinks of them: corners with marks, some of them relieved for a round cutter."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

Point = tuple[float, float]
Path = list[tuple[float, float, float]]
"""y, v, and the bulge to the next corner."""


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline, (y, v) mm, and what it belongs to: "chine wall", "joint", "foot"."""

    y: float
    v: float
    mark: str = ""

    @property
    def at(self) -> Point:
        return (self.y, self.v)


@dataclass(kw_only=True)
class Piece:
    """One part as drawn: `what` it is called, `hand` 1 to port, -1 to starboard, 0 across the centreline.

    `kind` is "core", "gusset", "leg inner", "leg outer" or "doubler". `corners` have their wood to the left.
    """

    what: str
    kind: str
    hand: int
    corners: list[Corner]
    at: Point  # where its name is written
    holes: list[Path] = field(default_factory=list)
    relieved: bool = True
    open: float = 0.0  # mm by which its outline is left open
    says: str = ""  # written on it instead of its name

    def marked(self, mark: str, side: int = 0) -> list[Corner]:
        """The corners of this mark, on this side alone if one is named."""
        return [c for c in self.corners if c.mark == mark and c.y * side >= 0]

    def move(self, which: Callable[[Corner], bool], by: Point) -> int:
        """Moves corners; returns how many."""
        hit = [which(c) for c in self.corners]
        self.corners = [
            replace(c, y=c.y + by[0], v=c.v + by[1]) if on else c for c, on in zip(self.corners, hit, strict=True)
        ]
        return sum(hit)

    def path(self, relief: str, radius: float) -> Path:
        """The outline, its inside corners relieved."""
        if not self.relieved:
            return [(c.y, c.v, 0.0) for c in self.corners]
        return relieved(self.corners, relief, radius)

    def mirrored(self) -> Piece:
        """Its twin to starboard."""
        return replace(
            self,
            hand=-self.hand,
            corners=[replace(c, y=-c.y) for c in reversed(self.corners)],
            at=(-self.at[0], self.at[1]),
            holes=[mirrored(hole) for hole in self.holes],
        )


def relieved(corners: Sequence[Corner], kind: str, radius: float) -> Path:
    """The closed outline of these corners, wood to the left, its inside corners relieved.

    A T-bone lies along the edge that comes first on the port side, and its mirror image to starboard.
    """
    out: Path = []
    points = [np.array(c.at, float) for c in corners]
    for n, at in enumerate(points):
        before, after = points[n - 1] - at, points[(n + 1) % len(points)] - at
        turn = -before[0] * after[1] + before[1] * after[0]
        into, on = before / np.hypot(*before), after / np.hypot(*after)
        angle = np.arccos(np.clip(into @ on, -1, 1))
        if turn >= -1e-9 or angle > np.radians(150):
            out.append((*at, 0.0))
        elif kind == "tbone":
            arc = [(*(at + into * 2 * radius), -1.0), (*at, 0.0)]
            out += arc if corners[n].y > 0 else [(*at, -1.0), (*(at + on * 2 * radius), 0.0)]
        else:  # through the corner
            reach = 2 * radius * np.cos(angle / 2)
            out += [(*(at + into * reach), -np.tan((np.pi - angle) / 2)), (*(at + on * reach), 0.0)]
    return out


def mirrored(path: Path) -> Path:
    """The mirror image, wood to the left again."""
    return [(-y, v, path[n - 1][2]) for n, (y, v, _) in enumerate(path)][::-1]


def both_halves(port: Sequence[Corner]) -> list[Corner]:
    """The whole outline of its port half, which begins at the centreline and ends there."""
    inner = [c for c in port if c.y > 1e-9]
    return [*inner, *(replace(c, y=-c.y) for c in reversed(inner))]


def circle(at: Point, radius: float) -> Path:
    """Two half circles."""
    return [(at[0] - radius, at[1], 1.0), (at[0] + radius, at[1], 1.0)]


def without_straight(corners: Sequence[Corner]) -> list[Corner]:
    """The corners without those in the middle of a straight edge."""
    out = []
    for n, c in enumerate(corners):
        a, b = corners[n - 1], corners[(n + 1) % len(corners)]
        cross = (c.y - a.y) * (b.v - c.v) - (c.v - a.v) * (b.y - c.y)
        if abs(cross) > 1e-6:
            out.append(c)
    return out

"""Closed outlines of lines and true arcs, in the plane."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import SAGITTA

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A closed chain of line and arc segments.

    `points` (n, 2) float64, mm: the corners in order, the last joined to the first, not repeated.
    `bulges` (n,): of the segment from corner i to corner i + 1, the tangent of a quarter of its
    included angle, positive where the arc turns counter-clockwise (the DXF convention); 0 is a line.
    """

    points: Points
    bulges: NDArray[np.float64]

    @classmethod
    def of(cls, points: Iterable[Iterable[float]], bulges: Iterable[float] | None = None) -> Outline:
        """An outline of these corners; straight where no bulges are given."""
        corners = np.array([tuple(p) for p in points], dtype=np.float64).reshape(-1, 2)
        curves = np.zeros(len(corners)) if bulges is None else np.array(list(bulges), dtype=np.float64)
        if len(curves) != len(corners):
            raise ValueError(f"one bulge a corner is wanted ({len(corners)} corners, {len(curves)} bulges)")
        corners.setflags(write=False)
        curves.setflags(write=False)
        return cls(points=corners, bulges=curves)

    @classmethod
    def circle(cls, centre: tuple[float, float], radius: float) -> Outline:
        """A full circle, counter-clockwise, as two half turns."""
        y, z = centre
        return cls.of([(y - radius, z), (y + radius, z)], [1.0, 1.0])

    def flattened(self, sagitta: float = SAGITTA) -> Points:
        """The outline as corners only, (m, 2): arcs become chords whose ends lie on the circle."""
        if not self.bulges.any():
            return self.points
        pieces: list[Points] = []
        following = np.roll(self.points, -1, axis=0)
        for start, end, bulge in zip(self.points, following, self.bulges, strict=True):
            pieces.append(start[None, :] if bulge == 0.0 else _arc(start, end, float(bulge), sagitta))
        return np.concatenate(pieces)

    def polygon(self, sagitta: float = SAGITTA) -> shapely.Polygon:
        """The flattened outline as a polygon; not checked for crossing itself."""
        return shapely.Polygon(self.flattened(sagitta))

    def radii(self) -> NDArray[np.float64]:
        """The true radius of every segment, (n,), mm; infinite for lines."""
        chords = np.linalg.norm(np.roll(self.points, -1, axis=0) - self.points, axis=1)
        with np.errstate(divide="ignore"):
            return np.where(
                self.bulges == 0.0,
                np.inf,
                chords * (1 + self.bulges**2) / (4 * np.abs(np.where(self.bulges == 0, 1, self.bulges))),
            )

    def mirrored(self) -> Outline:
        """The mirror image across the centreline (y to -y), still turning the way it did."""
        points = self.points[::-1] * (-1.0, 1.0)
        # reversing flips every bulge, mirroring flips it back; segment i now starts at old corner n-1-i
        return Outline.of(points, np.roll(self.bulges[::-1], -1))

    def moved(self, offset: tuple[float, float]) -> Outline:
        """The outline shifted by `offset`, mm."""
        return Outline.of(self.points + np.asarray(offset), self.bulges)

    def turned(self, angle: float) -> Outline:
        """The outline turned counter-clockwise about the origin by `angle`, radians."""
        c, s = np.cos(angle), np.sin(angle)
        return Outline.of(self.points @ np.array([[c, s], [-s, c]]), self.bulges)


def _arc(start: Points, end: Points, bulge: float, sagitta: float) -> Points:
    """Points on the arc from `start` (included) to `end` (left out)."""
    chord = end - start
    length = float(np.hypot(*chord))
    angle = 4.0 * np.arctan(bulge)
    radius = length * (1 + bulge * bulge) / (4 * abs(bulge))
    normal = np.array([-chord[1], chord[0]]) / length
    centre = (start + end) / 2 + normal * (length * (1 - bulge * bulge) / (4 * bulge))
    # by the sine of a quarter of the angle: its cosine is 1 for arcs that are nearly straight
    widest = 4.0 * np.arcsin(np.sqrt(min(sagitta / (2.0 * radius), 0.5)))
    count = max(1, int(np.ceil(abs(angle) / widest)))
    turns = angle * np.arange(count) / count
    arm = start - centre
    c, s = np.cos(turns), np.sin(turns)
    out = centre + np.stack([c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]], axis=1)
    out[0] = start
    return np.asarray(out, dtype=np.float64)

"""Closed outlines of lines and true arcs, in the plane."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import SAGITTA

from .plane import mirrored_points

Points = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
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
        """The outline as corners only, (m, 2), read-only: arcs become chords whose ends lie on the circle."""
        return self._usual if sagitta == SAGITTA else self._flat(sagitta)

    @cached_property
    def _usual(self) -> Points:
        flat = self._flat(SAGITTA)
        flat.setflags(write=False)
        return flat

    def _flat(self, sagitta: float) -> Points:
        if not self.bulges.any():
            return self.points
        corners, out = self.points.tolist(), []
        for start, end, bulge in zip(corners, corners[1:] + corners[:1], self.bulges.tolist(), strict=True):
            out.append(start)
            if bulge:
                out += _within_arc(start, end, bulge, sagitta)
        return np.array(out)

    def count_flattened(self) -> int:
        """How many corners it has when it is flattened, or a few more, told without flattening it."""
        curved = np.flatnonzero(self.bulges)
        if not len(curved):
            return len(self.points)
        bulges = np.abs(self.bulges[curved])
        widest = 4.0 * np.arcsin(np.sqrt(np.minimum(SAGITTA / (2.0 * self.radii()[curved]), 0.5)))
        return len(self.points) + int((4.0 * np.arctan(bulges) / np.maximum(widest, 1e-9)).sum())

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
        points = mirrored_points(self.points[::-1])
        # reversing flips every bulge, mirroring flips it back; segment i now starts at old corner n-1-i
        return Outline.of(points, np.roll(self.bulges[::-1], -1))

    def moved(self, offset: tuple[float, float]) -> Outline:
        """The outline shifted by `offset`, mm."""
        return Outline.of(self.points + np.asarray(offset), self.bulges)

    def turned(self, angle: float) -> Outline:
        """The outline turned counter-clockwise about the origin by `angle`, radians."""
        c, s = np.cos(angle), np.sin(angle)
        return Outline.of(self.points @ np.array([[c, s], [-s, c]]), self.bulges)


def _within_arc(start: list[float], end: list[float], bulge: float, sagitta: float) -> list[list[float]]:
    """Points on the arc from `start` to `end`, both left out."""
    chord_y, chord_z = end[0] - start[0], end[1] - start[1]
    length = math.hypot(chord_y, chord_z)
    if length == 0.0:
        return []
    radius = length * (1 + bulge * bulge) / (4 * abs(bulge))
    # by the sine of a quarter of the angle: its cosine is 1 for arcs that are nearly straight
    widest = 4.0 * math.asin(math.sqrt(min(sagitta / (2.0 * radius), 0.5)))
    angle = 4.0 * math.atan(bulge)
    count = math.ceil(abs(angle) / widest)
    lift = (1 - bulge * bulge) / (4 * bulge)
    centre_y = (start[0] + end[0]) / 2 - chord_z * lift
    centre_z = (start[1] + end[1]) / 2 + chord_y * lift
    arm_y, arm_z = start[0] - centre_y, start[1] - centre_z
    out = []
    for n in range(1, count):
        c, s = math.cos(angle * n / count), math.sin(angle * n / count)
        out.append([centre_y + c * arm_y - s * arm_z, centre_z + s * arm_y + c * arm_z])
    return out

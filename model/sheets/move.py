"""A rigid move in the plane, by which a shape on a sheet comes to lie on a part."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from .stack import Complexes


class RigidMotion(NamedTuple):
    """Turned, perhaps turned `over`, and shifted: z -> turn z + shift, or turn conj(z) + shift."""

    turn: complex
    shift: complex
    over: bool

    def of(self, points: Complexes) -> Complexes:
        """The points u + iv moved."""
        return np.asarray(self.turn * (points.conj() if self.over else points) + self.shift)

    def back(self, point: tuple[float, float]) -> tuple[float, float]:
        """Where a point comes from."""
        there = (complex(*point) - self.shift) / self.turn
        return there.real, -there.imag if self.over else there.imag

    def shape(self, region: shapely.Geometry) -> shapely.Geometry:
        """A region moved."""

        def moved(points: np.ndarray) -> np.ndarray:
            there = self.of(points[:, 0] + 1j * points[:, 1])
            return np.column_stack([there.real, there.imag])

        return shapely.transform(region, moved)

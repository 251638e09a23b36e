"""Where a frame stands: from its own plane to hull axes and back.

Frame coordinates are (y, v, w), mm: y to port, v up in the plane of the frame from the point where
that plane meets the datum plane on the centreline, w forward along the frame's normal from the face
or middle that stands on the station.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A station x (mm, measured on the datum plane) and a rake (radians, positive: the top leans aft)."""

    station: float
    rake: float = 0.0

    @property
    def matrix(self) -> NDArray[np.float64]:
        """(4, 4) float64: takes (y, v, w, 1) to (x, y, z, 1). A rigid move, right-handed to right-handed."""
        c, s = np.cos(self.rake), np.sin(self.rake)
        return np.array([[0, -s, c, self.station], [1, 0, 0, 0], [0, c, s, 0], [0, 0, 0, 1]], dtype=np.float64)

    def to_hull(self, points: ArrayLike) -> NDArray[np.float64]:
        """(n, 3) frame coordinates (y, v, w) to (n, 3) hull axes (x, y, z), mm."""
        m = self.matrix
        return np.asarray(np.asarray(points, dtype=np.float64) @ m[:3, :3].T + m[:3, 3])

    def to_frame(self, points: ArrayLike) -> NDArray[np.float64]:
        """(n, 3) hull axes (x, y, z) to (n, 3) frame coordinates (y, v, w), mm."""
        m = self.matrix
        return np.asarray((np.asarray(points, dtype=np.float64) - m[:3, 3]) @ m[:3, :3])

    def vector_to_hull(self, vectors: ArrayLike) -> NDArray[np.float64]:
        """(n, 3) directions in frame coordinates to (n, 3) directions in hull axes."""
        return np.asarray(np.asarray(vectors, dtype=np.float64) @ self.matrix[:3, :3].T)

    def vector_to_frame(self, vectors: ArrayLike) -> NDArray[np.float64]:
        """(n, 3) directions in hull axes to (n, 3) directions in frame coordinates."""
        return np.asarray(np.asarray(vectors, dtype=np.float64) @ self.matrix[:3, :3])

    def point(self, y: float, v: float, w: float = 0.0) -> tuple[float, float, float]:
        """One point of the frame in hull axes, for a finding."""
        x, hy, z = self.to_hull([[y, v, w]])[0]
        return float(x), float(hy), float(z)

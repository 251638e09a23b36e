"""Hatching: lines across a shape."""

from __future__ import annotations

import numpy as np
import shapely


def hatching(shape: shapely.Geometry, angle: float, apart: float) -> shapely.Geometry:
    """Lines across a shape at `angle` degrees, so far `apart`; they lie alike in neighbouring shapes."""
    if shape.is_empty:
        return shape
    turn = np.radians(angle)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    corners = shapely.get_coordinates(shape)
    near, far = corners @ across, corners @ along
    rows = apart * np.arange(np.ceil(near.min() / apart), np.floor(near.max() / apart) + 1)
    lines = [(far.min() * along + row * across, far.max() * along + row * across) for row in rows]
    return shapely.intersection(shapely.multilinestrings(shapely.linestrings(lines)), shape) if lines else _NONE


_NONE = shapely.MultiLineString()

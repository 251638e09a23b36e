"""How large a part is over all: by what one tells it in a pile."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from ...boat.part import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSize:
    """A part by `name`: the sides of the least box about its outline as drawn, and its sheet's `thickness`, mm."""

    name: str
    stock: str
    thickness: float
    length: float
    breadth: float


def part_size(part: Part) -> PartSize:
    """How large this part is."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(part.drawn_shape).exterior.coords)
    breadth, length = sorted(np.hypot(*np.diff(corners[:3], axis=0).T).tolist())
    return PartSize(name=part.name, stock=part.stock, thickness=part.thickness, length=length, breadth=breadth)

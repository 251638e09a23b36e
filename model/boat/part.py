"""A part: one piece of plywood of a frame, in the frame's plane at its true thickness."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import shapely

from scrieve.shared.findings import Source
from scrieve.shared.kept import kept

from ..geometry.outline import Outline

Face = Literal["core", "forward", "aft"]
Role = Literal["core", "gusset", "leg", "plate"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """A prism: `shape` in frame coordinates (y, v), mm, from `low` to `high` along the frame's normal w.

    `name` is unique in the boat ("F5 port sheer gusset, forward"), `label` is what the drawing says.
    `drawn` is the outline as drawn and `holes` the cut-outs inside it, `shape` all of it as cut.
    """

    name: str
    label: str
    frame: str
    role: Role
    face: Face
    stock: str
    density: float
    drawn: Outline
    shape: shapely.Polygon
    low: float
    high: float
    source: Source
    holes: tuple[Outline, ...] = ()

    @cached_property
    def drawn_shape(self) -> shapely.Polygon:
        """The outline as drawn, holes taken out, flattened."""
        return drawn_polygon(self.drawn, self.holes)

    @cached_property
    def _bounds(self) -> tuple[float, float, float, float]:
        shapely.prepare(self.shape)  # asked about many axes
        left, bottom, right, top = self.shape.bounds
        return left, bottom, right, top

    def is_under(self, axis: shapely.Point, y: float, v: float) -> bool:
        """Whether the part as cut, its edge included, holds the axis of a screw at (y, v), mm."""
        left, bottom, right, top = self._bounds
        return left <= y <= right and bottom <= v <= top and bool(shapely.intersects(self.shape, axis))

    @property
    def thickness(self) -> float:
        """mm, along the frame's normal."""
        return self.high - self.low

    @property
    def volume(self) -> float:
        """mm3: area as cut times thickness."""
        return float(self.shape.area) * self.thickness

    @property
    def mass(self) -> float:
        """kg; 0 where the stock has no density."""
        return self.volume * self.density * 1e-9

    @property
    def side(self) -> Literal["port", "starboard", "centre"]:
        """Which side of the centreline the part lies on; `centre` if it reaches over by 1 mm or more."""
        left, _, right, _ = self.shape.bounds
        if left > -1.0:
            return "port"
        return "starboard" if right < 1.0 else "centre"


@kept
def drawn_polygon(drawn: Outline, holes: tuple[Outline, ...]) -> shapely.Polygon:
    """What an outline encloses with these holes taken out, flattened."""
    return shapely.Polygon(drawn.flattened(), [hole.flattened() for hole in holes])

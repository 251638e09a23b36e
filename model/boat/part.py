"""A part: one piece of plywood of a frame, in the frame's plane at its true thickness."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely

from scrieve.shared.findings import Source
from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT

from ..geometry.outline import Outline
from .pocket import Pocket, PocketFace

Face = Literal["core", "forward", "aft"]
Role = Literal["core", "gusset", "leg", "plate"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """A prism less its `pockets`: `shape` in frame coordinates (y, v), mm, from `low` to `high` along the normal w.

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
    pockets: tuple[Pocket, ...] = ()

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
        """mm, along the frame's normal; of the sheet that it is cut from."""
        return self.high - self.low

    def floor(self, pocket: Pocket) -> float:
        """The depth w down to which one of its pockets is cut, mm."""
        return self.high - pocket.depth if pocket.face == "forward" else self.low + pocket.depth

    def beside(self, pocket: Pocket) -> Part:
        """What of it lies beside one of its pockets, from that one's floor to the face, as if it had none."""
        low, high = sorted((self.floor(pocket), self.high if pocket.face == "forward" else self.low))
        return replace(self, low=low, high=high, pockets=())

    def between(self, low: float, high: float) -> shapely.Geometry:
        """Where its wood as cut goes all the way from `low` to `high`, (y, v)."""
        gone = [pocket.shape for pocket in self.pockets_between(low, high)]
        return shapely.difference(self.shape, shapely.union_all(gone)) if gone else self.shape

    def span_at(self, at: tuple[float, float]) -> tuple[float, float]:
        """From where to where along w its wood goes at a place (y, v) within its outline, mm."""
        if not self.pockets:
            return self.low, self.high
        here = [pocket for pocket in self.pockets if shapely.intersects_xy(pocket.shape, *at)]
        low = max((self.floor(pocket) for pocket in here if pocket.face == "aft"), default=self.low)
        return low, min((self.floor(pocket) for pocket in here if pocket.face == "forward"), default=self.high)

    @cached_property
    def prisms(self) -> tuple[Part, ...]:
        """Parts without pockets that together fill it, and may overlap; itself where it has no pocket.

        Each is the whole of its wood between two depths, in pieces: what fits into the part fits into one of them.
        """
        return tuple(self._prisms()) if self.pockets else (self,)

    def _prisms(self) -> Iterator[Part]:
        lows = {self.low, *(self.floor(pocket) for pocket in self.pockets if pocket.face == "aft")}
        highs = {self.high, *(self.floor(pocket) for pocket in self.pockets if pocket.face == "forward")}
        own = {field.name: getattr(self, field.name) for field in fields(self)} | {"pockets": ()}
        for low, high in sorted((low, high) for low in lows for high in highs if high - low > COINCIDENT):
            gone = [pocket.drawn_shape for pocket in self.pockets_between(low, high)]
            drawn = shapely.difference(self.drawn_shape, shapely.union_all(gone))
            for piece in shapely.get_parts(self.between(low, high)):
                if piece.geom_type == "Polygon" and 2 * piece.area > COINCIDENT * piece.length:
                    yield _PartPrism(**own | {"shape": piece, "low": low, "high": high}, as_drawn=drawn)

    @cached_property
    def slices(self) -> tuple[tuple[float, float, shapely.Geometry], ...]:
        """Its wood from face to face: from which depth to which, mm, and its outline as cut between them, (y, v)."""
        depths = sorted({self.low, self.high, *map(self.floor, self.pockets)})
        return tuple((a, b, self.between(a, b)) for a, b in pairwise(depths))

    def surfaces(self, face: PocketFace) -> tuple[tuple[float, shapely.Geometry], ...]:
        """What is seen of it from a face: the depth w of each level, the face itself first, and where it is, (y, v)."""
        own = sorted((pocket for pocket in self.pockets if pocket.face == face), key=lambda pocket: -pocket.depth)
        deeper: shapely.Geometry = shapely.Polygon()
        found = []
        for pocket in own:
            found.append((self.floor(pocket), shapely.difference(pocket.shape, deeper)))
            deeper = shapely.union(deeper, pocket.shape)
        whole = shapely.difference(self.shape, deeper) if own else self.shape
        return (self.high if face == "forward" else self.low, whole), *reversed(found)

    def pockets_between(self, low: float, high: float) -> list[Pocket]:
        """The pockets that are cut into what lies from `low` to `high`, mm along w."""
        return [
            pocket
            for pocket in self.pockets
            for floor in [self.floor(pocket)]
            if (floor < high - COINCIDENT if pocket.face == "forward" else floor > low + COINCIDENT)
        ]

    @property
    def volume(self) -> float:
        """mm3: area as cut times thickness, less what is cut out of its faces."""
        return sum(float(shape.area) * (high - low) for low, high, shape in self.slices)

    @property
    def centre(self) -> tuple[float, float]:
        """The middle of its volume, (y, v), mm; of its outline where pockets leave nothing."""
        wood = [each for each in self.slices if each[2].area > 0.0] or [(0.0, 1.0, self.shape)]
        weights = np.array([float(shape.area) * (high - low) for low, high, shape in wood])
        y, v = (weights @ shapely.get_coordinates([shape.centroid for _, _, shape in wood]) / weights.sum()).tolist()
        return y, v

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


@dataclass(frozen=True, kw_only=True, eq=False)
class _PartPrism(Part):
    """Wood of a part with pockets that goes from face to face; `as_drawn`: all of the part between these depths."""

    as_drawn: shapely.Geometry

    @cached_property
    def drawn_shape(self) -> shapely.Geometry:
        """As drawn, flattened."""
        return self.as_drawn


@kept
def drawn_polygon(drawn: Outline, holes: tuple[Outline, ...]) -> shapely.Polygon:
    """What an outline encloses with these holes taken out, flattened."""
    return shapely.Polygon(drawn.flattened(), [hole.flattened() for hole in holes])

"""The outer line of one frame, and the inner line at the depths of its members. Port half; (y, v), mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from scrieve.shared.errors import DraftError

from .shape import FAR, Circle, Vector, crossing, left_of, polygon, unit, vector


@dataclass(frozen=True, kw_only=True, eq=False)
class FrameLines:
    """The corners of a frame's outer line going up: keel, chine, perhaps upper chine, sheer.

    `deck` is the circle of the deck's camber, None for a flat one. `depths` go with the panels from
    corner to corner (bottom, then sides), `beam_depth` is that of the deck beam. `floor_top` says whether
    the floor's upper edge follows the bottom or is level, `floor_depth` high above the keel.
    """

    frame: str
    corners: tuple[Vector, ...]
    deck: Circle | None
    depths: tuple[float, ...]
    beam_depth: float
    level_floor: bool

    @property
    def keel(self) -> Vector:
        """The corner on the centreline."""
        return self.corners[0]

    @property
    def sheer(self) -> Vector:
        """The uppermost corner."""
        return self.corners[-1]

    def along(self, panel: int) -> Vector:
        """The unit direction of a panel, up or outboard; the hull's inside lies to its left."""
        return unit(self.corners[panel + 1] - self.corners[panel])

    def length(self, panel: int) -> float:
        """The length of a panel, mm."""
        return float(np.hypot(*(self.corners[panel + 1] - self.corners[panel])))

    def inner_line(self, panel: int) -> tuple[Vector, Vector]:
        """A point and the direction of a panel's inner line."""
        if panel == 0 and self.level_floor:
            return self.keel + vector(0.0, self.depths[0]), vector(1.0, 0.0)
        along = self.along(panel)
        return self.corners[panel] + left_of(along) * self.depths[panel], along

    @cached_property
    def inner(self) -> tuple[Vector, ...]:
        """Inner corners below the sheer, centreline first. Raises DraftError where lines run parallel."""
        out = [self._cross(self.inner_line(0), (vector(0.0, 0.0), vector(0.0, 1.0)), "keel")]
        for panel in range(1, len(self.depths)):
            out.append(self._cross(self.inner_line(panel - 1), self.inner_line(panel), "chine"))
        return tuple(out)

    def _cross(self, one: tuple[Vector, Vector], other: tuple[Vector, Vector], where: str) -> Vector:
        point = crossing(*one, *other)
        if point is None:
            raise DraftError.at(f"frame {self.frame}: two panels meet in one line at the {where}, no corner is left")
        return point

    @cached_property
    def inner_deck(self) -> Circle | None:
        """The circle of the deck beam's lower edge. Raises DraftError where the beam is deeper than the hull."""
        if self.deck is None:
            return None
        if self.beam_depth >= min(self.sheer[1] - self.keel[1], self.deck.radius):
            raise DraftError.at(f"frame {self.frame}: the deck beam is deeper than the hull; make beam_depth smaller")
        return Circle(centre=self.deck.centre, radius=self.deck.radius - self.beam_depth)

    @cached_property
    def inner_sheer(self) -> Vector:
        """The corner between the side and the deck beam."""
        point, along = self.inner_line(len(self.depths) - 1)
        if self.inner_deck is None:
            return self._cross(
                (point, along), (vector(0.0, self.sheer[1] - self.beam_depth), vector(1.0, 0.0)), "sheer"
            )
        away = point - self.inner_deck.centre
        half = float(away @ along)
        root = half**2 - float(away @ away) + self.inner_deck.radius**2
        if root <= 0:
            raise DraftError.at(f"frame {self.frame}: the deck beam's lower edge does not meet the side")
        return np.asarray(point + along * (-half + np.sqrt(root)))

    def sheer_end(self) -> Vector:
        """Where the side's inner line meets the level of the sheer: the inner corner of an open frame's side end."""
        point, along = self.inner_line(len(self.depths) - 1)
        return self._cross((point, along), (vector(0.0, self.sheer[1]), vector(1.0, 0.0)), "sheer")

    def deck_line(self) -> list[Vector]:
        """The upper edge from the port sheer to the starboard one, ends included."""
        return self._across(self.deck, self.sheer)

    def beam_line(self) -> list[Vector]:
        """The deck beam's lower edge from port to starboard inner corner."""
        return self._across(self.inner_deck, self.inner_sheer)

    @staticmethod
    def _across(circle: Circle | None, port: Vector) -> list[Vector]:
        starboard = port * (-1.0, 1.0)
        if circle is None:
            return [port, starboard]
        start = circle.angle_of(port)
        return [port, *circle.arc(start, np.pi - start)[1:-1], starboard]

    @cached_property
    def outer(self) -> shapely.Polygon:
        """All within the outer line, notches not taken out."""
        starboard = [corner * (-1.0, 1.0) for corner in reversed(self.corners[1:-1])]
        return polygon([*self.corners[:-1], *self.deck_line(), *starboard])

    def beyond_keel(self) -> shapely.Polygon:
        """The port half of the plane."""
        return polygon([(0, -FAR), (FAR, -FAR), (FAR, FAR), (0, FAR)])

    def circles(self) -> list[Circle]:
        """The circles of its deck."""
        return [circle for circle in (self.deck, self.inner_deck) if circle is not None]


def deck_circle(sheer: Vector, radius: float | None) -> Circle | None:
    """The circle of a deck of this radius over a sheer point to port; None for a flat deck.

    Raises ValueError where the deck is wider than the circle.
    """
    if radius is None:
        return None
    if radius <= sheer[0]:
        raise ValueError("a deck is wider than the circle of its camber")
    return Circle(centre=(0.0, float(sheer[1] - np.sqrt(radius**2 - sheer[0] ** 2))), radius=radius)

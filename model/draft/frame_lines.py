"""The outer line of one frame, and the inner line at the depths of its members. Port half; (y, v), mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from ..geometry.plane import mirrored_points
from .refusal import BEAM, BOARD, FLOOR, SIDE, DraftRefused
from .shape import Circle, Vector, crossing, left_of, polygon, unit, vector

CORNER = np.radians(165.0)
"""Panels that turn less than 15 degrees make no corner for two members to meet in. Common practice, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FrameLines:
    """The points of a frame's outer line going up: keel, chine, perhaps upper chine, sheer.

    `joints` are the numbers of those where two members meet, keel and sheer among them; at the others, a chine
    flat's or a knuckle that fades out, one member runs on. A panel goes from joint to joint. `deck` is the
    circle of the deck's camber, None for a flat one. `depths` go with the panels from joint to joint (bottom,
    then sides), `beam_depth` is that of the deck beam. `floor_top` says whether the floor's upper edge follows
    the bottom or is level, `floor_depth` high above the keel.
    """

    frame: str
    points: tuple[Vector, ...]
    joints: tuple[int, ...]
    deck: Circle | None
    depths: tuple[float, ...]
    beam_depth: float
    level_floor: bool

    @cached_property
    def corners(self) -> tuple[Vector, ...]:
        """The points where members meet, ends included."""
        return tuple(self.points[n] for n in self.joints)

    def stretch(self, panel: int) -> tuple[Vector, ...]:
        """The outer line of a panel, from joint to joint."""
        return self.points[self.joints[panel] : self.joints[panel + 1] + 1]

    @property
    def keel(self) -> Vector:
        """The corner on the centreline."""
        return self.corners[0]

    @property
    def sheer(self) -> Vector:
        """The uppermost corner."""
        return self.corners[-1]

    def along(self, panel: int) -> Vector:
        """The unit direction from end to end of a panel, up or outboard; the hull's inside lies to its left."""
        return unit(self.corners[panel + 1] - self.corners[panel])

    def length(self, panel: int) -> float:
        """The length of a panel, mm."""
        return float(np.hypot(*(self.corners[panel + 1] - self.corners[panel])))

    def inner_line(self, panel: int) -> tuple[Vector, Vector]:
        """A point and the direction of a panel's inner line."""
        if panel == 0 and self.level_floor:
            return self.keel + vector(0.0, self.depths[0]), vector(1.0, 0.0)
        along = self.along(panel)
        hollow = max(float((point - self.corners[panel]) @ left_of(along)) for point in self.stretch(panel))
        return self.corners[panel] + left_of(along) * (self.depths[panel] + hollow), along

    @cached_property
    def inner(self) -> tuple[Vector, ...]:
        """Inner corners below the sheer, centreline first. Raises DraftRefused where lines run parallel."""
        out = [self._cross(self.inner_line(0), (vector(0.0, 0.0), vector(0.0, 1.0)), "keel")]
        for panel in range(1, len(self.depths)):
            out.append(self._cross(self.inner_line(panel - 1), self.inner_line(panel), "chine"))
        return tuple(out)

    def _cross(self, one: tuple[Vector, Vector], other: tuple[Vector, Vector], where: str) -> Vector:
        point = crossing(*one, *other)
        if point is None:
            raise DraftRefused(f"two panels meet in one line at the {where}, no corner is left", SIDE, FLOOR, BOARD)
        return point

    @cached_property
    def inner_deck(self) -> Circle | None:
        """The circle of the deck beam's lower edge. Raises DraftRefused where the beam is deeper than the hull."""
        if self.deck is None:
            return None
        if self.beam_depth >= min(self.sheer[1] - self.keel[1], self.deck.radius):
            raise DraftRefused("the deck beam is deeper than the hull", BEAM, BOARD)
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
            raise DraftRefused("the deck beam's lower edge does not meet the side", BEAM, SIDE, BOARD)
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
        starboard = mirrored_points(port)
        if circle is None:
            return [port, starboard]
        start = circle.angle_of(port)
        return [port, *circle.arc(start, np.pi - start)[1:-1], starboard]

    @cached_property
    def outer(self) -> shapely.Polygon:
        """All within the outer line, notches not taken out."""
        starboard = [mirrored_points(point) for point in reversed(self.points[1:-1])]
        return polygon([*self.points[:-1], *self.deck_line(), *starboard])

    def circles(self) -> list[Circle]:
        """The circles of its deck."""
        return [circle for circle in (self.deck, self.inner_deck) if circle is not None]


def beside(points: Sequence[Vector], at: int, least: float) -> tuple[Vector, Vector] | None:
    """From a point of a frame's outer line to the next below and above that are `least` mm off; None without such.

    Below the keel lies the starboard side.
    """
    ways = [point - points[at] for point in points]
    above = [way for way in ways[at + 1 :] if np.hypot(*way) >= least]
    below = [way for way in reversed(ways[:at]) if np.hypot(*way) >= least]
    if at == 0:
        below = [mirrored_points(way) for way in above]
    return (below[0], above[0]) if below and above else None


def inside_angle(sides: tuple[Vector, Vector]) -> float:
    """The angle inside the hull between the lines below and above a point, radians."""
    below, above = (unit(side) for side in sides)
    # counter-clockwise from the upper edge round the inside of the hull to the lower one
    return float(np.arctan2(above[0] * below[1] - above[1] * below[0], above @ below)) % (2 * np.pi)


def joints_of(points: Sequence[Vector], *, shortest: float) -> tuple[int, ...]:
    """The numbers of the points where members are to meet: the ends, and what is corner enough.

    Of two with less than `shortest` mm between them the lower one is run past where the panel between lies nearer
    level than upright, as a chine flat does; else the upper one.
    """
    inner = range(1, len(points) - 1)
    sides = {n: beside(points, n, 1.0) for n in inner}
    angles = {n: np.pi if side is None else inside_angle(side) for n, side in sides.items()}
    sharp = [n for n in inner if angles[n] < CORNER] or [min(inner, key=lambda n: angles[n])]
    if len(sharp) == 2:
        across, up = np.abs(points[2] - points[1])
        if np.hypot(across, up) < shortest:
            sharp = sharp[1:] if across > up else sharp[:1]
    return (0, *sharp, len(points) - 1)


def deck_circle(sheer: Vector, radius: float | None) -> Circle | None:
    """The circle of a deck of this radius over a sheer point to port; None for a flat deck.

    Raises ValueError where the deck is wider than the circle.
    """
    if radius is None:
        return None
    if radius <= sheer[0]:
        raise ValueError("a deck is wider than the circle of its camber")
    return Circle(centre=(0.0, float(sheer[1] - np.sqrt(radius**2 - sheer[0] ** 2))), radius=radius)

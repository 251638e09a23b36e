"""The sides from which a boat is looked at, and the camera that looks from each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .triple import Triple, triple

Side = Literal[
    "quarter", "bow", "starboard-quarter", "starboard-bow", "port", "starboard", "aft", "forward", "above", "below"
]
SIDES: tuple[Side, ...] = get_args(Side)

_UP = (0.0, 0.0, 1.0)
FROM: Mapping[Side, tuple[Triple, Triple]] = MappingProxyType(
    {
        "quarter": ((-0.78, 0.62, 0.42), _UP),
        "bow": ((0.78, 0.62, 0.42), _UP),
        "starboard-quarter": ((-0.78, -0.62, 0.42), _UP),
        "starboard-bow": ((0.78, -0.62, 0.42), _UP),
        "port": ((0.0, 1.0, 0.0), _UP),
        "starboard": ((0.0, -1.0, 0.0), _UP),
        "aft": ((-1.0, 0.0, 0.0), _UP),
        "forward": ((1.0, 0.0, 0.0), _UP),
        "above": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
        "below": ((0.0, 0.0, -1.0), (0.0, -1.0, 0.0)),
    }
)
"""Where from, and what is up in the picture. Above and below show the bow on the right."""

ANGLE = 24.0
"""degrees; the height of what the camera sees. Narrow, so that straight edges look straight."""

MARGIN = 0.03
"""of the picture, left free at each of its edges."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """How much of the picture is kept free at its edges, as shares of its width and height."""

    left: float = MARGIN
    right: float = MARGIN
    top: float = MARGIN
    bottom: float = MARGIN


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where a camera stands, what it looks at, what is up; hull axes, mm. Two alike show the same picture.

    `height` is how much of the boat the picture is high where all lines of sight are parallel, mm; 0 where
    they meet in the eye.
    """

    position: Triple
    target: Triple
    up: Triple
    height: float = 0.0

    def apply(self, plotter: Any) -> None:
        """Puts the plotter's camera there."""
        camera = plotter.camera
        camera.view_angle = ANGLE
        camera.parallel_projection = self.height > 0.0
        if self.height:
            camera.parallel_scale = self.height / 2
        camera.position, camera.focal_point, camera.up = self.position, self.target, self.up
        plotter.renderer.ResetCameraClippingRange()

    @classmethod
    def of(cls, plotter: Any) -> View:
        """Where the plotter's camera is now."""
        camera = plotter.camera
        return cls(
            position=triple(camera.position),
            target=triple(camera.focal_point),
            up=triple(camera.up),
            height=2 * camera.parallel_scale if camera.parallel_projection else 0.0,
        )

    def axes(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Unit vectors, hull axes: to the right of the picture, up in it, and out of it towards the eye."""
        return _axes(np.subtract(self.position, self.target), self.up)

    def height_at_target(self) -> float:
        """How much of the boat the picture is high at the depth of what is looked at, mm."""
        return self.height or 2 * _tangent() * float(np.linalg.norm(np.subtract(self.position, self.target)))

    def seen(self, points: ArrayLike, aspect: float) -> NDArray[np.float64]:
        """(n, 2): where (n, 3) points, hull axes, are in a picture of that width by height: 0 to 1 right and down."""
        right, over, back = self.axes()
        off = np.asarray(points, dtype=np.float64).reshape(-1, 3) - self.position
        tall = self.height / 2 if self.height else _tangent() * -(off @ back)
        return np.column_stack([0.5 + off @ right / (2 * tall * aspect), 0.5 - off @ over / (2 * tall)])


LEVEL: frozenset[Side] = frozenset({"port", "starboard", "aft", "forward", "above", "below"})
"""The sides that look along an axis of the boat."""

ALONG_UP = 1e-6
"""sine of the angle between the line of sight and the upright below which the upright says nothing; rounding."""

FORWARD: Triple = (1.0, 0.0, 0.0)
VERTICAL: Triple = (0.0, 0.0, 1.0)
"""Of the boat as it is set up."""

ALL_ROUND = Margins()
"""The same little margin at all four edges."""


def view_from(side: Side, what: ArrayLike, aspect: float, room: Margins = ALL_ROUND) -> View:
    """The view from a side that just holds `what`; see `view_along`."""
    direction, up = FROM[side]
    return view_along(direction, up, what, aspect, room)


def view_along(direction: Triple, up: Triple, what: ArrayLike, aspect: float, room: Margins = ALL_ROUND) -> View:
    """The nearest view from a `direction` (towards the camera) that holds `what`, in the middle of what is free.

    `what` are points (n, 3), the origin where there are none, or the bounds of a box (x0, x1, y0, y1, z0, z1);
    hull axes, mm. `aspect` is the picture's width by its height.
    """
    right, over, back = _axes(np.asarray(direction, dtype=np.float64), up)
    points = _points(what)
    tall = _tangent()
    # a point is in the picture if the eye is far enough behind it for its distance off the line of sight
    across = _Wedge.of(points @ right, points @ back, tall * aspect, room.left, room.right)
    upright = _Wedge.of(points @ over, points @ back, tall, room.bottom, room.top)
    far = max(across.distance, upright.distance, float(np.max(points @ back)) + 1.0)
    eye = right * across.middle(far) + over * upright.middle(far) + back * far
    depth = far - float(np.mean([np.min(points @ back), np.max(points @ back)]))
    return View(position=triple(eye), target=triple(eye - back * depth), up=triple(over))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wedge:
    """What one direction of the picture asks of the eye: `low` and `high` edges of a wedge in which it must lie."""

    low: float
    high: float
    below: float
    above: float

    @classmethod
    def of(
        cls, along: NDArray[np.float64], back: NDArray[np.float64], tangent: float, before: float, after: float
    ) -> _Wedge:
        below, above = tangent * (1 - 2 * before), tangent * (1 - 2 * after)
        return cls(
            low=float(np.max(-along + back * below)), high=float(np.max(along + back * above)), below=below, above=above
        )

    @property
    def distance(self) -> float:
        """How far back the eye must be at least."""
        return (self.low + self.high) / (self.below + self.above)

    def middle(self, far: float) -> float:
        """Where along this direction the eye stands so that the same is free on both sides."""
        return ((self.high - far * self.above) + (far * self.below - self.low)) / 2


def level_view(side: Side, what: ArrayLike, aspect: float, room: Margins = ALL_ROUND) -> View:
    """The same with parallel lines of sight, as drawings have it: what is square to them is seen at one scale."""
    direction, up = FROM[side]
    return parallel_view(direction, up, what, aspect, room)


def parallel_view(direction: Triple, up: Triple, what: ArrayLike, aspect: float, room: Margins = ALL_ROUND) -> View:
    """The view with parallel lines of sight from any direction (towards the camera); see `view_along`."""
    right, over, back = _axes(np.asarray(direction, dtype=np.float64), up)
    points = _points(what)
    across, upright = points @ right, points @ over
    wide = (1.0 - room.left - room.right) * aspect
    tall = 1.0 - room.top - room.bottom
    height = max(float(np.ptp(across)) / wide, float(np.ptp(upright)) / tall, 1.0)
    middle = (
        right * ((across.min() + across.max()) / 2 + (room.right - room.left) / 2 * height * aspect)
        + over * ((upright.min() + upright.max()) / 2 + (room.top - room.bottom) / 2 * height)
        + back * float(np.mean([np.min(points @ back), np.max(points @ back)]))
    )
    far = float(np.ptp(points @ back)) + height
    return View(position=triple(middle + back * far), target=triple(middle), up=triple(over), height=height)


def _points(what: ArrayLike) -> NDArray[np.float64]:
    given = np.asarray(what, dtype=np.float64)
    if given.shape == (6,):
        return np.array([(x, y, z) for x in given[:2] for y in given[2:4] for z in given[4:]])
    return given.reshape(-1, 3) if given.size else np.zeros((1, 3))


def _axes(
    direction: NDArray[np.float64], up: Triple
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    back = direction / np.linalg.norm(direction)
    right = np.cross(up, back)
    if np.linalg.norm(right) < ALONG_UP:  # looking along the vertical: then forward is up, as on a plan
        right = np.cross(FORWARD if abs(back[0]) < 0.5 else VERTICAL, back)
    right = right / np.linalg.norm(right)
    return right, np.cross(back, right), back


def _tangent() -> float:
    return float(np.tan(np.radians(ANGLE / 2)))

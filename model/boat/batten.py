"""A batten: a rectangular strip sprung through its sections at the frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.shared.findings import Source
from scrieve.shared.tolerances import SAGITTA

from ..geometry.outline import Outline
from ..geometry.placement import Placement
from ..geometry.spline import NaturalSpline

Side = Literal["port", "starboard", "centre"]

_MOST_STEPS = 50
_LENGTH_STEP = 5.0  # mm along x between the places at which a length along the curve is taken
_MOST_CHORDS = 32
"""of an eased edge: up to a radius of 16 mm they keep to SAGITTA, of a larger one they stand off in proportion."""

_CLOSE = 1e-10  # mm; where a plane is crossed is found in two or three steps


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A batten's section at one frame: `centre` (y, v), mm, on the plane w = 0 of the frame.

    `angle` is that of its long side in the frame's plane, radians from port (+y) towards up (+v),
    taken modulo a half turn. `drawn` is the outline in the drawing, None where the section was found
    or laid out by computation. `square`: it is drawn as seen along the batten, not as the frame's plane cuts it; the
    angle is then that from the horizontal across the batten.
    """

    batten: str
    frame: str
    centre: tuple[float, float]
    angle: float
    drawn: Outline | None
    source: Source
    square: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cuts:
    """A batten cut by m planes, each in (y, v) of its own frame.

    `x` (m,) is where the centre line passes, hull axes, mm; `centre` (m, 2) the same place in the
    plane. `long` and `short` (m, 2) say how far in the plane the outline goes for each mm along the
    batten's long and short side: 1 or, where the batten passes at an angle, more.
    """

    x: NDArray[np.float64]
    centre: NDArray[np.float64]
    long: NDArray[np.float64]
    short: NDArray[np.float64]

    def rings(self, profile: NDArray[np.float64]) -> NDArray[np.float64]:
        """(m, k, 2) mm: the outlines, of a batten with this `profile` (k, 2)."""
        across = profile[None, :, :1] * self.long[:, None, :] + profile[None, :, 1:] * self.short[:, None, :]
        return np.asarray(self.centre[:, None, :] + across)


@dataclass(frozen=True, kw_only=True, eq=False)
class Batten:
    """A natural cubic spline in x through the centres of the sections, the rectangle turned with them.

    `name` is unique ("port chine"), `kind` the plan's name ("chine"). `long` and `short` are the sides
    of the rectangle square to the batten, `arris` the radius of its eased edges, mm. `sections` go
    with the `placements` of their frames, both sorted forward. `layers` are glued together across the
    short side, in place; `least_bend` is the least R/t that its own stock takes, 0 where that is not known.
    """

    name: str
    kind: str
    side: Side
    long: float
    short: float
    arris: float
    sections: tuple[Section, ...]
    placements: tuple[Placement, ...]
    layers: int = 1
    least_bend: float = 0.0

    @cached_property
    def centres(self) -> NDArray[np.float64]:
        """(n, 3) hull axes, mm: the centres of the sections."""
        return np.array(
            [p.point(*s.centre) for s, p in zip(self.sections, self.placements, strict=True)],
            dtype=np.float64,
        )

    @cached_property
    def curve(self) -> NaturalSpline:
        """(y, z) over x through the centres. Raises ValueError for fewer than two sections."""
        return NaturalSpline.through(self.centres[:, 0], self.centres[:, 1:])

    @cached_property
    def _angles(self) -> NDArray[np.float64]:
        """Angle of the long side in the transverse plane at each section, unwrapped over half turns.

        A square has no long side: drawn alike, its angle may be read a quarter turn off from frame to frame.
        """
        angles = []
        tangents = self.tangent(self.centres[:, 0])
        for section, placement, t in zip(self.sections, self.placements, tangents, strict=True):
            c, s = np.cos(section.angle), np.sin(section.angle)
            if section.square:
                level = np.array([-t[1], t[0], 0.0]) / np.hypot(t[0], t[1])
                d = c * level + s * np.cross(t, level)
            else:
                d = placement.vector_to_hull([(c, s, 0.0)])[0]
            d = d - t * (d[0] / t[0])
            angles.append(float(np.arctan2(d[2], d[1])))
        return np.asarray(np.unwrap(angles, period=np.pi if self.long > self.short else np.pi / 2))

    def centre(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """(m, 3) hull axes, mm: the centre line at `x` (m,)."""
        return np.column_stack([x, self.curve(x)])

    def length_between(self, one: float, other: float) -> float:
        """mm along the centre line between two places along x; beyond its ends it goes on as it ends there."""
        x = np.linspace(one, other, max(2, int(abs(other - one) / _LENGTH_STEP) + 2))
        return float(np.sum(np.linalg.norm(np.diff(self.centre(x), axis=0), axis=1)))

    def tangent(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """(m, 3) unit vectors pointing forward along the centre line at `x` (m,)."""
        t = np.column_stack([np.ones_like(x), self.curve.slope(x)])
        return np.asarray(t / np.linalg.norm(t, axis=1, keepdims=True))

    def axes(self, x: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Unit vectors at `x` (m,), each (m, 3) in hull axes: tangent, along the long side, along the short.

        The twist is even from section to section, as in an elastic strip.
        """
        t = self.tangent(x)
        angle = np.interp(x, self.centres[:, 0], self._angles)
        d = np.column_stack([np.zeros_like(x), np.cos(angle), np.sin(angle)])
        d = d - t * np.sum(d * t, axis=1, keepdims=True)
        long = d / np.linalg.norm(d, axis=1, keepdims=True)
        return t, long, np.cross(t, long)

    @cached_property
    def profile(self) -> NDArray[np.float64]:
        """(k, 2) mm: the eased rectangle square to the batten, offsets along the long and the short side."""
        return eased_rectangle(self.long, self.short, self.arris)

    def cuts(self, placements: Sequence[Placement], planes: ArrayLike) -> Cuts:
        """Where the batten is cut by the plane w = `planes[i]` (mm) of `placements[i]`, m planes at once.

        The batten is taken as straight about each crossing.
        """
        w = np.asarray(planes, dtype=np.float64)
        station = np.array([placement.station for placement in placements])
        rake = np.array([placement.rake for placement in placements])
        c, s = np.cos(rake), np.sin(rake)
        x = station + w
        for _ in range(_MOST_STEPS):
            value, slope = self.curve(x), self.curve.slope(x)
            step = (c * (x - station) + s * value[:, 1] - w) / (c + s * slope[:, 1])
            x = x - step
            if np.all(np.abs(step) < _CLOSE):
                break
        tangent, long, short = (_in_frame(v, c, s) for v in self.axes(x))
        middle = self.centre(x)
        slide = tangent[:, :2] / tangent[:, 2:]
        return Cuts(
            x=x,
            centre=_in_frame(middle - np.column_stack([station, 0 * x, 0 * x]), c, s)[:, :2],
            long=long[:, :2] - slide * long[:, 2:],
            short=short[:, :2] - slide * short[:, 2:],
        )

    def meets(self, placement: Placement, w: float = 0.0) -> float:
        """The x at which the centre line passes the plane `w` (mm) of a frame."""
        return float(self.cuts([placement], [w]).x[0])

    def cut(self, placement: Placement, w: float) -> NDArray[np.float64]:
        """(k, 2) mm in the frame's (y, v): the batten's outline where the plane `w` cuts it, convex."""
        return np.asarray(self.cuts([placement], [w]).rings(self.profile)[0])

    def passage(self, placement: Placement, low: float, high: float) -> shapely.Polygon:
        """All that the batten takes up in the frame's (y, v) between the planes `low` and `high`, mm.

        Between the faces of a ply the batten is a straight sweep of a convex outline, so this is the
        convex hull of the outlines where it passes the two faces.
        """
        both = self.cuts([placement, placement], [low, high]).rings(self.profile)
        return shapely.convex_hull(shapely.linestrings(both.reshape(-1, 2)))


def _in_frame(vectors: NDArray[np.float64], c: NDArray[np.float64], s: NDArray[np.float64]) -> NDArray[np.float64]:
    """(m, 3) directions in hull axes to (y, v, w) of frames whose rakes have these cosines and sines."""
    x, y, z = vectors.T
    return np.column_stack([y, c * z - s * x, c * x + s * z])


def eased_rectangle(long: float, short: float, arris: float) -> NDArray[np.float64]:
    """(k, 2) mm, counter-clockwise about the origin: `long` along the first axis, corners rounded."""
    r = min(arris, long / 2, short / 2)
    corners = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * (long / 2 - r, short / 2 - r)
    if r <= 0:
        return np.asarray(corners, dtype=np.float64)
    chords = int(np.ceil(np.pi / 2 / (2 * np.arccos(max(1 - SAGITTA / r, 0.0)))))
    count = max(2, min(chords, _MOST_CHORDS) + 1)
    pieces = []
    for corner, start in zip(corners, (0.0, np.pi / 2, np.pi, 3 * np.pi / 2), strict=True):
        turns = start + np.linspace(0, np.pi / 2, count)
        pieces.append(corner + r * np.column_stack([np.cos(turns), np.sin(turns)]))
    return np.concatenate(pieces)

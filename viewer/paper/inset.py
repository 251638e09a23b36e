"""A round inset on a page: its place, its scale, what is left of shapes that reach out of it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from scrieve.model.geometry.plane import disc

from ..marks.placing import Point
from .letters import width
from .look import INK, PAPER, QUIET, SMALL
from .sight import SCALES, scale_words
from .svg import Svg

_QUARTER = 32  # segments

_LEAST_SIGHT = (22.0, 17.0, 12.0, 6.0)  # mm of boat to each side that an inset should show; less if it must
_LEAST_SPAN = 1.8  # mm of paper; what is measured should not be shown shorter
_MOST = 0.75  # of the radius, that what is measured may take


@dataclass(frozen=True, slots=True, kw_only=True)
class Inset:
    """A circle on a page, `at` its middle, mm."""

    at: Point
    radius: float

    @property
    def window(self) -> shapely.Polygon:
        """The circle, on paper."""
        return disc(self.at, 2 * self.radius, quad_segs=_QUARTER)

    def scale(self, length: float | None) -> float:
        """The scale that shows a length and something about it; a middling one for None, where nothing is measured."""
        if length is None:
            return next(s for s in SCALES if self.radius / s >= 2 * _LEAST_SIGHT[0])
        fits = [s for s in SCALES if length * s <= _MOST * self.radius] or [SCALES[-1]]
        found = [next((s for s in fits if self.radius / s >= least), fits[-1]) for least in _LEAST_SIGHT]
        return next((s for s in found if s * length >= _LEAST_SPAN), found[-1])

    def reaching(self, far: float) -> float:
        """The largest scale that shows so much to each side, mm."""
        return next((s for s in SCALES if far * s <= 0.9 * self.radius), SCALES[-1])

    def open(self, svg: Svg) -> None:
        """The ground of the inset."""
        svg.circle(self.at, self.radius, fill=PAPER)

    def close(self, svg: Svg, scale: float, says: str = "") -> None:
        """Its rim, and below it the scale and what else is said of it."""
        svg.circle(self.at, self.radius, fill="none", stroke=INK, stroke_width=0.4)
        words = scale_words(scale) + (f", {says}" if says else "")
        x, y = self.at
        svg.words((x - width(words, SMALL) / 2.3, y + self.radius + 4.0), words, SMALL, fill=QUIET)

    def inside(self, shape: shapely.Geometry) -> shapely.Geometry:
        """What of a shape on paper lies in the circle."""
        return shapely.intersection(shape, self.window)

"""An inset that cuts the frame open along a screw: its plies, the screw in them, how far the tip comes."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.shared.findings import Finding

from .inset import Inset
from .look import INK, OUTLINE, QUIET, SHANKS, SMALL, STRONG, TONES
from .placing import Places, label
from .sight import fitting
from .signs import Dimension, hatching
from .span import Span
from .svg import Point, Svg
from .thing import disc

CUT = frozenset({"screw-bite", "screw-foul"})
"""Checks whose findings are told by a cut along the screw."""

_AROUND = 9.0  # mm of boat before the head and beyond the tip


class Section:
    """The inset of a finding about one screw or two, drawn into a circle of a page."""

    def __init__(self, inset: Inset, finding: Finding, frame: Frame) -> None:
        self.inset, self.finding, self.frame = inset, finding, frame
        self.screws = [screw for screw in frame.screws if screw.name in finding.parts]
        first, last = self.screws[0], self.screws[-1]
        self.through: NDArray[np.float64] = (np.array(first.at) + last.at) / 2
        way = np.subtract(last.at, first.at)
        length = float(np.hypot(*way))
        self.way: NDArray[np.float64] = way / length if length > 0.0 else np.array([1.0, 0.0])
        self.up = 1.0 if last.driven_from == "forward" else -1.0

    def draw(self, svg: Svg, span: Span | None) -> shapely.Polygon:
        """Draws it; what of the frame's plane it is cut from, (y, v)."""
        plies = [ply.part for screw in self.screws for ply in screw.plies]
        low = min([screw.low for screw in self.screws] + [part.low for part in plies]) - _AROUND
        high = max([screw.high for screw in self.screws] + [part.high for part in plies]) + _AROUND
        room = 1.9 * self.inset.radius
        scale = fitting(high - low, high - low, (room, room))
        self._scale, self._middle = scale, (low + high) / 2
        self.inset.open(svg)
        svg.open("section", stroke_linejoin="round")
        places = Places(page=shapely.buffer(self.inset.window, -1.0), drawn=shapely.Polygon())
        shafts = [self._shaft(screw) for screw in self.screws]
        places.take(*(shapely.buffer(shaft, 4.0) for shaft in shafts))
        measure = None if span is None else self._measure(span)
        if measure is not None:
            places.take(measure.takes)
        cuts = [(part, self._cut(part)) for part in self.frame.parts]
        for n, (part, cut) in enumerate((part, cut) for part, cut in cuts if not cut.is_empty):
            svg.shape(cut, fill=TONES[part.role])
            svg.shape(hatching(cut, 45.0 if n % 2 else 135.0, 1.6), fill="none", stroke=INK, stroke_width=0.1)
            line = shapely.intersection(cut.boundary, shapely.buffer(self.inset.window, -0.01))
            svg.shape(line, fill="none", stroke=INK, stroke_width=OUTLINE)
            name = places.inside(part.name.removeprefix(f"{self.frame.name} "), SMALL, cut)
            if name is not None:
                label(svg, name, SMALL, fill=INK)
        for n, shaft in enumerate(shafts):
            svg.shape(shaft, fill=SHANKS[min(n, 1)], stroke=STRONG, stroke_width=OUTLINE)
        if len(shafts) > 1 and (both := shapely.intersection(*shafts[:2])).area > 0:
            svg.shape(both, fill=STRONG, stroke=STRONG, stroke_width=0.15)
        for screw in self.screws:
            svg.line(
                self._at(screw, screw.head + np.sign(screw.head - screw.tip) * 6),
                self._at(screw, screw.tip + np.sign(screw.tip - screw.head) * 6),
                fill="none", stroke=INK, stroke_width=0.15, stroke_dasharray="3 0.8 0.6 0.8",
            )  # fmt: skip
        svg.close()
        self._faces(svg)
        if measure is not None:
            svg.open("measure")
            measure.draw(svg)
            svg.close()
        self.inset.close(svg, scale, "cut along the axis" if len(self.screws) == 1 else "cut along both axes")
        return disc((float(self.through[0]), float(self.through[1])), 2 * self.inset.radius / scale)

    # ---- the parts of it

    def _point(self, along: float, w: float) -> Point:
        x, y = self.inset.at
        return x + along * self._scale, y - self.up * (w - self._middle) * self._scale

    def _at(self, screw: Screw, w: float) -> Point:
        return self._point(float(np.subtract(screw.at, self.through) @ self.way), w)

    def _cut(self, part: Part) -> shapely.Geometry:
        """What the plane of the cut leaves of a part, on paper."""
        far = 2 * self.inset.radius / self._scale
        line = shapely.LineString([self.through - far * self.way, self.through + far * self.way])
        rows = []
        for piece in shapely.get_parts(shapely.intersection(part.shape, line)):
            if piece.geom_type == "LineString" and not piece.is_empty:
                along = (shapely.get_coordinates(piece) - self.through) @ self.way
                rows.append(shapely.box(*self._point(along.min(), part.low), *self._point(along.max(), part.high)))
        return self.inset.inside(shapely.union_all(rows)) if rows else shapely.Polygon()

    def _shaft(self, screw: Screw) -> shapely.Polygon:
        into = np.sign(screw.tip - screw.head)
        along = float(np.subtract(screw.at, self.through) @ self.way)
        rim = [(radius, screw.head + into * depth) for depth, radius in screw.profile]
        ring = [(along + r, w) for r, w in rim] + [(along - r, w) for r, w in reversed(rim)]
        return shapely.Polygon([self._point(a, w) for a, w in ring])

    def _faces(self, svg: Svg) -> None:
        """Which side is forward and which aft."""
        x, y = self.inset.at
        for sign, words in ((self.up, "forward"), (-self.up, "aft")):
            place = (x, y - sign * (self.inset.radius - 3.2) + (1.5 if sign > 0 else 0.0))
            svg.words(place, words, SMALL, fill=QUIET, text_anchor="middle")

    def _measure(self, span: Span) -> Dimension:
        along = [float((np.array(end[:2]) - self.through) @ self.way) for end in (span.start, span.end)]
        if span.across:
            w = max(screw.low for screw in self.screws) if self.up > 0 else min(screw.high for screw in self.screws)
            start, end = self._point(along[0], w), self._point(along[1], w)
            off = 0.34 * self.inset.radius
        else:
            start, end = self._point(along[0], span.start[2]), self._point(along[1], span.end[2])
            off = 0.3 * self.inset.radius
        return Dimension(start, end, f"{span.length:.2f} mm", off=off, room=self.inset.window)

"""An inset that cuts the frame open: its plies, the screws in them, and what is measured in depth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.model.boat.frame import Frame
from scrieve.model.geometry.overlap import nearest_edge
from scrieve.model.geometry.plane import disc
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Axis, Mark, Prism, Region, Span
from scrieve.shared.names import within_frame
from scrieve.shared.tolerances import COINCIDENT

from ..marks.hatch import hatching
from ..marks.measured import measure_alone
from ..marks.placing import Places
from ..marks.projection import flat
from .inset import Inset
from .letters import size_of
from .look import DASHES, INK, OUTLINE, QUIET, SHANKS, SMALL, STRONG, TONES
from .sight import fitting
from .signs import CLEAR, draw_dimension, draw_flat, label
from .svg import Svg

_AROUND = 9.0  # mm of boat before the head and beyond the tip
_OFF = 0.3  # of the radius, from what is measured to its dimension
_BESIDE = 1.0  # mm; what lies closer to what is cut through is shown whole


def in_depth(span: Span, axes: Sequence[Axis], frame: Frame) -> bool:
    """Whether a span shows in a cut alone: it lies along the frame's normal, or from one axis along it to another."""
    ends = frame.placement.to_frame([span.start, span.end])
    y, v, w = ends[1] - ends[0]
    if float(np.hypot(y, v)) <= abs(w):
        return True
    at = frame.placement.to_frame([axis.start for axis in axes])[:, :2] if axes else np.empty((0, 2))
    return all(bool(np.any(np.hypot(*(at - end).T) <= COINCIDENT)) for end in ends[:, :2])


class SectionInset:
    """The inset of a finding that is told in depth, drawn into a circle of a page; cut along its axes if it has any."""

    def __init__(self, inset: Inset, finding: Finding, frame: Frame, marks: Sequence[Mark], span: Span) -> None:
        self.inset, self.finding, self.frame, self.marks, self.span = inset, finding, frame, marks, span
        self.axes = [mark for mark in marks if isinstance(mark, Axis)]
        ends = self._in_frame([(axis.start, axis.end) for axis in self.axes] or [(span.start, span.end)])
        self.ends = ends.reshape(-1, 2, 3)
        first, last = self.ends[0, 0, :2], self.ends[-1, 0, :2]
        self.through: NDArray[np.float64] = (first + last) / 2
        way = last - first
        if float(np.hypot(*way)) <= COINCIDENT:
            named = {subject.name for subject in finding.subjects}
            own = next((part for part in frame.parts if part.name in named and not self.axes), None)
            way = np.array([1.0, 0.0]) if own is None else nearest_edge(own.shape, self.through)[1]
        self.way: NDArray[np.float64] = way / np.hypot(*way)
        self.up = 1.0 if self.axes and self.ends[-1, 0, 2] > self.ends[-1, 1, 2] else -1.0

    def draw(self, svg: Svg) -> shapely.Polygon:
        """Draws it; what of the frame's plane it is cut from, (y, v)."""
        cut = shapely.multipoints(self.ends[:, 0, :2])
        plies = [part for part in self.frame.parts if part.shape.distance(cut) <= _BESIDE]
        depths = [*self.ends[:, :, 2].ravel(), *(w for part in plies for w in (part.low, part.high))]
        low, high = float(min(depths)) - _AROUND, float(max(depths)) + _AROUND
        room = 1.9 * self.inset.radius
        scale = fitting(high - low, high - low, (room, room))
        self._scale, self._middle = scale, (low + high) / 2
        self.inset.open(svg)
        places = Places(page=shapely.buffer(self.inset.window, -1.0), clear=CLEAR)
        shafts = [self._shaft(axis) for axis in self.axes]
        places.take(*(shapely.buffer(shaft, 2.0) for shaft, _ in shafts))
        with svg.group("section", stroke_linejoin="round"):
            cuts = [
                (part, shapely.union_all([self._cut(each.shape, each.low, each.high) for each in part.prisms]))
                for part in self.frame.parts
            ]
            cuts = [(part, shape) for part, shape in cuts if not shape.is_empty]
            for n, (part, shape) in enumerate(cuts):
                svg.shape(shape, fill=TONES[part.role])
                svg.shape(hatching(shape, 45.0 if n % 2 else 135.0, 1.6), fill="none", stroke=INK, stroke_width=0.1)
                line = shapely.intersection(shape.boundary, shapely.buffer(self.inset.window, -0.01))
                svg.shape(line, fill="none", stroke=INK, stroke_width=OUTLINE)
            wood = [shaft for shaft, is_screw in shafts if is_screw]
            for n, (shaft, is_screw) in enumerate(shafts):
                style = {"fill": SHANKS[min(n, 1)]} if is_screw else {"fill": "none", "stroke_dasharray": DASHES}
                svg.shape(self.inset.inside(shaft), stroke=STRONG, stroke_width=OUTLINE, **style)
            if len(wood) > 1 and (both := shapely.intersection(*wood[:2])).area > 0:
                svg.shape(both, fill=STRONG, stroke=STRONG, stroke_width=0.15)
            for mark in self.marks:
                if isinstance(mark, Region):
                    draw_flat(svg, mark, self._region(mark))
            for start, end in self.ends if self.axes else ():
                past = 6.0 * np.sign(end[2] - start[2]) * np.array([0.0, 0.0, 1.0])
                line = self.inset.inside(shapely.LineString(self._flat([start - past, end + past])))
                svg.shape(line, fill="none", stroke=INK, stroke_width=0.15, stroke_dasharray="3 0.8 0.6 0.8")
        self._faces(svg)
        with svg.group("measure"):
            start, end = self._flat(self._in_frame([self.span.start, self.span.end])).tolist()
            words = measure_alone(self.finding.measure)
            draw_dimension(svg, places, tuple(start), tuple(end), words, off=_OFF * self.inset.radius)
        with svg.group("names", fill=INK):
            for part, shape in cuts:
                words = within_frame(part.name, self.frame.number)
                if (placed := places.inside(size_of(words, SMALL), shape)) is not None:
                    label(svg, placed, words, SMALL, fill=INK)
        how = {0: "cut open", 1: "cut along the axis"}.get(len(self.axes), "cut along both axes")
        self.inset.close(svg, scale, how)
        return disc((float(self.through[0]), float(self.through[1])), 2 * self.inset.radius / scale)

    # ---- the parts of it

    def _in_frame(self, points: ArrayLike) -> NDArray[np.float64]:
        return self.frame.placement.to_frame(np.reshape(points, (-1, 3)))

    def _flat(self, points: ArrayLike) -> NDArray[np.float64]:
        """(n, 2) on paper: where (n, 3) points (y, v, w) lie on the plane of the cut."""
        given = np.asarray(points, dtype=np.float64)
        along, w = (given[:, :2] - self.through) @ self.way, given[:, 2]
        return self.inset.at + self._scale * np.column_stack([along, -self.up * (w - self._middle)])

    def _cut(self, shape: shapely.Geometry, low: float, high: float) -> shapely.Geometry:
        """What the plane of the cut leaves of a prism of the frame, on paper."""
        far = 2 * self.inset.radius / self._scale
        line = shapely.LineString([self.through - far * self.way, self.through + far * self.way])
        rows = []
        for piece in shapely.get_parts(shapely.intersection(shape, line)):
            if piece.geom_type == "LineString" and not piece.is_empty:
                ends = np.column_stack([shapely.get_coordinates(piece)[[0, -1]], [low, high]])
                rows.append(shapely.box(*self._flat(ends).min(axis=0), *self._flat(ends).max(axis=0)))
        return self.inset.inside(shapely.union_all(rows)) if rows else shapely.Polygon()

    def _region(self, mark: Region) -> shapely.Geometry:
        if not isinstance(mark.solid, Prism):
            return self.inset.inside(flat(mark, lambda points: self._flat(self._in_frame(points))))
        corner = np.array(mark.solid.rings[0][0])
        low, high = sorted(self._in_frame(np.stack([corner, corner + mark.solid.through]))[:, 2].tolist())
        return self._cut(flat(mark, lambda points: self._in_frame(points)[:, :2]), low, high)

    def _shaft(self, axis: Axis) -> tuple[shapely.Polygon, bool]:
        """What is about an axis, on paper: a screw in its own form, anything else as it is broad."""
        head, tip = self._in_frame([axis.start, axis.end])
        screws = (s for s in self.frame.screws if abs(s.head - head[2]) <= COINCIDENT)
        screw = next((s for s in screws if np.hypot(*(head[:2] - s.at)) <= COINCIDENT), None)
        is_screw = screw is not None and screw.size.diameter == axis.diameter
        rim = [(0.0, axis.diameter / 2), (abs(tip[2] - head[2]), axis.diameter / 2)]
        if screw is not None and is_screw:
            rim = list(screw.profile)
        into, along = np.sign(tip[2] - head[2]), float((head[:2] - self.through) @ self.way)
        ring = [(along + side * radius, head[2] + into * depth) for side, rows in ((1, rim), (-1, rim[::-1]))
                for depth, radius in rows]  # fmt: skip
        return shapely.Polygon(self._flat([(*(self.through + a * self.way), w) for a, w in ring])), is_screw

    def _faces(self, svg: Svg) -> None:
        """Which side is forward and which aft."""
        x, y = self.inset.at
        for sign, words in ((self.up, "forward"), (-self.up, "aft")):
            place = (x, y - sign * (self.inset.radius - 3.2) + (1.5 if sign > 0 else 0.0))
            svg.words(place, words, SMALL, fill=QUIET, text_anchor="middle")

"""A frame drawn in its plane: parts, timbers, screws, dowels, datum line and centreline, and their names."""

from __future__ import annotations

from collections.abc import Iterable

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame

from ..marks.hatch import hatching
from ..marks.placing import Places
from .layers import PaintedPart, Timber, layers_of, timbers_of
from .letters import HEIGHT, first_words, size_of, width
from .look import CHAIN, DASHES, HATCHED, HEAVY, INK, OUTLINE, QUIET, SMALL, STRONG, THIN, TONES
from .sight import Seen, Sight
from .signs import MARK, dowel, label, leader, screw, timber
from .svg import Point, Svg

_PAST = 6.0
"""mm of paper by which the datum line and the centreline stand out of the frame."""

_SLIVER = 0.4
"""mm of paper; what is seen of a part in a strip no wider than twice this shows no one where the part is."""


class FramePlot:
    """A frame on a page at a place. `draw` first, then whatever lies over it, then `name`."""

    def __init__(self, svg: Svg, frame: Frame, assembly: Assembly, sight: Sight, seen: Seen) -> None:
        self.svg, self.frame, self.sight, self.seen = svg, frame, sight, seen
        self.layers: tuple[PaintedPart, ...] = layers_of(frame, seen)
        self.timbers: tuple[Timber, ...] = timbers_of(frame, assembly)
        shapes = [layer.part.shape for layer in self.layers] + [each.shape for each in self.timbers]
        self.drawn = sight.shape(shapely.union_all(shapes)) if shapes else shapely.Point(sight.at)

    def draw(self, named: Iterable[str] = ()) -> None:
        """The frame; what a finding names has a heavy line round it in the colour of findings."""
        svg, wanted = self.svg, frozenset(named)
        with svg.group("lines"):
            self._lines()
        with svg.group("parts", stroke_linejoin="round"):
            for layer in self.layers:
                self._part(layer)
        with svg.group("hidden", fill="none", stroke=INK, stroke_width=THIN, stroke_dasharray=DASHES):
            for layer in self.layers:
                svg.shape(self.sight.shape(layer.hidden))
        with svg.group("timbers", stroke_linejoin="round"):
            for each in self.timbers:
                timber(svg, self.sight.shape(each.shape), rail=each.rail)
        with svg.group("named", fill="none", stroke=STRONG, stroke_width=HEAVY, stroke_linejoin="round"):
            for shape in self._named(wanted):
                svg.shape(self.sight.shape(shape))
        with svg.group("screws"):
            for driven in self.frame.screws:
                colour = STRONG if driven.name in wanted else INK
                screw(svg, self.sight.point(*driven.at), driven.driven_from, seen=self.seen, colour=colour)
        with svg.group("dowels"):
            for peg in self.frame.dowels:
                dowel(svg, self.sight.point(*peg.at), peg.diameter / 2 * self.sight.scale)

    def name(self, places: Places) -> None:
        """Names everything that there is room for: in it, or beside the drawing with a line to it."""
        svg = self.svg
        spots = [each.at for each in self.frame.screws] + [each.at for each in self.frame.dowels]
        marks = [self.sight.point(*at) for at in spots]
        around = shapely.buffer(shapely.multipoints(marks), MARK, quad_segs=3) if marks else shapely.Polygon()
        places.cross(around)
        with svg.group("names", fill=INK):
            for names, shape, visible, hidden in self._names():
                inside, seen = None, self.sight.shape(visible)
                free = shapely.difference(seen, around)
                if visible is not shape:  # there is no room for words on what has its diagonals drawn
                    inside = places.inside(size_of(names, SMALL), free)
                if shapely.buffer(seen, -_SLIVER).is_empty:
                    free = self.sight.shape(hidden)
                whole = self.sight.shape(shape)
                anchor = _anchor(whole if free.is_empty else free)
                placed = inside or places.beside(size_of(names, SMALL), anchor, whole)
                if placed is not None and placed.lead is not None:
                    leader(svg, *placed.lead)
                if placed is not None:
                    label(svg, placed, names, SMALL)

    # ---- the parts of it

    def _lines(self) -> None:
        """The datum line and the centreline, with their names at their ends."""
        left, top, right, low = self.drawn.bounds
        x, y = self.sight.point(0.0, 0.0)
        style = {"fill": "none", "stroke": QUIET, "stroke_width": 0.18, "stroke_dasharray": CHAIN}
        self.svg.line((min(left, x) - _PAST, y), (max(right, x) + _PAST, y), **style)
        self.svg.line((x, min(top, y) - _PAST), (x, max(low, y) + _PAST), **style)
        self.svg.words((min(left, x) - _PAST, y - 0.9), "datum line", SMALL, fill=QUIET)
        self.svg.words((x + 1.0, min(top, y) - _PAST + HEIGHT * SMALL), "centreline", SMALL, fill=QUIET)

    def line_boxes(self) -> list[shapely.Geometry]:
        """What the datum line, the centreline and their names take up."""
        left, top, right, low = self.drawn.bounds
        x, y = self.sight.point(0.0, 0.0)
        return [
            shapely.LineString([(min(left, x) - _PAST, y), (max(right, x) + _PAST, y)]),
            shapely.LineString([(x, min(top, y) - _PAST), (x, max(low, y) + _PAST)]),
            shapely.box(min(left, x) - _PAST, y - 3.2, min(left, x) - _PAST + width("datum line", SMALL), y),
            shapely.box(
                x, min(top, y) - _PAST, x + 1.0 + width("centreline", SMALL), min(top, y) - _PAST + 1.2 * SMALL
            ),
        ]

    def _part(self, layer: PaintedPart) -> None:
        visible = self.sight.shape(layer.visible)
        if visible.is_empty:
            return
        role = layer.part.role
        self.svg.shape(visible, fill=TONES[role])
        if layer.near and role in HATCHED:
            lines = hatching(visible, *HATCHED[role])
            self.svg.shape(lines, fill="none", stroke=INK, stroke_width=0.09)
        self.svg.shape(self.sight.shape(layer.outline), fill="none", stroke=INK, stroke_width=OUTLINE)

    def _named(self, names: frozenset[str]) -> list[shapely.Geometry]:
        parts = [layer.part.shape.boundary for layer in self.layers if layer.part.name in names]
        return parts + [each.shape.boundary for each in self.timbers if each.name in names]

    def _names(self) -> list[tuple[str, shapely.Geometry, shapely.Geometry, shapely.Geometry]]:
        """(words, shape, what is seen of it, its hidden lines) of all that gets a name.

        Things of one outline or one leg get one.
        """
        groups: list[list[PaintedPart]] = []
        legs = {ply.name: leg.name for leg in self.frame.legs for ply in leg.plies}
        for layer in reversed(self.layers):  # the nearest of a group first: that is the one seen
            key = legs.get(layer.part.name)
            for group in groups:
                other = group[0].part
                if (key and legs.get(other.name) == key) or _alike(layer, group[0]):
                    group.append(layer)
                    break
            else:
                groups.append([layer])
        out = []
        for group in groups:
            shown = max(group, key=lambda layer: (round(layer.visible.area, 1), layer.near))
            words = first_words([layer.part.label for layer in group]) if len(group) > 1 else shown.part.label
            out.append((words, shown.part.shape, shown.visible, shown.hidden))
        # what has the least room to be named in chooses last
        out.sort(key=lambda each: -each[2].area)
        return out + [(each.name, each.shape, each.shape, shapely.LineString()) for each in self.timbers]


def _anchor(shape: shapely.Geometry) -> Point:
    """Where a leader ends: in the middle of the widest place of a shape, or of the longest of lines."""
    pieces = shapely.get_parts(shapely.line_merge(shape) if "Line" in shape.geom_type else shape)
    whole = max(pieces, key=lambda piece: (piece.area, piece.length))
    line = shapely.maximum_inscribed_circle(whole, tolerance=0.2) if whole.area else whole
    (at,) = line.interpolate(0.0 if whole.area else 0.5, normalized=True).coords
    return float(at[0]), float(at[1])


def _alike(layer: PaintedPart, other: PaintedPart) -> bool:
    """Whether two parts are plates of one outline, on the two faces."""
    one, two = layer.part, other.part
    return one.role == two.role and one.label == two.label and one.shape.equals_exact(two.shape, 0.01)

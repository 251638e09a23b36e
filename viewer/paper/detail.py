"""An inset in the frame's plane: the place of a finding enlarged, with what is measured."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding

from .figure import Figure
from .inset import Inset
from .look import BATTEN, CHAIN, DASHES, HEAVY, INK, OUTLINE, PAPER, QUIET, RAIL, SMALL, STRONG, THIN, TONES
from .placing import Places, first_words, label
from .sight import Sight
from .signs import Dimension, diagonals, hatching
from .span import Span, overlap_near
from .svg import Point, Svg
from .thing import ON_RAILS, Thing, disc, place_in, things_of

SHARING = frozenset({"foul", "notch-foul", "corner", "dowel", "joint-gap", "notch-missing", "board", "leg-bottom"})
"""Checks whose findings are about two things that want the same space: that space is shown."""

MIRRORED = frozenset({"mirror", "leg-pair"})
"""Checks that compare a thing with the mirror image of another."""

_OFF = 0.28  # of the radius, from what is measured to its dimension
_HATCH = ((45.0, 2.2), (135.0, 2.2), (90.0, 2.2))
_HAIR = 1e-3  # mm2


class Detail:
    """The inset of one finding, drawn into a circle of a page."""

    def __init__(self, inset: Inset, finding: Finding, figure: Figure, assembly: Assembly) -> None:
        self.inset, self.finding, self.figure, self.frame = inset, finding, figure, figure.frame
        # the nearest last, as they are drawn
        away = 1.0 if figure.seen == "from forward" else -1.0
        things = things_of(finding, self.frame, assembly, beside=ON_RAILS)
        self.things = sorted(things, key=lambda thing: away * (thing.low + thing.high))

    def draw(self, svg: Svg, span: Span | None) -> shapely.Polygon:
        """Draws it; what of the frame's plane it shows, (y, v)."""
        length = self._deep_in_corner() if span is None else span.length
        scale = self.inset.scale(length)
        sight = Sight.of((*self._middle(span), *self._middle(span)), self.inset.at, scale, self.figure.seen)
        self.inset.open(svg)
        self._around(svg, sight)
        measure = self._measure(sight, span)
        self._named(svg, sight, measure)
        self._screws(svg, sight)
        if self.finding.check in MIRRORED:
            self._ghosts(svg, sight, (shapely.transform(t.shape, lambda p: p * (-1.0, 1.0)) for t in self.things))
        if self.finding.check == "corner":
            self._ghosts(svg, sight, (t.part.drawn_shape for t in self.things if t.part is not None))
        if self.finding.check == "fair" and span is not None:
            by = np.subtract(span.end[:2], span.start[:2])
            self._ghosts(svg, sight, (shapely.transform(t.shape, lambda p: p + by) for t in self.things))
        svg.open("measure")
        if measure is not None:
            measure.draw(svg)
        else:
            svg.circle(self.inset.at, 2.2, fill="none", stroke=STRONG, stroke_width=HEAVY)
            svg.circle(self.inset.at, 0.5, fill=STRONG)
        svg.close()
        self.inset.close(svg, scale)
        return disc((sight.middle[0], sight.middle[1]), 2 * self.inset.radius / scale)

    # ---- the parts of it

    def _middle(self, span: Span | None) -> Point:
        if span is None:
            y, v, _ = place_in(self.frame, self.finding)
            return y, v
        return (span.start[0] + span.end[0]) / 2, (span.start[1] + span.end[1]) / 2

    def _around(self, svg: Svg, sight: Sight) -> None:
        """Everything else, light, so that one knows where one is."""
        svg.open("around", stroke_linejoin="round")
        for layer in self.figure.layers:
            svg.shape(self.inset.inside(sight.shape(layer.visible)), fill=TONES[layer.part.role], fill_opacity=0.4)
            lines = self.inset.inside(sight.shape(layer.part.shape.boundary))
            svg.shape(lines, fill="none", stroke=QUIET, stroke_width=THIN)
        for timber in self.figure.timbers:
            whole = sight.shape(timber.shape)
            svg.shape(self.inset.inside(whole), fill=RAIL if timber.rail else BATTEN, fill_opacity=0.75)
            lines = shapely.union(whole.boundary, diagonals(whole))
            svg.shape(self.inset.inside(lines), fill="none", stroke=INK, stroke_width=OUTLINE)
        x, y = sight.point(0.0, 0.0)
        left, top, right, low = self.inset.window.bounds
        lines = shapely.MultiLineString([[(left, y), (right, y)], [(x, top), (x, low)]])
        svg.shape(self.inset.inside(lines), fill="none", stroke=QUIET, stroke_width=0.18, stroke_dasharray=CHAIN)
        svg.close()

    def _named(self, svg: Svg, sight: Sight, measure: Dimension | None) -> None:
        """What the finding names, hatched each its own way; what two of them share, full."""
        svg.open("detail", stroke_linejoin="round")
        parts = [thing for thing in self.things if thing.kind in ("part", "dowel")]
        places = Places(page=shapely.buffer(self.inset.window, -1.0), drawn=shapely.Polygon())
        places.take(shapely.Point(self.inset.at).buffer(0.3 * self.inset.radius))
        if measure is not None:
            places.take(measure.takes)
        for thing, hatch in zip(parts, _HATCH * len(parts), strict=False):
            shape = self.inset.inside(sight.shape(thing.shape))
            svg.shape(shape, fill=TONES[thing.part.role] if thing.part else PAPER)
            svg.shape(hatching(shape, *hatch), fill="none", stroke=INK, stroke_width=0.11)
        for thing in self.things:
            if thing.kind != "screw":
                line = shapely.intersection(sight.shape(thing.shape).boundary, self.inset.window)
                svg.shape(line, fill="none", stroke=INK, stroke_width=HEAVY)
        for shared in self._shared():
            svg.shape(self.inset.inside(sight.shape(shared)), fill=STRONG, stroke=STRONG, stroke_width=0.15)
        places.take(*(shapely.Point(sight.point(*s.at)).buffer(s.size.head_diameter / 2 * sight.scale)
                      for s in self.frame.screws))  # fmt: skip
        for words, thing, covered in self._each_once():
            seen = shapely.difference(sight.shape(thing.shape), sight.shape(covered))
            placed = places.inside(words, SMALL, self.inset.inside(seen))
            if placed is not None:
                label(svg, placed, SMALL, fill=INK)
        svg.close()

    def _each_once(self) -> Iterator[tuple[str, Thing, shapely.Geometry]]:
        """The things by their names, and what of them others cover.

        Those that lie over one another line for line have what is alike in their names.
        """
        left = [thing for thing in self.things if thing.kind != "screw"]
        while left:
            first = left[0]
            alike = [thing for thing in left if thing.shape.equals_exact(first.shape, 0.01)]
            left = [thing for thing in left if thing not in alike]
            names = [thing.name.removeprefix(f"{self.frame.name} ") for thing in alike]
            over = self.things[self.things.index(alike[-1]) + 1 :]
            yield first_words(names).rstrip(","), first, shapely.union_all([thing.shape for thing in over])

    def _shared(self) -> Iterator[shapely.Geometry]:
        """What two of the things both fill, where that is what the finding is about."""
        if self.finding.check not in SHARING:
            return
        for n, a in enumerate(self.things):
            for b in self.things[n + 1 :]:
                both = shapely.intersection(a.shape, b.shape)
                # plates on two faces lie over one another without sharing any space
                if min(a.high, b.high) > max(a.low, b.low) and both.area > _HAIR:
                    yield both

    def _screws(self, svg: Svg, sight: Sight) -> None:
        """Heads and shanks at their size, with a cross on the axis."""
        svg.open("shanks", fill="none")
        for each in self.frame.screws:
            named = each.name in self.finding.parts
            x, y = sight.point(*each.at)
            reach = each.size.head_diameter / 2 * sight.scale
            if not self.inset.window.contains(shapely.Point(x, y).buffer(reach)):
                continue
            near = each.driven_from == self.figure.seen.removeprefix("from ")
            style = {"stroke": STRONG if named else INK, "stroke_width": OUTLINE if named else 0.18}
            svg.circle((x, y), reach, stroke_dasharray=None if near else DASHES, **style)
            svg.circle((x, y), each.size.diameter / 2 * sight.scale, stroke_dasharray=None if near else DASHES, **style)
            svg.line((x - reach - 1, y), (x + reach + 1, y), stroke=style["stroke"], stroke_width=THIN)
            svg.line((x, y - reach - 1), (x, y + reach + 1), stroke=style["stroke"], stroke_width=THIN)
        svg.close()

    def _ghosts(self, svg: Svg, sight: Sight, shapes: Iterator[shapely.Geometry]) -> None:
        """Lines that are not there: how a thing was drawn, would be fair, or would lie as a mirror image."""
        for shape in shapes:
            line = shapely.intersection(sight.shape(shape).boundary, self.inset.window)
            svg.shape(line, fill="none", stroke=STRONG, stroke_width=0.3, stroke_dasharray=DASHES)

    def _deep_in_corner(self) -> float | None:
        """How deep the wood left in a corner stands in what it fouls, mm; None for any other finding."""
        found = self._in_corner()
        return None if found is None else found[2]

    def _in_corner(self) -> tuple[Point, Point, float] | None:
        if self.finding.check != "corner" or len(self.things) < 2:
            return None
        wood = next((thing for thing in self.things if thing.part is not None), None)
        other = next((thing for thing in self.things if thing is not wood), None)
        if wood is None or other is None or wood.part is None:
            return None
        left = shapely.difference(wood.shape, wood.part.drawn_shape)
        overlap = overlap_near(left, other.shape, place_in(self.frame, self.finding)[:2])
        if overlap is None:
            return None
        way = np.multiply(overlap.way, overlap.depth / 2)
        a, b = (overlap.at - way).tolist(), (overlap.at + way).tolist()
        return (a[0], a[1]), (b[0], b[1]), overlap.depth

    def _measure(self, sight: Sight, span: Span | None) -> Dimension | None:
        """The dimension of what is measured; None where nothing is that lies in this plane."""
        corner = self._in_corner() if span is None else None
        if span is not None and span.across:
            start, end, length = span.start[:2], span.end[:2], span.length
        elif corner is not None:
            start, end, length = corner
        else:
            return None
        return Dimension(
            sight.point(*start),
            sight.point(*end),
            measured_words(length),
            off=_OFF * self.inset.radius,
            room=self.inset.window,
        )


def measured_words(length: float) -> str:
    """ "4.00 mm": as the report has it."""
    return f"{length:.2f} mm"

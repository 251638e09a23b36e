"""What of a frame is seen, from the side that the plan looks from: what covers what, and what is hidden."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.pocket import PocketFace
from scrieve.model.relations.fouls.passing import RAILS, battens_passing, rail_passage
from scrieve.shared.kept import kept

from .sight import Seen

_SAME = 0.3
"""mm; hidden lines this close to ones that are seen are not drawn."""

_INSIDE = 0.02
"""mm; a line this little inside another part's edge is that edge."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaintedPart:
    """A part of the frame: in (y, v), mm, what is seen of it and of its outline, and the outline that others hide.

    `near`: it lies on the face of the core that is looked at.
    """

    part: Part
    visible: shapely.Geometry
    outline: shapely.Geometry
    hidden: shapely.Geometry
    near: bool

    @property
    def lines(self) -> shapely.Geometry:
        """The outline of the part, and those of its pockets."""
        pockets = [pocket.shape.boundary for pocket in self.part.pockets]
        return shapely.union_all([self.part.shape.boundary, *pockets]) if pockets else self.part.shape.boundary

    def with_more(self, other: PaintedPart) -> PaintedPart:
        """The same with what is seen of it at another level, in a pocket."""
        return replace(
            self,
            visible=shapely.union(self.visible, other.visible),
            outline=shapely.union(self.outline, other.outline),
            hidden=shapely.union(self.hidden, other.hidden),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Timber:
    """A batten or rail where the frame's plane cuts it, (y, v), mm."""

    name: str
    shape: shapely.Polygon
    rail: bool


@kept
def layers_of(frame: Frame, seen: Seen) -> tuple[PaintedPart, ...]:
    """The parts of a frame from the farthest to the nearest."""
    return painted(frame.parts, seen)


def painted(parts: Iterable[Part], seen: Seen) -> tuple[PaintedPart, ...]:
    """These parts, from the farthest to the nearest."""
    forward_first = seen == "from forward"
    face: PocketFace = "forward" if forward_first else "aft"
    out: dict[Part, PaintedPart] = {}
    covered: shapely.Geometry = shapely.Polygon()
    edges: shapely.Geometry = shapely.LineString()
    surfaces = [(part, w, shape) for part in parts for w, shape in part.surfaces(face)]
    for part, _, shape in sorted(surfaces, key=lambda each: (-each[1] if forward_first else each[1], each[0].name)):
        visible = shapely.difference(shape, covered)
        under = shapely.buffer(covered, -2 * _INSIDE, join_style="mitre")
        outline = shapely.difference(shape.boundary, under)
        hidden = shapely.intersection(shape.boundary, under)
        if part not in out:
            hidden = shapely.union_all([hidden, *_from_behind(part, face)]) if part.pockets else hidden
        if not hidden.is_empty:
            left, low, right, high = hidden.bounds  # a buffer takes its time over what lies elsewhere, too
            off = 2 * _SAME
            near = shapely.clip_by_rect(edges, left - off, low - off, right + off, high + off)
            hidden = shapely.difference(hidden, shapely.buffer(near, _SAME, quad_segs=2))
        layer = PaintedPart(part=part, visible=visible, outline=outline, hidden=hidden, near=part.face == face)
        out[part] = layer if part not in out else out[part].with_more(layer)
        coarse = shapely.simplify(shape, _INSIDE)  # a buffer takes its time over every corner of an arc
        covered = shapely.union(covered, coarse)
        edges = shapely.union(edges, shapely.simplify(coarse.boundary, _SAME / 3))
    return tuple(reversed(out.values()))


def _from_behind(part: Part, face: PocketFace) -> Iterator[shapely.Geometry]:
    """The outlines of the pockets of a part that are cut into the face that is not seen."""
    for pocket in part.pockets:
        if pocket.face != face:
            yield shapely.difference(pocket.shape.boundary, shapely.buffer(part.shape.boundary, _SAME, quad_segs=2))


def timbers_of(frame: Frame, assembly: Assembly) -> tuple[Timber, ...]:
    """What passes the frame lengthwise: the battens, then the rails that reach it."""
    low, high = frame.core_low, frame.core_high
    out = [
        Timber(name=crossing.batten.name, shape=crossing.passage(low, high), rail=False)
        for crossing in battens_passing(frame, assembly)
    ]
    if assembly.strongback is not None:
        for side in RAILS:
            rail = rail_passage(assembly.strongback, side, frame.placement, low, high)
            if rail is not None:
                out.append(Timber(name=f"{side} rail", shape=rail, rail=True))
    return tuple(out)


def bounds_of(frame: Frame, timbers: Sequence[Timber]) -> tuple[float, float, float, float]:
    """Left, low, right and high of all that is drawn of a frame, and of the datum line, (y, v), mm."""
    shapes = [*(part.shape for part in frame.parts), *(timber.shape for timber in timbers), shapely.Point(0.0, 0.0)]
    left, low, right, high = shapely.total_bounds(shapes).tolist()
    return left, low, right, high

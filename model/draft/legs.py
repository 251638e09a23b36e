"""The legs of a frame: two plies each, from the frame to the strongback's rails. (y, v), mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from scrieve.shared.wording import formatted, mm

from ..geometry.placement import Placement
from ..geometry.plane import mirrored
from ..plan.plan_tables import Build, StrongbackSpec
from .cut_outs import Notch
from .frame_lines import FrameLines
from .gussets import Gusset
from .lines import Kind, Legs
from .refusal import ARM, BASE, FLOOR, INSIDE, LAP, SIDE, WIDTH, DraftRefused, Knob
from .shape import Circle, joined, largest, polygon

CLEAR = 2.0
"""mm kept between a leg's outer ply and gussets, notches and battens. Common practice, no source."""

SHORTEST = 30.0
"""mm from the rail to the frame, at least: room for a clamp. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegShape:
    """The port leg's plies; the starboard ones are their mirror images."""

    inner: shapely.Polygon
    outer: shapely.Polygon
    circles: tuple[Circle, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegSetting:
    """Where legs stand: the rails, the leg's measures, which way up, the cutter's radius."""

    strongback: StrongbackSpec
    legs: Legs
    build: Build
    cutter_radius: float

    @property
    def shoulder(self) -> float:
        """How far a leg reaches out over its rail, mm."""
        return min(self.strongback.rail[0], self.legs.width / 2)

    @property
    def span(self) -> tuple[float, float]:
        """The least and greatest y of a port leg."""
        inside = self.strongback.inside_width / 2
        return inside + self.shoulder - self.legs.width, inside + self.shoulder


def leg(
    lines: FrameLines,
    kind: Kind,
    footing: LegSetting,
    placement: Placement,
    *,
    span: tuple[float, float],
    floor: shapely.Polygon,
    gussets: Sequence[Gusset],
    notches: Sequence[Notch],
    lap_depth: float,
) -> LegShape:
    """The port leg. `span` is from where to where along w its two plies lie, `floor` the core part it may stand on.

    Its inner ply butts against the frame, its outer ply laps it on the forward face. Raises DraftRefused where the
    frame is too narrow or too wide for the strongback, or too near it.
    """
    y0, y1 = footing.span
    down = -1.0 if footing.build == "upright" else 1.0
    foot = _foot_height(placement, span, down)
    wood, lap_over = _against(lines, kind, footing.build, floor)
    lap = footing.legs.lap
    if lap > lap_depth:
        raise DraftRefused(
            f"the legs lap {mm(lap, lap_depth)} over a member {mm(lap_depth, lap)} deep",
            Knob(name=LAP, tries=(float(np.floor(lap_depth)),)),
            LAP,
        )
    on_floor = footing.build == "upright" or kind == "open"
    _wide_enough(lines, footing, gussets, notches, on_floor=on_floor)
    far = foot - down * 1e4
    strip = polygon([(y0, foot), (y1, foot), (y1, far), (y0, far)])
    inner = _touching(strip.difference(wood), foot)
    lapped = shapely.transform(lap_over, lambda points: points - (0.0, down * lap))
    outer = _touching(strip.difference(lapped), foot)
    height = _shortest(inner)
    if inner.is_empty or height < SHORTEST:
        height = 0.0 if inner.is_empty else height
        raise DraftRefused(
            f"only {formatted(height, SHORTEST, least=0)} mm are left between the rails and the frame, want "
            f"{SHORTEST:g} mm",
            BASE,
            INSIDE,
        )
    tongue, relief, circle = _tongue(footing, foot, down)
    shapes = [largest(joined([ply, tongue]).difference(relief)) for ply in (inner, outer)]
    if footing.build == "upright" and kind in ("ring", "open"):
        past = shapes[1].difference(floor.union(shapes[0].buffer(CLEAR)))
        if past.area > 1.0:
            raise DraftRefused("the legs lap past the floor's upper edge", LAP, FLOOR, INSIDE)
    for what, shape in [*((g.label, g.shape) for g in gussets), *((n.stringer.kind, n.passage) for n in notches)]:
        if shape.distance(shapes[1]) < CLEAR / 2:
            raise DraftRefused(f"its legs would come onto the {what}", LAP, INSIDE, WIDTH)
    return LegShape(inner=shapes[0], outer=shapes[1], circles=(circle, *_moved(lines, -down * lap)))


def _foot_height(placement: Placement, span: tuple[float, float], down: float) -> float:
    """The v of the bearing edge: of its corners over the leg's thickness, the one nearest the rail touches it."""
    s, c = np.sin(placement.rake), np.cos(placement.rake)
    heights = [w * s for w in span]
    return float(-(min(heights) if down < 0 else max(heights)) / c)


def _against(
    lines: FrameLines, kind: Kind, build: Build, floor: shapely.Polygon
) -> tuple[shapely.Geometry, shapely.Geometry]:
    """What the inner ply stops at, and what, moved by the lap, the outer ply stops at."""
    if build == "inverted" and kind == "open":
        below = polygon([(-1e5, -1e5), (1e5, -1e5), (1e5, 0), (-1e5, 0)])
        top = largest(joined([floor, _under(floor).intersection(below)]))
        return top, top
    return lines.outer, lines.outer


def _under(shape: shapely.Polygon) -> shapely.Geometry:
    """All below a shape within its breadth: the shape swept downwards."""
    low = shape.bounds[1]
    points = shapely.get_coordinates(shape.exterior)
    prisms = [
        polygon([a, b, (b[0], low - 1.0), (a[0], low - 1.0)]) for a, b in pairwise(points) if abs(a[0] - b[0]) > 1e-9
    ]
    return joined(p for p in prisms if p.is_valid)


def _touching(shape: shapely.Geometry, foot: float) -> shapely.Polygon:
    """The piece that stands on the foot's level."""
    level = [
        piece
        for piece in shapely.get_parts(shape)
        if piece.geom_type == "Polygon" and min(abs(piece.bounds[1] - foot), abs(piece.bounds[3] - foot)) < 1e-6
    ]
    return max(level, key=lambda piece: piece.area, default=shapely.Polygon())


def _shortest(ply: shapely.Polygon) -> float:
    """A leg's length where it is shortest, mm; 0 where there is none."""
    if ply.is_empty:
        return 0.0
    left, _, right, _ = ply.bounds
    lengths = []
    for y in np.linspace(left + 0.01, right - 0.01, 9):
        line = shapely.LineString([(y, -1e5), (y, 1e5)]).intersection(ply)
        lengths.append(float(line.length))
    return min(lengths)


def _tongue(footing: LegSetting, foot: float, down: float) -> tuple[shapely.Polygon, shapely.Polygon, Circle]:
    """The tongue beside the rail, the relief in its corner, and the relief's circle.

    The circle passes through the corner, its middle off it on the rail's side: the cutter gets in, and
    the rail's arris touches nothing but the two edges.
    """
    y0, inside = footing.span[0], footing.strongback.inside_width / 2
    end = foot + down * footing.legs.tongue
    tongue = polygon([(y0, foot - down), (inside, foot - down), (inside, end), (y0, end)])
    r = footing.cutter_radius
    circle = Circle(centre=(inside + r / np.sqrt(2), foot + down * r / np.sqrt(2)), radius=r)
    return tongue, polygon(circle.arc(0.0, 2 * np.pi)[:-1]), circle


def _moved(lines: FrameLines, by: float) -> list[Circle]:
    circles = lines.circles()
    return [*circles, *(Circle(centre=(c.centre[0], c.centre[1] + by), radius=c.radius) for c in circles)]


def _wide_enough(
    lines: FrameLines,
    footing: LegSetting,
    gussets: Sequence[Gusset],
    notches: Sequence[Notch],
    *,
    on_floor: bool,
) -> None:
    """Raises DraftRefused, with the widths to try, where a leg would come onto a gusset, a notch or a batten."""
    y0, y1 = footing.span
    taken = [gusset.shape.bounds for gusset in gussets if (gusset.corner == 1) == on_floor]
    for notch in notches:
        at_bottom = notch.stringer.share is not None or notch.stringer.corner <= lines.joints[1]
        if at_bottom == on_floor:
            room = shapely.union_all([notch.passage, notch.core.shape.intersection(lines.outer)])
            taken.append(room.bounds)
            if notch.stringer.spec.sides == "both":
                taken.append(mirrored(room).bounds)
    fouls = [(left - CLEAR, right + CLEAR) for left, _, right, _ in taken if left - CLEAR < y1 and right + CLEAR > y0]
    # inside an open frame the legs of an inverted build stand between its sides
    inside_frame = on_floor and footing.build == "inverted"
    edge = float((lines.inner[1] if inside_frame else lines.corners[1] if on_floor else lines.sheer)[0])
    if not fouls and y0 >= CLEAR and y1 <= edge - CLEAR:
        return
    inside = footing.strongback.inside_width
    width, shoulder = y1 - y0, footing.shoulder
    spans = sorted((left - CLEAR, right + CLEAR) for left, _, right, _ in taken)
    free, reached = [], CLEAR
    for left, right in [*spans, (edge - CLEAR, np.inf)]:
        if left - reached >= width:
            free.append((reached, left))
        reached = max(reached, right)
    if not free:
        raise DraftRefused(
            f"its battens and gussets nowhere leave the {width:g} mm that a leg is wide", WIDTH, ARM, SIDE, FLOOR
        )
    ways = [(float(np.ceil(2 * (a + width - shoulder))), float(np.floor(2 * (b - shoulder)))) for a, b in free]
    raise DraftRefused(
        f"its legs would come onto a gusset, a notch or a batten with an inside width of {inside:g} mm",
        Knob(name=INSIDE, spans=tuple(way for way in ways if way[0] <= way[1])),
        WIDTH,
        ARM,
        SIDE,
    )

"""Small pictures of the steps on the bench: what lies already, and what comes now."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.sequence.steps import Step

from ..look import HEAVY, INK, PAPER, QUIET, STRONG, THIN, TONES
from ..sight import Seen, Sight
from ..signs import dowel, screw
from ..svg import Svg
from .markup import Markup

_WIDE, _HIGH, _EDGE = 46.0, 32.0, 2.0


def step_pictures(steps: Sequence[Step], frame: Frame) -> dict[int, Markup]:
    """A picture for each of a frame's steps on the bench that changes what lies there, by the step's number."""
    parts = {part.name: part for part in frame.parts}
    laid: list[Part] = []
    pegs, out = False, {}
    whole = shapely.total_bounds([part.shape for part in frame.parts]).tolist()
    bench = shapely.total_bounds([part.shape for part in frame.parts if part.role != "leg"]).tolist()
    for step in steps:
        new = [parts[name] for name in step.names if name in parts]
        if step.kind == "dowels":
            pegs = True
        elif step.kind == "turn":
            pegs = False
        elif step.kind in ("apart", "wet out"):
            continue
        driven = {name for driving in step.screws for name in driving.screws}
        bounds = whole if any(part.role == "leg" for part in (*laid, *new)) else bench
        out[step.number] = _picture(frame, laid, new, bounds, driven, step, pegs=pegs)
        laid += new
    return out


def _picture(
    frame: Frame,
    laid: Sequence[Part],
    new: Sequence[Part],
    bounds: Sequence[float],
    driven: set[str],
    step: Step,
    *,
    pegs: bool,
) -> Markup:
    left, low, right, high = bounds
    scale = min((_WIDE - 2 * _EDGE) / (right - left), (_HIGH - 2 * _EDGE) / (high - low))
    tall = (high - low) * scale + 2 * _EDGE + (4.0 if step.kind == "turn" else 0.0)
    svg = Svg(_WIDE, tall, title=step.title, description="")
    seen: Seen = "from aft" if step.up == "aft" else "from forward"
    sight = Sight.of((left, low, right, high), (_WIDE / 2, _EDGE + (high - low) * scale / 2), scale, seen)
    toward = -1.0 if step.up == "aft" else 1.0
    for part in sorted([*laid, *new], key=lambda part: (toward * part.low, part.name)):
        fresh = part in new
        shape = sight.shape(shapely.simplify(part.shape, 0.5))
        tone = TONES["gusset"] if fresh else PAPER
        svg.shape(shape, fill=tone, stroke=INK if fresh else QUIET, stroke_width=HEAVY if fresh else THIN)
    if pegs:
        for peg in frame.dowels:
            dowel(svg, sight.point(*peg.at), 0.0)
    for each in frame.screws:
        if each.name in driven:
            screw(svg, sight.point(*each.at), each.driven_from, seen=seen)
    if step.kind == "turn":
        _turned(svg, tall)
    for adding in step.adds:
        _arrow(svg, sight, [part for part in new if part.name in adding.names], adding.toward)
    return Markup(svg.inline())


def _turned(svg: Svg, tall: float) -> None:
    """Two arrows about the upright middle line: over it goes sideways."""
    x, y = _WIDE / 2, tall - 1.0
    svg.line((x, 1.0), (x, tall - 1.0), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray="3 1 0.6 1")
    turn = np.linspace(np.pi * 0.1, np.pi * 0.9, 13)
    arc = np.column_stack([x + 8.0 * np.cos(turn), y - 3.0 * np.sin(turn)])
    svg.line(*map(tuple, arc.tolist()), fill="none", stroke=STRONG, stroke_width=0.4)
    tip = arc[-1]
    svg.shape(shapely.Polygon(tip + np.array([(-0.9, 1.6), (-0.9, -0.9), (1.6, 0.2)])), fill=STRONG)


def _arrow(svg: Svg, sight: Sight, parts: Sequence[Part], toward: tuple[float, float, float] | None) -> None:
    """Where a part slides in from."""
    if toward is None or not parts or abs(toward[2]) > 0.5:
        return
    ((y, v),) = shapely.union_all([part.shape for part in parts]).centroid.coords
    end = np.array(sight.point(y, v))
    way = np.array([toward[0] * sight.side, -toward[1]])
    svg.line(tuple(end - 7.0 * way), tuple(end), fill="none", stroke=STRONG, stroke_width=0.5)
    across = np.array([-way[1], way[0]])
    svg.shape(shapely.Polygon([end + 1.8 * way, end + 0.9 * across, end - 0.9 * across]), fill=STRONG)

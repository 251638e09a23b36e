"""A frame from one side, to scale: what the pages of frames begin with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.measurements.diagonals import Diagonal

from ...marks.placing import Places
from ..figure import FramePlot
from ..layers import timbers_of
from ..letters import size_of
from ..look import INK, QUIET, SMALL
from ..sight import Seen, Sight, fitting, scale_words
from ..signs import CLEAR, leader, scale_bar, signs_key
from ..svg import Svg
from .markup import Markup
from .style import WIDTH

_NAMES = (20.0, 9.0)  # mm to each side, and above and below, for the names of things
_HIGH = 76.0  # mm that the frame itself may be high
_FOOT = 12.0  # mm below it for signs and the scale bar


def bench_view(frame: Frame, assembly: Assembly, seen: Seen, checks: Sequence[Diagonal]) -> Markup:
    """The frame as it lies on the bench, without legs and battens, and the diagonals measured before it is glued."""
    bare = replace(frame, parts=tuple(part for part in frame.parts if part.role != "leg"))
    return frame_view(bare, replace(assembly, battens=(), strongback=None), seen, checks)


def frame_view(frame: Frame, assembly: Assembly, seen: Seen, checks: Sequence[Diagonal] = ()) -> Markup:
    """The frame seen from one side, and the diagonals `checks`."""
    timbers = timbers_of(frame, assembly)
    left, low, right, high = shapely.total_bounds(
        [*(p.shape for p in frame.parts), *(t.shape for t in timbers)]
    ).tolist()
    bounds = left, low, right, high
    wide, high = right - left, high - low
    scale = fitting(wide, high, (WIDTH - 2 * _NAMES[0], _HIGH))
    height = high * scale + 2 * _NAMES[1] + _FOOT
    svg = Svg(WIDTH, height, title=f"{frame.name}, seen {seen}", description="")
    sight = Sight.of(bounds, (WIDTH / 2, _NAMES[1] + high * scale / 2), scale, seen)
    plot = FramePlot(svg, frame, assembly, sight, seen)
    plot.draw()
    places = Places(page=shapely.box(0, 0, WIDTH, height - _FOOT), clear=CLEAR, drawn=plot.drawn)
    places.cross(*plot.line_boxes())
    with svg.group("checks"):
        for check in checks:
            _diagonal(svg, sight, places, check)
    plot.name(places)
    with svg.group("foot", fill=INK):
        signs_key(svg, (1.0, height - 7.5), frame, seen)
        words = f"{frame.name} seen {seen}, scale {scale_words(scale)}, mm"
        scale_bar(svg, (WIDTH - 2.0, height - 4.0), scale, words)
    return Markup(svg.inline())


def _diagonal(svg: Svg, sight: Sight, places: Places, check: Diagonal) -> None:
    start, end = sight.point(*check.start), sight.point(*check.end)
    svg.line(start, end, fill="none", stroke=QUIET, stroke_width=0.2, stroke_dasharray="3 1")
    for at in (start, end):
        svg.circle(at, 0.7, fill="none", stroke=INK, stroke_width=0.25)
    words = f"{check.length:.1f}"
    spot = shapely.LineString([start, end]).interpolate(0.33, normalized=True)
    placed = places.beside(size_of(words, SMALL), (spot.x, spot.y), places.drawn)
    if placed is not None and placed.lead is not None:
        leader(svg, *placed.lead)
        left, _, right, low = placed.box.bounds
        svg.words(((left + right) / 2, low), words, SMALL, fill=INK, text_anchor="middle")

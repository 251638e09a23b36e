"""The chapter of setting up: the strongback in plan with its marks, the table of frames, and the steps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.rail_marks import RailLayout, RailMark, rail_layout
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import Cards

from ..look import CHAIN, INK, OUTLINE, QUIET, RAIL, SMALL, THIN
from ..sight import fitting, scale_words
from ..signs import scale_bar
from ..svg import Svg
from .markup import Markup, chapter, element, figure, table
from .step_list import step_list
from .style import WIDTH


def setting_up_chapter(assembly: Assembly, steps: Sequence[Step], cards: Cards) -> Markup:
    """The strongback and the frames on it; `steps` are those of setting up without battens. Empty without any."""
    if not steps:
        return Markup("")
    layout, rails = rail_layout(assembly), assembly.strongback
    content: list[str] = []
    if rails is not None and layout.length is not None and layout.diagonal is not None:
        content += [
            figure(
                _plan(assembly, layout),
                "From above, forward to the right. Hook the tape on the aft end: every mark is from there.",
            ),
        ]
    content += [
        table(
            (
                "frame",
                "mark",
                "on it",
                "from the last mark",
                "from the last's forward face to its aft face",
                "lowest edge up",
                "leans",
            ),
            _rows(layout),
        ),
        element("p", "mm; faces and edges are those of the cores, where the rail tops are.", class_="quiet"),
        step_list(steps, cards, {}),
    ]
    return chapter("setting-up", "Setting up", *content)


def _rows(layout: RailLayout) -> list[tuple[str, ...]]:
    return [
        (
            mark.frame,
            f"{mark.from_end:.1f}",
            mark.face,
            "" if mark.apart is None else f"{mark.apart:.1f}",
            "" if mark.clear is None else f"{mark.clear:.1f}",
            "" if mark.lowest is None else f"{mark.lowest:.1f}",
            lean(mark),
        )
        for mark in layout.marks
    ]


def lean(mark: RailMark) -> str:
    """ "plumb", or which way its upper end leans and by how much."""
    if abs(mark.lean) < 1e-4:
        return "plumb"
    way = "aft" if mark.lean > 0 else "forward"
    return f"{abs(np.degrees(mark.lean)):.1f}° {way}, {100 * abs(np.tan(mark.lean)):.1f} mm in 100 mm"


def _plan(assembly: Assembly, layout: RailLayout) -> Markup:
    rails = assembly.strongback
    assert rails is not None and layout.length is not None
    breadth = rails.inside_width + 2 * rails.width
    scale = fitting(layout.length, breadth, (WIDTH - 4.0, 40.0))
    height = breadth * scale + 34.0
    svg = Svg(WIDTH, height, title="strongback", description="")
    left, middle = (WIDTH - layout.length * scale) / 2, 12.0 + breadth * scale / 2
    for side in (1.0, -1.0):
        inner, outer = side * rails.inside_width / 2 * scale, side * (rails.inside_width / 2 + rails.width) * scale
        box = shapely.box(left, middle - max(inner, outer), left + layout.length * scale, middle - min(inner, outer))
        svg.shape(box, fill=RAIL, stroke=INK, stroke_width=OUTLINE)
    ends = (left - 1.5, middle), (left + layout.length * scale + 1.5, middle)
    svg.line(*ends, fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    top, low = middle - breadth / 2 * scale, middle + breadth / 2 * scale
    past = -10.0
    for n, mark in enumerate(layout.marks):
        x = left + mark.from_end * scale
        svg.line((x, top - 3.0), (x, low + 3.0), fill="none", stroke=INK, stroke_width=0.3)
        if mark.face != "middle":
            way = 1.4 if mark.face == "aft face" else -1.4  # the side of the mark on which the frame stands
            svg.shape(_stands(x, way, top, low), fill=INK)
        svg.words((x, top - 4.0), mark.frame, SMALL, fill=INK, text_anchor="middle")
        row = low + 6.0 + (3.4 if x - past < 11.0 and n % 2 else 0.0)
        past = x
        svg.words((x, row), f"{mark.from_end:.1f}", SMALL, fill=INK, text_anchor="middle")
    svg.words((0.5, height - 2.0), "black: on which side of its mark a frame stands", SMALL, fill=QUIET)
    scale_bar(svg, (WIDTH - 2.0, height - 2.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def _stands(x: float, way: float, top: float, low: float) -> shapely.Geometry:
    return shapely.union_all([shapely.box(min(x, x + way), y - 1.0, max(x, x + way), y + 1.0) for y in (top, low)])

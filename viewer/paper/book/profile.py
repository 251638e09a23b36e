"""The boat from the side, to scale: frames, battens and rails."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Place

from ...marks.forms import form_of
from ..look import BATTEN, CHAIN, INK, OUTLINE, QUIET, RAIL, SMALL, THIN, TONES
from ..sight import fitting, scale_words
from ..signs import draw_form, scale_bar
from ..svg import Svg
from .markup import Markup
from .style import WIDTH


def profile(assembly: Assembly, found: tuple[Finding, Place] | None = None) -> Markup:
    """The boat from starboard, forward to the right, to scale; round the place of a finding its form."""
    rails, bounds = assembly.strongback, bounds_of(assembly)
    x = [bounds[0], bounds[3]] + ([rails.start, rails.end] if rails else [])
    depth = rails.depth * (1.0 if assembly.build == "inverted" else -1.0) if rails else 0.0
    z = [bounds[2], bounds[5], 0.0, depth]
    wide, high = max(x) - min(x), max(z) - min(z)
    scale = fitting(wide, high, (WIDTH - 3.0, 70.0))
    height = high * scale + 18.0
    svg = Svg(WIDTH, height, title=f"{assembly.name}, profile", description="")
    left = (WIDTH - wide * scale) / 2

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return left + (point[0] - min(x)) * scale, 8.0 + (max(z) - point[1]) * scale

    if rails is not None:
        box = shapely.box(*at((rails.start, max(0.0, depth))), *at((rails.end, min(0.0, depth))))
        svg.shape(box, fill=RAIL, stroke=INK, stroke_width=THIN)
    for frame in assembly.frames:
        for role in ("leg", "core", "gusset", "plate"):
            for part in (part for part in frame.parts if part.role == role):
                _, low, _, top = part.shape.bounds
                rows = [(w, v) for w, v in ((part.low, low), (part.high, low), (part.high, top), (part.low, top))]
                hull = frame.placement.to_hull([(0.0, v, w) for w, v in rows])
                shape = shapely.Polygon([at((float(p[0]), float(p[2]))) for p in hull])
                svg.shape(shape, fill=TONES[part.role], stroke=INK, stroke_width=THIN)
        place = at((frame.placement.station, max(z)))
        svg.words((place[0], 5.0), frame.name, SMALL, fill=INK, text_anchor="middle")
    for batten in assembly.battens:
        line = batten.centre(np.linspace(batten.centres[0, 0], batten.centres[-1, 0], 80))
        points = [at((float(p[0]), float(p[2]))) for p in line]
        svg.line(*points, fill="none", stroke=BATTEN, stroke_width=2 * OUTLINE)
    svg.line(at((min(x), 0.0)), at((max(x), 0.0)), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    if found is not None:
        x_at, _, z_at = found[1]
        draw_form(svg, form_of(found[0]), at((x_at, z_at)), 3.0)
    svg.words((1.0, height - 2.0), "aft to the left", SMALL, fill=QUIET)
    scale_bar(svg, (WIDTH - 2.0, height - 2.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def bounds_of(assembly: Assembly) -> NDArray[np.float64]:
    """Least and greatest x, y, z of frames and battens, (6,)."""
    corners = [
        batten.centre(np.linspace(batten.centres[0, 0], batten.centres[-1, 0], 60)) for batten in assembly.battens
    ]
    for frame in assembly.frames:
        for part in frame.parts:
            if part.role == "leg":
                continue
            ring = np.asarray(part.shape.exterior.coords)
            for w in (part.low, part.high):
                corners.append(frame.placement.to_hull(np.column_stack([ring, np.full(len(ring), w)])))
    every = np.concatenate(corners) if corners else np.zeros((1, 3))
    return np.concatenate([every.min(axis=0), every.max(axis=0)])

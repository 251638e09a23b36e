"""The first chapter: the boat, its sizes, what to buy; and the cautions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.purchases import purchases
from scrieve.model.sequence.steps.cards import label_rule
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from ...reports.style import count
from ..look import BATTEN, CHAIN, INK, OUTLINE, QUIET, RAIL, SMALL, THIN, TONES
from ..sight import fitting, scale_words
from ..signs import scale_bar
from ..svg import Svg
from .markup import Markup, bullets, chapter, element, figure, table
from .style import WIDTH


def boat_chapter(assembly: Assembly) -> Markup:
    """The boat and what to buy."""
    bounds = _bounds(assembly)
    mass = sum(part.mass for part in assembly.parts())
    over = [f"{size:.0f}" for size in bounds[3:] - bounds[:3]]
    said = [
        f"{count(len(assembly.frames), 'frame')}, {count(len(assembly.battens), 'batten')}; built {assembly.build}.",
        f"Frames and battens measure {over[0]} mm fore and aft, {over[1]} mm across, {over[2]} mm in height.",
        *([f"Plywood of the frames: {mass:.1f} kg."] if mass > 0.05 else []),
    ]
    return chapter(
        "boat",
        "The boat",
        figure(_profile(assembly, bounds), "Seen from starboard: frames, battens and rails."),
        bullets(said),
        element("p", label_rule(assembly), class_="rule"),
        element("h3", "What to buy"),
        *_to_buy(assembly),
    )


def _bounds(assembly: Assembly) -> np.ndarray:
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


def _to_buy(assembly: Assembly) -> Iterator[Markup]:
    wanted, rails = purchases(assembly), assembly.strongback
    rows = [(f"screws, {size.name}, countersunk", str(number), "") for size, number in wanted.screws]
    for diameter, number in wanted.dowels:
        stands = f"to stand {wanted.dowel_stands:g} mm above the board at most"
        rows.append((f"dowels, {diameter:g} mm", str(number), f"the board's thickness long, and {stands}"))
    for sheet in wanted.sheets:
        size = f", {sheet.size[0]:g} x {sheet.size[1]:g} mm" if sheet.size else ""
        full = f", {100 * sheet.full:.0f} % full" if sheet.full is not None else ""
        kg = f", {sheet.mass:.1f} kg" if sheet.mass > 0.05 else ""
        drawn = str(sheet.sheets) if sheet.sheets else "not drawn"
        rows.append(
            (f"sheets, {sheet.name}, {sheet.thickness:g} mm{size}", drawn,
             f"{count(sheet.parts, 'part')}, {sheet.area:.2f} m²{full}{kg}")
        )  # fmt: skip
    for batten in wanted.battens:
        plies = f" in {batten.layers} layers" if batten.layers > 1 else ""
        long, short = batten.section
        rows.append(
            (f"batten, {batten.kind}, {long:g} x {short:g} mm{plies}", str(batten.count),
             f"{batten.length:.0f} mm long, allowance and all")
        )  # fmt: skip
    if rails is not None:
        rows.append((f"rails, {rails.width:g} x {rails.depth:g} mm", "2", f"{rails.end - rails.start:.0f} mm long"))
    yield table(("what", "how many", "more"), rows)
    yield element("p", "Glue, filler, film, weights and planking are not counted here.", class_="quiet")


def cautions_chapter() -> Markup:
    """What can hurt, and what this book is not."""
    cards = [
        element("div", element("p", element("b", f"{each.topic.capitalize()}. "), each.text), class_="card caution")
        for each in CAUTIONS.values()
    ]
    return chapter("cautions", "Cautions", *cards, element("p", DEFER), element("p", FIT_ONLY, class_="rule"))


def _profile(assembly: Assembly, bounds: np.ndarray) -> Markup:
    """The boat from starboard, forward to the right, to scale."""
    rails = assembly.strongback
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
    svg.words((1.0, height - 2.0), "aft to the left", SMALL, fill=QUIET)
    scale_bar(svg, (WIDTH - 2.0, height - 2.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())

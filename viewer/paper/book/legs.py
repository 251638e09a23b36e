"""The chapter of the legs: a pair drawn as hands, its measures by letter, and the table of all of them."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.measurements.leg_lengths import LegLength, LegPlyLength, leg_lengths
from scrieve.model.sequence.steps.cards import LEG_CARD
from scrieve.model.sequence.steps.words import short

from ...marks.placing import Places
from ..layers import painted
from ..look import CHAIN, INK, OUTLINE, QUIET, SMALL, THIN, TONES
from ..sight import Sight, fitting, scale_words
from ..signs import draw_dimension, scale_bar
from ..svg import Svg
from .markup import Markup, bullets, chapter, element, figure, table

_WIDE, _HIGH = 100.0, 80.0

_LETTERS = (
    "A: outer edge, from the foot on the rail to the head",
    "B: inner edge, from the level of the foot to the head",
    "C: tongue, below the foot",
    "D: whole length over all",
    "E: lap, how far the ply lies on the core",
    "F, G: inner and outer edge from the centreline",
)


def legs_chapter(assembly: Assembly) -> Markup:
    """The legs of a boat; empty where it has none."""
    found = [(frame, leg_lengths(frame, assembly)) for frame in assembly.frames if frame.legs]
    if not found:
        return Markup("")
    frame, legs = min(found, key=lambda each: -max(ply.whole for leg in each[1] for ply in leg.plies))
    rows = [row for frame, legs in found for row in _rows(legs)]
    return chapter(
        "legs",
        "Legs",
        figure(_pair(frame, legs, assembly), f"The legs of {frame.name} as hands: port and starboard."),
        bullets(LEG_CARD),
        element("p", "Go on when both hands of each frame lie on one another alike.", class_="go"),
        bullets(_LETTERS),
        table(("leg ply", "lies", "A", "B", "C", "D", "E", "F", "G"), rows, class_="names"),
    )


def _rows(legs: tuple[LegLength, ...]) -> Iterator[tuple[str, ...]]:
    """A row a ply; the two hands together where they are alike."""
    told: dict[tuple[str, ...], list[str]] = {}
    for leg in legs:
        for ply in leg.plies:
            told.setdefault(_measures(ply), []).append(ply.name)
    for measures, names in told.items():
        yield _both(names), *measures


def _both(names: list[str]) -> str:
    frame = names[0].partition(" ")[0]
    whats = {short(name).partition(" ")[2] for name in names}
    return f"{frame} {whats.pop()}, both hands" if len(names) == 2 and len(whats) == 1 else ", ".join(names)


def _measures(ply: LegPlyLength) -> tuple[str, ...]:
    lengths = (ply.outer, ply.inner, ply.tongue or None, ply.whole, ply.lap or None, *ply.across)
    return ply.face, *("" if length is None else f"{length:.1f}" for length in lengths)


def _pair(frame: Frame, legs: tuple[LegLength, ...], assembly: Assembly) -> Markup:
    plies = [ply for leg in frame.legs for ply in leg.plies]
    left, low, right, high = shapely.total_bounds([ply.shape for ply in plies]).tolist()
    scale = fitting(right - left, high - low, (_WIDE - 44.0, _HIGH - 24.0))
    svg = Svg(_WIDE, _HIGH, title=f"legs of {frame.name}", description="")
    sight = Sight.of((left, low, right, high), (_WIDE / 2, (_HIGH - 8.0) / 2), scale, "from aft")
    for layer in painted(plies, "from aft"):
        svg.shape(sight.shape(layer.visible), fill=TONES["leg"], stroke=INK, stroke_width=OUTLINE)
        svg.shape(sight.shape(layer.hidden), fill="none", stroke=INK, stroke_width=THIN, stroke_dasharray="1.2 0.8")
    x, y = sight.point(0.0, 0.0)
    svg.line((x - 46, y), (x + 46, y), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    svg.line((x, 2.0), (x, _HIGH - 10.0), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    if assembly.strongback is not None:
        svg.words((x - 46, y - 0.9), "rail tops", SMALL, fill=QUIET)
    for leg in frame.legs:
        at = sight.point(leg.plies[0].shape.centroid.x, low + 0.45 * (high - low))
        svg.words(at, leg.side, SMALL, fill=INK, text_anchor="middle", turned=-90.0)
    _letters(svg, sight, legs[0], assembly)
    svg.words((1.0, _HIGH - 2.0), "seen from aft", SMALL, fill=QUIET)
    scale_bar(svg, (_WIDE - 2.0, _HIGH - 2.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def _letters(svg: Svg, sight: Sight, leg: LegLength, assembly: Assembly) -> None:
    """The letters on the first leg: of its longest ply."""
    ply = max(leg.plies, key=lambda each: each.whole)
    up = 1.0 if assembly.build == "upright" else -1.0
    y = (1.0 if leg.side == "port" else -1.0) * ply.across[1]
    inner = (1.0 if leg.side == "port" else -1.0) * ply.across[0]
    places = Places(page=shapely.box(0, 0, _WIDE, _HIGH), clear=0.4)
    if ply.outer is not None:
        draw_dimension(svg, places, sight.point(y, up * ply.outer), sight.point(y, 0.0), "A", off=7.0)
    if ply.tongue:
        draw_dimension(svg, places, sight.point(y, 0.0), sight.point(y, -up * ply.tongue), "C", off=7.0)
    draw_dimension(
        svg, places, sight.point(y, up * (ply.whole - ply.tongue)), sight.point(y, -up * ply.tongue), "D", off=15.0
    )
    base = sight.point(inner, up * (ply.inner or 0.0)), sight.point(inner, 0.0)
    draw_dimension(svg, places, (base[0][0] + 9.0, base[0][1]), (base[1][0] + 9.0, base[1][1]), "B", off=4.0)

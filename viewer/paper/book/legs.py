"""The chapter of the legs: a pair drawn as hands, its measures by letter, and the table of all of them."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.measurements.leg_lengths import LegLength, LegPlyLength, leg_lengths
from scrieve.model.sequence.steps.watching import LEG_LETTERS, ply_letters
from scrieve.model.sequence.steps.words import short

from ...marks.placing import Places
from ..layers import painted
from ..look import CHAIN, INK, OUTLINE, QUIET, SMALL, THIN, TONES
from ..sight import Sight, fitting, scale_words
from ..signs import draw_dimension, scale_bar
from ..svg import Svg
from .markup import Markup, chapter, element, figure, table

_LETTERS = "ABCDEFGHJ"

_WIDE, _HIGH = 176.0, 126.0
_ABOVE, _FOOT = 24.0, 12.0  # mm of paper above and below the legs, for their dimensions
_ACROSS = (4.0, 9.5, 15.0)  # mm above the legs: F, G, H


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
        figure(
            _pair(frame, legs, assembly),
            f"The legs of {frame.name} as hands, its core behind them; those of the other frames are lettered alike.",
        ),
        element("p", f"{LEG_LETTERS}. mm; a row without a side is for both hands."),
        element(
            "p",
            "Go on when both hands of each frame lie on one another alike.",
            class_="go",
        ),
        table(("leg ply", "lies", *_LETTERS), rows, class_="names"),
    )


def _rows(legs: tuple[LegLength, ...]) -> Iterator[tuple[str, ...]]:
    """A row a ply; the two hands together where they are alike."""
    told: dict[tuple[str, ...], list[str]] = {}
    for leg in legs:
        for ply in leg.plies:
            told.setdefault(_measures(ply, leg), []).append(ply.name)
    for measures, names in told.items():
        yield _both(names), *measures


def _both(names: list[str]) -> str:
    frame = names[0].partition(" ")[0]
    whats = {short(name).partition(" ")[2] for name in names}
    return f"{frame} {whats.pop()}" if len(names) == 2 and len(whats) == 1 else ", ".join(names)


def _measures(ply: LegPlyLength, leg: LegLength) -> tuple[str, ...]:
    letters = ply_letters(ply, leg)
    return ply.face, *(f"{letters[letter]:.1f}" if letter in letters else "" for letter in _LETTERS)


def _pair(frame: Frame, legs: tuple[LegLength, ...], assembly: Assembly) -> Markup:
    plies = [ply for leg in frame.legs for ply in leg.plies]
    left, low, right, high = shapely.total_bounds([ply.shape for ply in plies]).tolist()
    scale = fitting(right - left, high - low, (_WIDE - 60.0, _HIGH - _ABOVE - _FOOT))
    svg = Svg(_WIDE, _HIGH, title=f"legs of {frame.name}", description="")
    middle = (_WIDE / 2, _ABOVE + (high - low) * scale / 2)
    sight = Sight.of((left, low, right, high), middle, scale, "from aft")
    page = shapely.box(0, _ABOVE - 3.0, _WIDE, _HIGH - _FOOT)
    for part in frame.core:
        wood = shapely.intersection(sight.shape(part.shape), page)
        svg.shape(wood, fill=TONES["core"], fill_opacity=0.5, stroke=QUIET, stroke_width=THIN)
    for layer in painted(plies, "from aft"):
        svg.shape(sight.shape(layer.visible), fill=TONES["leg"], stroke=INK, stroke_width=OUTLINE)
        svg.shape(sight.shape(layer.hidden), fill="none", stroke=INK, stroke_width=THIN, stroke_dasharray="1.2 0.8")
    x, y = sight.point(0.0, 0.0)
    svg.line((x - 60, y), (x + 60, y), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    svg.line((x, 2.0), (x, _HIGH - 10.0), fill="none", stroke=QUIET, stroke_width=THIN, stroke_dasharray=CHAIN)
    if assembly.strongback is not None:
        svg.words((x - 60, y - 0.9), "rail tops", SMALL, fill=QUIET)
    for leg in frame.legs:
        left, _, right, _ = leg.plies[0].shape.bounds
        at = sight.point(0.3 * min(left, right, key=abs) + 0.7 * max(left, right, key=abs), low + 0.25 * (high - low))
        svg.words(at, leg.side, SMALL, fill=INK, text_anchor="middle", turned=-90.0)
    places = Places(page=shapely.box(0, 0, _WIDE, _HIGH), clear=0.4)
    up = 1.0 if assembly.build == "upright" else -1.0
    top = min(sight.point(0.0, low)[1], sight.point(0.0, high)[1])
    for measured in legs:
        _lettered(svg, sight, places, measured, up, top)
    if legs[0].off_core is not None:
        draw_dimension(svg, places, sight.point(0.0, up * legs[0].off_core), sight.point(0.0, 0.0), "J", off=0.0)
    svg.words((1.0, _HIGH - 2.0), "seen from aft", SMALL, fill=QUIET)
    scale_bar(svg, (_WIDE - 2.0, _HIGH - 2.5), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def _lettered(svg: Svg, sight: Sight, places: Places, leg: LegLength, up: float, top: float) -> None:
    """The letters on a leg, of its longest ply: lengths beside it, places across above it, `top` on paper."""
    ply = max(leg.plies, key=lambda each: each.whole)
    letters = ply_letters(ply, leg)
    hand = 1.0 if leg.side == "port" else -1.0
    outer, inner = hand * ply.across[1], hand * ply.across[0]
    foot = -letters.get("C", 0.0)
    spans = {
        "A": (outer, letters.get("A"), 0.0, 9.0),
        "B": (inner, letters.get("B"), 0.0, 2.6),
        "C": (outer, 0.0, foot, 9.0),
        "D": (outer, letters["D"] + foot, foot, 16.0),
        "E": (outer, letters.get("A"), letters.get("A", 0.0) - letters.get("E", 0.0), 3.5),
    }
    for letter, (y, high, low, off) in spans.items():
        if letter in letters and high is not None:
            start, end = sight.point(y, up * high), sight.point(y, up * low)
            draw_dimension(svg, places, start, end, letter, off=hand * off)
    for letter, off in zip("FGH", _ACROSS, strict=True):
        if letter in letters:
            middle, out = (sight.point(y, 0.0)[0] for y in (0.0, hand * letters[letter]))
            draw_dimension(svg, places, (middle, top), (out, top), letter, off=off)

"""A section through a joint: the plies, the screw, the drill's stop, and the wood that stays beyond the tip."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from scrieve.model.boat.screw import Screw
from scrieve.model.sequence.steps import Driving
from scrieve.model.sequence.steps.words import short

from ...marks.hatch import hatching
from ...marks.placing import Places
from ..look import INK, OUTLINE, QUIET, SHANKS, SMALL, TONES
from ..sight import fitting, scale_words
from ..signs import draw_dimension, scale_bar
from ..svg import Svg
from .markup import Markup

_WIDE, _HIGH = 87.0, 62.0
_STRIP = (20.0, 40.0)  # mm of paper across the plies, from where to where
_ROOM = 46.0  # mm that the plies may be deep on paper


def joint_section(screw: Screw, driving: Driving) -> Markup:
    """What a screw of this driving goes through, cut along its axis, its head above."""
    lowest = min(ply.part.low for ply in screw.plies)
    stack = sorted({ply.part for ply in screw.plies}, key=lambda part: part.low)
    top, bottom = max(part.high for part in stack), min(lowest, min(screw.head, screw.tip))
    scale = fitting(top - bottom, top - bottom, (_ROOM, _ROOM))
    sign = 1.0 if screw.driven_from == "forward" else -1.0

    def down(w: float) -> float:
        """Where a depth is on the page, the head's face above."""
        return 8.0 + sign * (screw.head - w) * scale

    svg = Svg(_WIDE, _HIGH, title=f"section through {short(screw.name)}", description="")
    left, right = _STRIP
    middle = (left + right) / 2
    places = Places(page=shapely.box(0, 0, _WIDE, _HIGH), clear=0.5)
    with svg.group("section", stroke_linejoin="round"):
        for n, part in enumerate(stack):
            high, low = sorted((down(part.low), down(part.high)))
            box = shapely.box(left, high, right, low)
            svg.shape(box, fill=TONES[part.role])
            svg.shape(hatching(box, 45.0 if n % 2 else 135.0, 1.6), fill="none", stroke=INK, stroke_width=0.1)
            svg.shape(box, fill="none", stroke=INK, stroke_width=OUTLINE)
            words = f"{short(part.name)}, {part.thickness:g} mm {part.stock}"
            svg.words((right + 2.0, (high + low) / 2 + 0.7), words, SMALL, fill=INK)
        rim = [(middle + radius * scale, down(screw.head) + depth * scale) for depth, radius in screw.profile]
        other = [(2 * middle - x, y) for x, y in reversed(rim)]
        svg.shape(shapely.Polygon(rim + other), fill=SHANKS[0], stroke=INK, stroke_width=OUTLINE)
    with svg.group("stop"):
        y = down(screw.head) + driving.stop * scale
        svg.line((left - 3.0, y), (right, y), fill="none", stroke=INK, stroke_width=0.3, stroke_dasharray="1.4 0.8")
    with svg.group("measure"):
        _upright(svg, places, left, down(screw.head), y, f"{driving.stop:.1f}")
        svg.words((1.0, 4.0), f"drill: stop {driving.stop:.1f} below the {screw.driven_from} face", SMALL, fill=INK)
        last = screw.plies[-1]
        beyond = last.thickness - last.depth
        if beyond > 0.0:
            low = down(screw.tip) + beyond * scale
            svg.words((right + 2.0, low + 3.2), f"{beyond:.1f} mm of it left beyond the tip", SMALL, fill=INK)
    scale_bar(svg, (_WIDE - 2.0, _HIGH - 2.5), scale, scale_words(scale))
    svg.words((0.5, _HIGH - 2.1), driving.size, SMALL, fill=QUIET)
    return Markup(svg.inline())


def _upright(svg: Svg, places: Places, x: float, top: float, low: float, words: str) -> None:
    draw_dimension(svg, places, (x, low), (x, top), words, off=9.0)


def one_of_each(drivings: Sequence[Driving], screws: Sequence[Screw]) -> list[tuple[Screw, Driving]]:
    """A screw for every way in which screws are drilled for, by face, size, stop and what they go through."""
    by_name = {screw.name: screw for screw in screws}
    found: dict[tuple[object, ...], tuple[Screw, Driving]] = {}
    for driving in drivings:
        for name in driving.screws:
            screw = by_name[name]
            through = tuple((ply.part.stock, round(ply.thickness, 3)) for ply in screw.plies)
            found.setdefault((driving.driven_from, driving.size, driving.stop, through), (screw, driving))
    return list(found.values())

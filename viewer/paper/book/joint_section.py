"""A section through a joint: the plies, the screw, the drill's stop, and the wood that stays beyond the tip."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.screw import Screw
from scrieve.model.sequence.steps import Driving
from scrieve.model.sequence.steps.words import short

from ...marks.hatch import hatching
from ...marks.placing import Places
from ..look import DASHES, INK, OUTLINE, PAPER, QUIET, SHANKS, SMALL, THIN, TONES
from ..sight import fitting, scale_words
from ..signs import draw_dimension, scale_bar
from ..svg import Svg
from .markup import Markup

_WIDE = 87.0
_STRIP = (20.0, 40.0)  # mm of paper across the plies, from where to where
_ROOM = 62.0  # mm that the plies may be deep on paper
_TOP, _FOOT = 8.0, 10.0  # mm above and below them


def joint_section(screw: Screw, driving: Driving, frame: Frame) -> Markup:
    """What a screw of this driving goes through, cut along its axis, its head above; the plates beyond it light."""
    own = {ply.part for ply in screw.plies}
    stack = sorted(
        (part for part in frame.parts if part in own or part.is_under(shapely.Point(screw.at), *screw.at)),
        key=lambda part: part.low,
    )
    deep = max(max(part.high for part in stack), screw.high) - min(stack[0].low, screw.low)
    scale = fitting(deep, deep, (_ROOM, _ROOM))
    sign = 1.0 if screw.driven_from == "forward" else -1.0

    def down(w: float) -> float:
        """Where a depth is on the page, the head's face above."""
        return _TOP + sign * (screw.head - w) * scale

    height = _TOP + deep * scale + _FOOT
    svg = Svg(_WIDE, height, title=f"section through {short(screw.name)}", description="")
    left, right = _STRIP
    middle = (left + right) / 2
    for n, part in enumerate(stack):
        high, low = sorted((down(part.low), down(part.high)))
        box = shapely.box(left, high, right, low)
        light = None if part in own else DASHES
        svg.shape(box, fill=PAPER if light else TONES[part.role])
        if not light:
            svg.shape(hatching(box, 45.0 if n % 2 else 135.0, 1.6), fill="none", stroke=INK, stroke_width=0.1)
        svg.shape(box, fill="none", stroke=INK, stroke_width=THIN if light else OUTLINE, stroke_dasharray=light)
        words = f"{short(part.name)}, {part.thickness:g} mm {part.stock}{', other face' if light else ''}"
        svg.words((right + 2.0, (high + low) / 2), words, SMALL, fill=QUIET if light else INK)
    rim = [(middle + radius * scale, down(screw.head) + depth * scale) for depth, radius in screw.profile]
    other = [(2 * middle - x, y) for x, y in reversed(rim)]
    svg.shape(shapely.Polygon(rim + other), fill=SHANKS[0], stroke=INK, stroke_width=OUTLINE)
    head, stop = down(screw.head), down(screw.head) + driving.stop * scale
    svg.line((left - 3.0, stop), (right, stop), fill="none", stroke=INK, stroke_width=0.3, stroke_dasharray=DASHES)
    places = Places(page=shapely.box(0, 0, _WIDE, height), clear=0.5)
    draw_dimension(svg, places, (left, stop), (left, head), f"{driving.stop:.1f}", off=9.0)
    svg.words((1.0, 4.0), f"STOP {driving.stop:.1f} mm below the {screw.driven_from} face", SMALL, fill=INK)
    holes = f"clearance {driving.clearance:.1f} mm", "" if driving.pilot is None else f"pilot {driving.pilot[0]:.1f} mm"
    for words, ply in zip((f"{holes[0]}, countersink flush", holes[1]), screw.plies, strict=False):
        depth = (down(ply.part.low) + down(ply.part.high)) / 2 + 3.2
        svg.words((right + 2.0, depth), words, SMALL, fill=INK)
    last = screw.plies[-1]
    if (beyond := last.thickness - last.depth) > 0.0:
        words = f"{beyond:.1f} mm of it left beyond the tip"
        svg.words((right + 2.0, down(screw.tip) + beyond * scale - 0.6), words, SMALL, fill=INK)
    scale_bar(svg, (_WIDE - 2.0, height - 2.5), scale, scale_words(scale))
    svg.words((0.5, height - 2.1), driving.size, SMALL, fill=QUIET)
    return Markup(svg.inline())


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

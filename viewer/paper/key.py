"""What the signs of a drawing mean, and how long its millimetres are."""

from __future__ import annotations

from typing import Literal

import shapely

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Face, Role

from ..marks.hatch import hatching
from .letters import width
from .look import HATCHED, INK, OUTLINE, PAPER, QUIET, SMALL, TONES
from .sight import Seen
from .signs import dowel, screw
from .svg import Point, Svg

_LONGEST = 42.0  # mm of paper
_ROW = 4.2


def signs_key(svg: Svg, at: Point, frame: Frame, seen: Seen) -> float:
    """Where it ends: the signs that this frame has, in two rows, from `at` to the right."""
    faces = {each.driven_from for each in frame.screws}
    near = "forward" if seen == "from forward" else "aft"
    signs: list[tuple[str, Face | Role | Literal["dowel"]]] = []
    signs += [(f"screw from {face}", face) for face in ("aft", "forward") if face in faces]
    signs += [("dowel", "dowel")] if frame.dowels else []
    plates = {part.role for part in frame.parts if part.face == near and part.role in HATCHED}
    signs += [(f"{role} on the {near} face", role) for role in ("gusset", "plate") if role in plates]
    x, y = at
    for column in range(0, len(signs), 2):
        wide = 0.0
        for row, (words, sign) in enumerate(signs[column : column + 2]):
            middle = (x + 1.6, y + row * _ROW)
            if sign == "aft" or sign == "forward":
                screw(svg, middle, sign)
            elif sign == "dowel":
                dowel(svg, middle, 0.0)
            elif sign in HATCHED:
                _swatch(svg, middle, sign)
            svg.words((x + 4.4, middle[1] + 0.75), words, SMALL, fill=QUIET)
            wide = max(wide, width(words, SMALL))
        x += wide + 8.0
    return x


def _swatch(svg: Svg, middle: Point, role: Role) -> None:
    x, y = middle
    box = shapely.box(x - 1.8, y - 1.2, x + 1.8, y + 1.2)
    svg.shape(box, fill=TONES[role])
    svg.shape(hatching(box, *HATCHED[role]), fill="none", stroke=INK, stroke_width=0.09)
    svg.shape(box, fill="none", stroke=INK, stroke_width=OUTLINE)


def scale_bar(svg: Svg, right_end: Point, scale: float, words: str) -> None:
    """A bar in two colours with its length in mm of boat, its right end at a place; the words before it."""
    step = next(n for n in (1000, 500, 200, 100, 50, 20, 10, 5, 2, 1) if n * scale <= _LONGEST)
    length = step * scale
    y = right_end[1]
    right = right_end[0] - width(f"{step:g}", SMALL) / 2
    left = right - length
    svg.words((left - 3.0 - width(words, SMALL), y + 0.4), words, SMALL, fill=QUIET)
    for half, fill in ((0, INK), (1, PAPER)):
        svg.box(left + half * length / 2, y - 0.9, length / 2, 1.2, fill=fill, stroke=INK, stroke_width=0.15)
    for x, value in ((left, "0"), (left + length / 2, f"{step / 2:g}"), (right, f"{step:g}")):
        if x in (left, right) or width(value, SMALL) + width(f"{step:g}", SMALL) < 0.9 * length:
            svg.words((x, y - 1.7), value, SMALL, fill=INK, text_anchor="middle")

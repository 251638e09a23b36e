"""Findings in a picture: forms about their places, and the list of their numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level

from ..flat.placing import Places, together
from ..scene.forms import ERROR, Form, badge_colour, form_of
from ..scene.looks import INK, PAPER, QUIET
from ..style import count, plain
from .canvas import Box, Canvas, Point, cut_short, wide
from .subject import brief

LIST = 0.27
"""of the picture's width, for the list of findings."""

_ROW = (1.3, 1.75)  # times common words, from row to row of the list: at least, at most
_NEAR = 0.55  # times common words; findings this close in the picture share a ring
_PAPER_UNIT = 0.28  # times common words, in points: a unit of `Places`, which counts in mm of paper

Numbered = tuple[int, Finding]


def rings(
    canvas: Canvas, shown: Sequence[Numbered], places: Sequence[Point], size: float, taken: Sequence[Box]
) -> None:
    """The form of its finding about each place, and its number beside it, clear of the boxes that are `taken`."""
    groups = together(places, shown, _NEAR * size)
    unit, radius = _PAPER_UNIT * size, 0.75 * size
    right = canvas.width * (1 - LIST) / unit
    room = Places(page=shapely.box(0, 0, right, canvas.height / unit), drawn=shapely.Polygon())
    room.take(*(shapely.box(*box) for box in np.array(taken).reshape(-1, 4) / unit))
    room.take(*(shapely.Point(np.array(at) / unit).buffer(radius / unit) for at, _ in groups))
    for at, group in groups:
        canvas.mark(_worst(group), at, radius, 0.17 * size)
    badges: list[tuple[Point, str, str]] = []
    for at, group in groups:
        words = ", ".join(str(number) for number, _ in group)
        half = wide(words, 0.85 * size, bold=True) / 2 + 0.6 * size, 0.75 * size
        anchor = (at[0] / unit, at[1] / unit)
        x, y = room.near((2 * half[0] / unit, 2 * half[1] / unit), anchor, (radius + half[0]) / unit)
        middle = x * unit, y * unit
        colour = _worst(group).colour
        badges.append((middle, words, colour))
        way = np.subtract(middle, at)
        far = float(np.hypot(*way))
        if far > radius + half[0] + size:
            start = np.array(at) + way / far * radius
            canvas.line([(float(start[0]), float(start[1])), middle], colour, 0.1 * size, halo=PAPER)
    for middle, words, colour in badges:
        canvas.badge(middle, words, 0.85 * size, colour)


def _worst(group: Sequence[Numbered]) -> Form:
    """The form of those that share a place: that of an error if one of them is."""
    forms = [form_of(finding) for _, finding in group]
    return ERROR if ERROR in forms else forms[0]


def listed(canvas: Canvas, shown: Sequence[Numbered], size: float) -> None:
    """What the numbers stand for, down the right-hand side."""
    left = canvas.width * (1 - LIST) + size
    right = canvas.width - 1.6 * size
    y = 2.6 * size
    errors = sum(finding.level is Level.ERROR for _, finding in shown)
    said = [count(errors, "error")] if errors else []
    said += [count(len(shown) - errors, "warning")] if len(shown) > errors else []
    canvas.words((left, y), ", ".join(said), 1.2 * size, INK, bold=True)
    y += 2.3 * size
    free = canvas.height - y - 1.5 * size
    row = max(_ROW[0], min(_ROW[1], free / size / len(shown))) * size
    most = int(free / row) + 1
    rows = shown if len(shown) <= most else shown[: most - 1]
    pill = min(0.85, 0.56 * row / size) * size
    widest = max(wide(str(number), pill, bold=True) for number, _ in rows) + 1.2 * size
    for number, finding in rows:
        canvas.badge((left + widest / 2, y - 0.36 * size), str(number), pill, badge_colour(finding))
        frame = f"F{plain(finding.frame)}" if finding.frame else ""
        canvas.words((left + widest + 0.6 * size, y), frame, size, INK, bold=True)
        start = left + widest + 3.4 * size
        canvas.words((start, y), cut_short(brief(finding), size, right - start), size, INK)
        y += row
    if len(rows) < len(shown):
        canvas.words((left, y), f"and {len(shown) - len(rows)} more", size, QUIET)

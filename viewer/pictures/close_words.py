"""What is written and drawn over the close-up of a finding: its dimension, its measure, the names of the bodies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Finding

from ..marks.colours import INK, PAPER, STRONG
from ..reports.style import plain
from ..scene.close_names import Named, named_bodies
from ..scene.close_up import CloseUp
from ..scene.sides import View
from ..scene.signs import Ends
from ..scene.triple import Triple
from .canvas import Box, Canvas, Point, overlap, wide, wrapped
from .studio import Studio

_REACH = 9.0  # times common words: a measure shorter than this has its arrows outside
_ASIDE = 5.0  # times common words, from what is measured to its dimension
_OFF = 0.12  # of that, from what is measured to where the lines beside it begin
_NAME = 1.1  # times common words
_MEASURE = 1.35
_AROUND = ((0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.7, -0.7), (-0.7, -0.7), (0.7, 0.7), (-0.7, 0.7))


@dataclass(kw_only=True, eq=False)
class Page:
    """A close-up on its canvas as `view` sees it; words are `size` points large and stay above `low`.

    `taken` are the boxes of what is written already: nothing is written over it.
    """

    canvas: Canvas
    studio: Studio
    view: View
    size: float
    low: float
    taken: list[Box] = field(default_factory=list)

    def dimension(self, ends: Ends, words: str) -> None:
        """A dimension beside what is measured, arrows inside or outside, and the number on paper."""
        canvas, size = self.canvas, self.size
        a, b = (np.array(place) for place in self.studio.places(self.view, ends))
        far = float(np.hypot(*(b - a)))
        way = (b - a) / far if far > 1e-6 else np.array([1.0, 0.0])
        aside = np.array([way[1], -way[0]])
        aside = aside if (round(aside[1], 6), round(aside[0], 6)) <= (0.0, 0.0) else -aside  # up, if it goes that way
        lift = aside * _ASIDE * size
        for end in (a, b):
            canvas.line([_point(end + lift * _OFF), _point(end + lift * 1.15)], INK, 0.08 * size, halo=PAPER)
        a, b = a + lift, b + lift
        head = 1.1 * size
        outside: list[NDArray[np.float64]] = []
        if far > _REACH * size:
            middle = (a + b) / 2
            canvas.arrow(_point(middle), _point(a), INK, 0.12 * size, head=head, halo=PAPER)
            canvas.arrow(_point(middle), _point(b), INK, 0.12 * size, head=head, halo=PAPER)
            at = middle + aside * 1.5 * size
        else:
            tail = 3.2 * size
            canvas.line([_point(a), _point(b)], INK, 0.12 * size, halo=PAPER)
            canvas.arrow(_point(a - way * tail), _point(a), INK, 0.12 * size, head=head, halo=PAPER)
            canvas.arrow(_point(b + way * tail), _point(b), INK, 0.12 * size, head=head, halo=PAPER)
            at = (a + b) / 2 + aside * 1.9 * size
            outside = [a - way * tail, b + way * tail]
        self.taken.append(_around(np.array([a, b, *outside]), 0.3 * size))
        if not words:
            return
        half = np.array([wide(words, _MEASURE * size, bold=True) / 2 + 0.4 * size, size])
        places = [at + aside * abs(float(aside[0])) * half[0]]
        for end in sorted(outside, key=lambda end: (round(float(end[1]), 3), -float(end[0]))):
            out = (end - (a + b) / 2) / np.linalg.norm(end - (a + b) / 2)
            places.insert(-1, end + out * (0.4 * size + float(np.abs(out) @ half)))
        # beyond one of the arrows rather than beside them, over what is measured
        self._slip(next((p for p in places if self._is_free(_point(p), _point(half))), places[-1]), words)

    def measure_beside(self, at: Triple, words: str) -> None:
        """The number below the place, where nothing between two points is measured."""
        ((x, y),) = self.studio.places(self.view, [at])
        self._slip(np.array([x, y + 3.2 * self.size]), words)

    def names(self, finding: Finding, close: CloseUp) -> None:
        """The names of what the finding is about, where it is seen, as far apart as they need to be."""
        tall = self.canvas.height / self.size
        for words, place in close.signs.words:
            (at,) = self.studio.places(self.view, [place])
            self._write(plain(words), [at], at, STRONG)
        for named in named_bodies(finding, close, self.studio.bodies, self.view, tall, self.studio.aspect):
            self._name(named)

    def _name(self, named: Named) -> None:
        spots = [(x * self.size, y * self.size) for x, y in named.spots]
        self._write(named.words, spots, (named.on[0] * self.size, named.on[1] * self.size), INK)

    def _write(self, words: str, spots: Sequence[Point], on: Point, colour: str) -> None:
        """The words at the first of the spots where there is room, else beside a place with a line to it."""
        half = wide(words, _NAME * self.size) / 2 + 0.4 * self.size, 0.9 * self.size
        for spot in spots:
            if self._is_free(spot, half):
                self._put(words, spot, half, colour)
                return
        for far in (1.5, 3.5, 6.0, 9.0):
            for x, y in _AROUND:
                spot = on[0] + x * (far * self.size + half[0]), on[1] + y * (far * self.size + half[1])
                if self._is_free(spot, half):
                    end = np.clip(on, np.subtract(spot, half), np.add(spot, half))
                    self.canvas.line([on, _point(end)], colour, 0.08 * self.size, halo=PAPER)
                    self.canvas.disc(on, 0.22 * self.size, colour)
                    self._put(words, spot, half, colour)
                    return

    def _put(self, words: str, at: Point, half: tuple[float, float], colour: str) -> None:
        self.canvas.words(at, words, _NAME * self.size, colour, anchor="mm", halo=PAPER)
        self.taken.append((at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1]))

    def _is_free(self, at: Point, half: tuple[float, float]) -> bool:
        box = (at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1])
        edge = 0.5 * self.size
        inside = box[0] > edge and box[2] < self.canvas.width - edge and box[1] > edge and box[3] < self.low - edge
        return inside and not any(overlap(box, other) for other in self.taken)

    def _slip(self, at: NDArray[np.float64], words: str) -> None:
        """The number of a measure on a slip of paper, all of it inside the picture."""
        size = self.size
        rows = wrapped(words, _MEASURE * size, self.canvas.width - 2 * size, bold=True)
        widest = max(wide(row, _MEASURE * size, bold=True) for row in rows)
        half = np.array([widest / 2 + 0.4 * size, size * (0.2 + 0.8 * len(rows))])
        edge = half + 0.5 * size
        x, y = _point(np.clip(at, edge, np.maximum(edge, np.array([self.canvas.width, self.low]) - edge)))
        self.canvas.box(x - half[0], y - half[1], x + half[0], y + half[1], PAPER, radius=0.4 * size)
        for n, row in enumerate(rows):
            middle = (x, y + (n - (len(rows) - 1) / 2) * 1.6 * size)
            self.canvas.words(middle, row, _MEASURE * size, STRONG, bold=True, anchor="mm")
        self.taken.append((x - half[0], y - half[1], x + half[0], y + half[1]))


def _around(points: NDArray[np.float64], past: float) -> Box:
    (left, top), (right, low) = points.min(axis=0) - past, points.max(axis=0) + past
    return float(left), float(top), float(right), float(low)


def _point(values: NDArray[np.float64]) -> Point:
    return float(values[0]), float(values[1])

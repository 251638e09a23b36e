"""The ways of what a step adds: from where each thing comes to its place, and those ways drawn in a plotter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .arrows import Arrows
from .body import Body
from .haloed import Haloed
from .looks import COMING
from .showing import Arrangement
from .signs import Ends
from .triple import triple

_DASHES = 9
"""dashes of a way that is drawn, and one gap less."""


def ways_of(bodies: Sequence[Body], made: Arrangement) -> tuple[Ends, ...]:
    """Where each thing that comes begins and ends, hull axes, mm; one way for all that comes as one. No screws.

    They go through the corner nearest to its middle, which in a frame may lie beside it.
    """
    coming = [n for n in sorted(made.coming) if np.any(made.ways[n]) and bodies[n].kind != "screw"]
    many = len({bodies[n].kind for n in coming}) > 1  # a whole frame, or a leg of several plies
    groups: dict[tuple[str, tuple[float, ...]], list[int]] = {}
    for n in coming:
        whole = bodies[n].frame if many else bodies[n].name
        groups.setdefault((whole, tuple(np.round(made.ways[n], 3).tolist())), []).append(n)
    out = []
    for numbers in groups.values():
        points = np.concatenate([bodies[n].points for n in numbers])
        middle = points.mean(axis=0)
        at = points[np.linalg.norm(points - middle, axis=1).argmin()]
        out.append((triple(at + made.ways[numbers[0]]), triple(at)))
    return tuple(out)


def screw_ways(bodies: Sequence[Body], made: Arrangement) -> tuple[Ends, ...]:
    """The same of the screws that come, each by itself."""
    coming = [n for n in sorted(made.coming) if np.any(made.ways[n]) and bodies[n].kind == "screw"]
    return tuple((triple(bodies[n].points[0] + made.ways[n]), triple(bodies[n].points[0])) for n in coming)


class WaysDrawn:
    """Dashed lines with an arrow's head at the place that things come to, while they are on their way."""

    def __init__(self, plotter: Any) -> None:
        self.ways: tuple[Ends, ...] = ()
        self._lines = Haloed(plotter, "ways", COMING)
        self._screws = Haloed(plotter, "screw ways", COMING, width=1.0)
        self._heads = Arrows(plotter, "way heads", colour=COMING)

    def show(self, bodies: Sequence[Body], made: Arrangement) -> None:
        """Shows the ways of what is still coming, and no others."""
        left = any(np.any(made.left[n]) for n in made.coming)
        ways = ways_of(bodies, made) if left else ()
        if ways == self.ways and not left:
            return
        self.ways = ways
        self._lines.draw_between([dash for way in ways for dash in _dashed(way)])
        # screws that come with their plates follow these; so many lines would hide what comes
        self._screws.draw_between(screw_ways(bodies, made) if left and not ways else [])
        self._heads.show([np.array([np.add(end, np.subtract(start, end) * 0.001), end]) for start, end in ways])


def _dashed(way: Ends) -> NDArray[np.float64]:
    """(_DASHES, 2, 3): the dashes of a way."""
    marks = np.linspace(way[0], way[1], 2 * _DASHES)
    return np.asarray(marks.reshape(_DASHES, 2, 3))

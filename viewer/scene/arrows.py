"""Arrows in the scene: straight or bent, always as broad and never too short to be read, hidden by nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv

from ..marks.colours import PAPER, STRONG
from .facing import DRAWN, Facing, Points, follow, to_front

_SHAFT, _HEAD, _BROAD = 2.6, 17.0, 7.5
"""points: half the breadth of the shaft, the length of the head, half its breadth."""

_RIM = 2.2
"""points of paper round it."""

_LEAST = 34.0
"""points; a shorter arrow is drawn this long, its tip where it is."""

_PIECES = 24
_OF_ONE = 2 * _PIECES + 3
"""points of the mesh for one arrow: both sides of the shaft, then the head, its tip last."""


class Arrows:
    """All arrows in one actor. Paper first, then the arrows upon it.

    In the mesh an arrow is _OF_ONE points: the first two are its tail, the last is its tip.
    """

    def __init__(self, plotter: Any, name: str = "arrows", colour: str = STRONG) -> None:
        self.plotter, self._name, self._colour = plotter, name, colour
        self.paths: tuple[Points, ...] = ()
        self._mesh: Any = None
        self._actor: Any = None
        follow(plotter, self._face)

    def show(self, paths: Sequence[Points]) -> None:
        """Draws these lines (each (n, 3), hull axes, mm, from tail to head) as arrows, and no others."""
        self.paths = tuple(path for path in paths if _length(path) > 0.0)
        if self._actor is not None:
            self.plotter.remove_actor(self._actor, render=False, reset_camera=False)
            self._actor = None
        if not self.paths:
            return
        count = 2 * len(self.paths)
        cells = np.concatenate([_cells() + n * _OF_ONE for n in range(count)])
        self._mesh = pv.PolyData.from_regular_faces(np.zeros((count * _OF_ONE, 3)), cells)
        colours = [pv.Color(colour).int_rgb for colour in (PAPER, self._colour)]
        self._mesh.cell_data["colour"] = np.repeat(np.array(colours, dtype=np.uint8), len(cells) // 2, axis=0)
        self._face()
        self._actor = self.plotter.add_mesh(
            self._mesh, scalars="colour", rgb=True, lighting=False, name=self._name, **DRAWN
        )
        to_front(self._actor)

    def _face(self) -> None:
        if self.paths:
            facing = Facing.of(self.plotter)
            made = [self._one(path, facing, rim) for rim in (_RIM, 0.0) for path in self.paths]
            self._mesh.points = np.concatenate(made)

    def _one(self, path: Points, facing: Facing, rim: float) -> Points:
        """(_OF_ONE, 3): an arrow along a path, turned to the eye, broader all round by so many points."""
        end = path[-1]
        point = float(facing.point(end[None])[0])
        long = max(_length(path), 1e-9)
        path = end + (path - end) * max(1.0, _LEAST * point / long)
        long = max(long, _LEAST * point)
        along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        head = min(_HEAD * point, 0.6 * long)
        share = head / (_HEAD * point)
        stops = np.append(np.linspace(0.0, long - head, _PIECES), long)
        line = np.column_stack([np.interp(stops, along, path[:, axis]) for axis in range(3)])
        way = np.gradient(line, axis=0)
        aside = np.cross(way, facing.back)
        lengths = np.linalg.norm(aside, axis=1, keepdims=True)
        aside = np.where(lengths > 1e-9, aside / np.maximum(lengths, 1e-9), facing.right)
        shaft, tip = line[:-1].copy(), line[-1]
        ahead = (tip - shaft[-1]) / np.linalg.norm(tip - shaft[-1])
        shaft[0] -= rim * point * (way[0] / np.linalg.norm(way[0]))
        reach = (_SHAFT * share + rim) * point
        sides = np.stack([shaft + aside[:-1] * reach, shaft - aside[:-1] * reach], axis=1).reshape(-1, 3)
        neck = line[-2] - ahead * rim * point
        broad = (_BROAD * share + 1.5 * rim) * point
        barbs = [neck + aside[-1] * broad, neck - aside[-1] * broad, tip + ahead * 2 * rim * point]
        return np.concatenate([sides, np.array(barbs)])


def _cells() -> np.ndarray:
    here = 2 * np.arange(_PIECES - 1)
    quads = [np.column_stack([here, here + 1, here + 3]), np.column_stack([here, here + 3, here + 2])]
    last = 2 * _PIECES
    return np.concatenate([*quads, [[last, last + 1, last + 2]]])


def _length(path: Points) -> float:
    return float(np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1)))

"""Marks on findings: forms that face the eye, always as large, hidden by nothing.

An error is a dot in a ring in the one strong colour, anything milder an open triangle in ink. The finding
in hand has a wide ring alone, so that what it rings is seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from .looks import INK, STRONG

RING = 15.0
"""points of the picture from the dot to the ring, where there are few marks."""

SMALL = 9.0
"""the same where there are more than FEW."""

FEW = 12

WIDE = 26.0
"""the same for the one in hand."""

_FACETS = 40

Place = tuple[float, float, float]
Points = NDArray[np.float64]


class Marks:
    """The marks in a plotter. They are drawn in the plane of the picture, placed by the camera."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self.places: tuple[Place, ...] = ()
        self.held = -1
        round_ = ring(_FACETS)
        self._errors = Forms(plotter, "marks", STRONG, loops=(round_,), dot=round_ / 4)
        self._others = Forms(plotter, "milder marks", INK, loops=(ring(3) * 0.8,), dot=None)
        self._hand = Forms(plotter, "mark in hand", STRONG, loops=(round_,), dot=None)
        self._watch = plotter.renderer.AddObserver("StartEvent", lambda *_: self._face())
        self.show([])

    def show(self, places: Sequence[Place], *, strong: Sequence[bool] | None = None, held: int = -1) -> None:
        """Marks these places (hull axes, mm), and no others: those not `strong` as milder, `held` as in hand."""
        self.places, self.held = tuple(places), held
        mask = np.ones(len(places), dtype=bool) if strong is None else np.array(strong, dtype=bool)
        where = np.array(self.places, dtype=np.float64).reshape(-1, 3)
        size = np.full(len(places), RING if len(places) <= FEW else SMALL)
        in_hand = np.arange(len(places)) == held
        self._errors.stand(where[mask & ~in_hand], size[mask & ~in_hand])
        self._others.stand(where[~mask & ~in_hand], size[~mask & ~in_hand])
        self._hand.stand(where[in_hand], np.full(int(in_hand.sum()), WIDE))
        self._face()

    def forget(self) -> None:
        """Follows the camera no more: its plotter is about to be cleared."""
        self.plotter.renderer.RemoveObserver(self._watch)

    def near(self, x: float, y: float) -> int | None:
        """The mark under a point of the picture (pixels from its lower left), by its place in what was shown."""
        best: tuple[float, int] | None = None
        renderer = self.plotter.renderer
        for n, place in enumerate(self.places):
            renderer.SetWorldPoint(*place, 1.0)
            renderer.WorldToDisplay()
            across, up, _ = renderer.GetDisplayPoint()
            off = float(np.hypot(across - x, up - y))
            if off <= SMALL + 2 and (best is None or off < best[0]):
                best = off, n
        return None if best is None else best[1]

    def _face(self) -> None:
        """Turns and sizes the marks to the camera as it stands."""
        for forms in (self._errors, self._others, self._hand):
            forms.face(self.plotter)


class Forms:
    """One form many times over: `loops` (each (k, 2), of size 1) are drawn as lines, `dot` is filled."""

    def __init__(self, plotter: Any, name: str, colour: str, *, loops: Sequence[Points], dot: Points | None) -> None:
        self.places, self._sizes = np.zeros((0, 3)), np.zeros(0)
        self._loops, self._dot = loops, dot
        self._flat = np.concatenate([*loops, *([] if dot is None else [dot])])
        self._mesh = pv.PolyData(np.zeros((2, 3)), lines=[2, 0, 1])
        self._actor = plotter.add_mesh(
            self._mesh, color=colour, line_width=2.5, lighting=False, name=name, pickable=False, render=False,
            reset_camera=False,
        )  # fmt: skip
        mapper = self._actor.mapper
        mapper.SetResolveCoincidentTopologyToPolygonOffset()
        mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, -66000)
        mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, -66000)

    def stand(self, places: Points, sizes: Points) -> None:
        """Puts a form at each place, so many points of the picture large."""
        self.places, self._sizes = places, sizes
        self._actor.visibility = len(places) > 0
        if not len(places):
            return
        lines, faces, start = [], [], 0
        for loop in self._loops:
            here = start + np.arange(len(loop))
            lines.append(np.column_stack([np.full(len(loop), 2), here, np.roll(here, -1)]))
            start += len(loop)
        if self._dot is not None:
            here = start + np.arange(len(self._dot))
            faces = [np.column_stack([np.full(len(here), 3), np.full(len(here), here[0]), here, np.roll(here, -1)])]
        mesh = pv.PolyData()
        mesh.points = np.zeros((len(places) * len(self._flat), 3))
        mesh.lines = _repeated(np.concatenate(lines), len(places), len(self._flat))
        if faces:
            mesh.faces = _repeated(faces[0], len(places), len(self._flat))
        self._mesh.copy_from(mesh, deep=True)

    def face(self, plotter: Any) -> None:
        """Turns and sizes the forms to the plotter's camera as it stands."""
        if not len(self.places):
            return
        camera = plotter.camera
        eye, up = np.array(camera.position), np.array(camera.up)
        back = eye - np.array(camera.focal_point)
        back = back / np.linalg.norm(back)
        right = np.cross(up, back)
        right /= np.linalg.norm(right)
        over = np.cross(back, right)
        tall = plotter.window_size[1]
        distance = np.maximum((eye - self.places) @ back, 1e-6)
        scale = 2 * np.tan(np.radians(camera.view_angle / 2)) * distance / tall
        if camera.parallel_projection:
            scale = np.full(len(self.places), 2 * camera.parallel_scale / tall)
        across = self._flat[:, :1] * right + self._flat[:, 1:] * over
        self._mesh.points = (self.places[:, None] + (scale * self._sizes)[:, None, None] * across[None]).reshape(-1, 3)


def ring(corners: int) -> Points:
    """(corners, 2): a regular figure in a circle of 1, one corner up."""
    turns = np.pi / 2 + 2 * np.pi * np.arange(corners) / corners
    return np.column_stack([np.cos(turns), np.sin(turns)])


def _repeated(cells: NDArray[np.int64], times: int, points: int) -> NDArray[np.int64]:
    """The cells (each with its length before it) of one form, for as many, each with its own points."""
    out = np.tile(cells, (times, 1))
    out[:, 1:] += np.repeat(np.arange(times) * points, len(cells))[:, None]
    return out.ravel()

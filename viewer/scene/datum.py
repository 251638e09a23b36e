"""The datum plane in the scene: a pale sheet with the centreline and the stations ruled on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv

from .facing import DRAWN, pixels, segments
from .labels import SceneLabel
from .looks import RULED, WATER

_BEYOND = 160.0  # mm past the boat on every side
_DASH = 60.0
_SHEET = 0.16  # opacity


class Datum:
    """The plane z = 0 under a boat that reaches over `bounds`; `stations` are ruled across it, mm."""

    def __init__(self, plotter: Any, bounds: Sequence[float], stations: Sequence[float]) -> None:
        x0, x1, y0, y1 = bounds[0] - _BEYOND, bounds[1] + _BEYOND, bounds[2] - _BEYOND, bounds[3] + _BEYOND
        corners = np.array([(x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)])
        self._bare = False
        self._corner = (float(x1), float(y1), 0.0)
        sheet = pv.PolyData.from_regular_faces(corners, np.array([[0, 1, 2, 3]]))
        self._sheet = plotter.add_mesh(sheet, color=WATER, opacity=_SHEET, name="datum", lighting=False, **DRAWN)
        rules = [((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x1, y1), (x0, y1)), ((x0, y1), (x0, y0))]
        rules += [((x, y0), (x, y1)) for x in stations]
        rules += [((x, 0.0), (min(x + _DASH * 0.6, x1), 0.0)) for x in np.arange(x0, x1, _DASH).tolist()]  # centreline
        lines = segments([(*a, 0.0) for rule in rules for a in rule])
        self._rules = plotter.add_mesh(
            lines, color=RULED, line_width=pixels(plotter), name="datum rules", lighting=False, **DRAWN
        )

    @property
    def shown(self) -> bool:
        """Whether it is seen."""
        return bool(self._rules.visibility)

    def labels(self) -> list[SceneLabel]:
        """Its name, at its forward port corner; none where it is not seen."""
        return [SceneLabel(text="datum plane", at=self._corner, size=11)] if self.shown else []

    def show(self, shown: bool) -> None:
        """Shows it or not."""
        self._rules.visibility = shown
        self._sheet.visibility = shown and not self._bare

    def rule_alone(self, bare: bool) -> None:
        """Leaves the sheet away, and what is ruled on it stays: glass takes a third of the time of a picture."""
        self._bare = bare
        self.show(self.shown)

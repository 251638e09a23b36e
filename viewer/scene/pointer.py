"""What a click would take while measuring: a square on a corner, a lozenge on an edge, a ring on a face."""

from __future__ import annotations

from typing import Any

import numpy as np

from ..marks.forms import regular
from .facing import follow
from .looks import CHOSEN
from .marks import Forms
from .picking import Kind, Picked

_SIZE = 7.0
_SQUARE = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]) * 0.85
_LOOPS: dict[Kind, Any] = {"corner": _SQUARE, "edge": np.array(regular(4)), "face": np.array(regular(24)) * 0.7}


class Pointer:
    """One form at a time, by which the three kinds of places are told apart."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self.picked: Picked | None = None
        self._forms: dict[Kind, Forms] = {
            kind: Forms(plotter, f"pointer {kind}", CHOSEN, loop) for kind, loop in _LOOPS.items()
        }
        follow(plotter, self._face)
        self.show(None)

    def show(self, picked: Picked | None) -> None:
        """Shows this place, or none."""
        self.picked = picked
        for kind, forms in self._forms.items():
            here = [picked.at] if picked is not None and picked.kind == kind else []
            forms.stand(np.array(here, dtype=np.float64).reshape(-1, 3), np.full(len(here), _SIZE))
        self._face()

    def _face(self) -> None:
        for forms in self._forms.values():
            forms.face(self.plotter)

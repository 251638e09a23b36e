"""Marks on findings: forms that face the eye, always as large, hidden by nothing.

The forms are those of `forms`. The finding in hand has its own form, wide and without a dot, so that what it
rings is seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from ..marks.colours import PAPER
from ..marks.forms import ERROR, FORMS, Form, regular
from .facing import DRAWN, Facing, follow, pixels, seen_at, to_front
from .haloed import Haloed
from .looks import CHOSEN
from .picking import Kind, Picked
from .triple import Triple

RING = 15.0
"""points of the picture from the dot to the ring, where there are few marks."""

SMALL = 9.0
"""the same where there are more than FEW."""

FEW = 12

WIDE = 26.0
"""the same for the one in hand."""

_DOT = 0.25  # of a form's size
_DOT_PAPER = 0.36

Points = NDArray[np.float64]

_SIZE = 7.0
_SQUARE = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]) * 0.85
_LOOPS: dict[Kind, Any] = {"corner": _SQUARE, "edge": np.array(regular(4)), "face": np.array(regular(24)) * 0.7}


class Marks:
    """The marks in a plotter. They are drawn in the plane of the picture, placed by the camera."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self.places: tuple[Triple, ...] = ()
        self.held = -1
        self.forms = {
            (form, held): Forms(
                plotter, f"{form.shape} marks{' in hand' if held else ''}", form.colour, np.array(form.corners),
                dot=_DOT if form.dot and not held else 0.0,
            )
            for form in FORMS.values()
            for held in (False, True)
        }  # fmt: skip
        follow(plotter, self._face)
        self.show([])

    def show(self, places: Sequence[Triple], forms: Sequence[Form] = (), *, held: int = -1) -> None:
        """Marks these places (hull axes, mm), each in its form, as errors where none is said; `held` as in hand."""
        self.places, self.held = tuple(places), held
        own = forms or [ERROR] * len(places)
        where = np.array(self.places, dtype=np.float64).reshape(-1, 3)
        size = RING if len(places) <= FEW else SMALL
        for (form, selected), drawn in self.forms.items():
            which = [n for n in range(len(places)) if own[n] == form and (n == held) is selected]
            drawn.stand(where[which], np.full(len(which), WIDE if selected else size))
        self._face()

    def near(self, x: float, y: float) -> int | None:
        """The mark under a point of the picture (pixels from its lower left), by its place in what was shown."""
        under = np.array([x, y]) / pixels(self.plotter)
        offs = [float(np.hypot(*(seen_at(self.plotter, place) - under))) for place in self.places]
        return int(np.argmin(offs)) if min(offs, default=np.inf) <= SMALL + 2 else None

    def _face(self) -> None:
        """Turns and sizes the marks to the camera as it stands."""
        for drawn in self.forms.values():
            drawn.face(self.plotter)


class Forms:
    """One form many times over: its `loop` (k, 2), of size 1, drawn as lines, with a `dot` of so much of its size."""

    def __init__(self, plotter: Any, name: str, colour: str, loop: Points, *, dot: float = 0.0) -> None:
        self.places, self._sizes = np.zeros((0, 3)), np.zeros(0)
        self._loop = loop
        self._lines = Haloed(plotter, name, colour)
        self._dots = []
        if dot:
            self._dots = [_Discs(plotter, f"{name} dots paper", PAPER, loop * _DOT_PAPER)]
            self._dots += [_Discs(plotter, f"{name} dots", colour, loop * dot)]

    def stand(self, places: Points, sizes: Points) -> None:
        """Puts a form at each place, so many points of the picture large."""
        self.places, self._sizes = places, sizes
        here = np.arange(len(self._loop))
        rows = _repeated(np.column_stack([here, np.roll(here, -1)]), len(places), len(self._loop))
        self._lines.draw(np.zeros((len(places) * len(self._loop), 3)), rows)
        for discs in self._dots:
            discs.stand(len(places))

    def face(self, plotter: Any) -> None:
        """Turns and sizes the forms to the plotter's camera as it stands."""
        if not len(self.places):
            return
        facing = Facing.of(plotter)
        scale = facing.point(self.places) * self._sizes
        self._lines.move(_placed(self._loop, facing, self.places, scale))
        for discs in self._dots:
            discs.move(_placed(discs.loop, facing, self.places, scale))


class _Discs:
    """Full figures within a loop (k, 2), one for each place."""

    def __init__(self, plotter: Any, name: str, colour: str, loop: Points) -> None:
        self.loop = loop
        self._mesh = pv.PolyData.from_regular_faces(np.zeros((3, 3)), np.array([[0, 1, 2]]))
        self._actor = plotter.add_mesh(self._mesh, color=colour, lighting=False, name=name, **DRAWN)
        to_front(self._actor)

    def stand(self, count: int) -> None:
        self._actor.visibility = count > 0
        if count:
            here = np.arange(1, len(self.loop) - 1)
            fan = np.column_stack([np.zeros_like(here), here, here + 1])
            cells = _repeated(fan, count, len(self.loop))
            mesh = pv.PolyData.from_regular_faces(np.zeros((count * len(self.loop), 3)), cells)
            self._mesh.copy_from(mesh, deep=True)

    def move(self, points: Points) -> None:
        self._mesh.points = points


def _placed(loop: Points, facing: Facing, places: Points, scale: Points) -> Points:
    """(n k, 3): the loop at each of n places, in the plane of the picture, so many mm large."""
    across = loop[:, :1] * facing.right + loop[:, 1:] * facing.over
    return np.asarray((places[:, None] + scale[:, None, None] * across[None]).reshape(-1, 3))


def _repeated(cells: NDArray[np.int64], times: int, points: int) -> NDArray[np.int64]:
    """The cells (rows of numbers of points) of one form, for as many, each with its own points."""
    starts = np.repeat(np.arange(times) * points, len(cells))
    return np.tile(cells, (times, 1)) + starts[:, None]


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

"""The scene: bodies and findings in a plotter, and what is seen of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkRenderingCore import vtkCellPicker

from ..marks.colours import PAPER
from .body import Body, State
from .facing import Lifting, exact_depths
from .looks import GLASS, LIGHTS, PAPER_BELOW
from .merged import LINES, PICKED, Filling, Merged
from .picking import Picked
from .triple import Triple, triple

_STATES: tuple[State, ...] = ("shown", "glass", "faded", "hidden")


class Scene:
    """The bodies in a plotter that somebody else owns. A few actors hold them all; every triangle knows its body.

    `bodies` by number; a body is seen in one of the states, may be moved off its place, and may be chosen.
    `coarse` are the same bodies of fewer triangles. Nothing is rendered here: the owner of the plotter renders
    when it is done changing.
    """

    def __init__(self, plotter: Any, bodies: Sequence[Body], coarse: Sequence[Body] = ()) -> None:
        self.plotter = plotter
        self.bodies = tuple(bodies)
        self.number = {body.name: n for n, body in enumerate(self.bodies)}
        self._state = np.zeros(len(self.bodies), dtype=np.int8)
        self._off = np.zeros((len(self.bodies), 3))
        self._chosen: frozenset[int] = frozenset()
        self._clear, self._seconds = GLASS, frozenset[int]()
        plotter.set_background(PAPER_BELOW, top=PAPER)
        light_up(plotter)
        exact_depths()
        self.lifting = Lifting(plotter)
        self._fine = Merged(plotter, bodies)
        self._lift(self._fine)
        self._likeness = tuple(coarse)
        self._coarse: Merged | None = None
        self._plane: vtkPlane | None = None
        self._also: Any = None
        self._fill()

    @property
    def _levels(self) -> tuple[Merged, ...]:
        return (self._fine,) if self._coarse is None else (self._fine, self._coarse)

    @property
    def is_coarse(self) -> bool:
        """Whether the coarse likeness is painted."""
        return self._coarse is not None and self._coarse.seen

    def paint_coarse(self, coarse: bool) -> None:
        """Paints the coarse likeness, where there is one, or the bodies as they are."""
        if not self._likeness or coarse == self.is_coarse:
            return
        if self._coarse is None:
            self._coarse = Merged(self.plotter, self._likeness, "coarse ")
            self._lift(self._coarse)
            self._coarse.move(self._off)
            self._coarse.clip(self._plane)
            self._fill()
        self._fine.seen, self._coarse.seen = not coarse, coarse

    def _lift(self, level: Merged) -> None:
        for name in LINES:
            self.lifting.lift(level.actors[name])

    # ---- what is seen

    def state(self, body: int) -> State:
        """How a body is seen."""
        return _STATES[int(self._state[body])]

    def is_seen(self, body: int) -> bool:
        """Whether a body is shown, or looked into."""
        return self.state(body) in ("shown", "glass")

    def show_as(self, states: Sequence[State], *, clear: float = GLASS, seconds: Iterable[int] = ()) -> None:
        """Shows every body as `states` says, by number; what is looked into is `clear` so much.

        Of `seconds` each has the second tone of its kind.
        """
        self._clear, self._seconds = clear, frozenset(seconds)
        self._state = np.array([_STATES.index(state) for state in states], dtype=np.int8)
        self._fill()

    def offset(self, body: int) -> Triple:
        """How far a body stands off its place, mm, hull axes."""
        return triple(self._off[body])

    def move(self, offsets: NDArray[np.float64]) -> None:
        """Stands every body off its place by its row of `offsets` (bodies, 3), mm, hull axes."""
        self._off = np.asarray(offsets, dtype=np.float64)
        for level in self._levels:
            level.move(self._off)

    def choose(self, bodies: Iterable[int]) -> None:
        """Draws the edges of these bodies so that they stand out; of no others."""
        self._chosen = frozenset(bodies)
        self._fill()

    @property
    def chosen(self) -> frozenset[int]:
        """The bodies that stand out."""
        return self._chosen

    def bounds(self, bodies: Iterable[int] | None = None) -> tuple[float, float, float, float, float, float]:
        """(x0, x1, y0, y1, z0, z1), mm, of these bodies where they stand now; of all but the hidden, for None.

        Where nothing is, the origin alone.
        """
        wanted = np.flatnonzero(self._state != _STATES.index("hidden")) if bodies is None else np.array(list(bodies))
        points = self.points_of(wanted) if len(wanted) else np.zeros((1, 3))
        low, high = points.min(axis=0), points.max(axis=0)
        return tuple(float(v) for pair in zip(low, high, strict=True) for v in pair)  # type: ignore[return-value]

    # ---- cutting and picking

    def clip(self, plane: vtkPlane | None) -> None:
        """Takes away what lies behind the plane, of all bodies; or shows them whole."""
        self._plane = plane
        for level in self._levels:
            level.clip(plane)

    def pick_also(self, actor: Any) -> None:
        """Lets picks meet this actor too, whose cells know their "body"; None for no other."""
        self._also = actor

    def pick(self, x: float, y: float) -> Picked | None:
        """The body under a point of the picture (pixels from its lower left), of those shown; None for none."""
        picker = vtkCellPicker()
        picker.SetTolerance(1e-4)
        picker.PickFromListOn()
        self.paint_coarse(False)  # what is picked is the body as it is
        for actor in (*(self._fine.actors[name] for name in PICKED), self._also):
            if actor is not None and actor.visibility:
                picker.AddPickList(actor)
        if not picker.Pick(x, y, 0.0, self.plotter.renderer) or picker.GetCellId() < 0:
            return None
        bodies = pv.wrap(picker.GetDataSet()).cell_data["body"]
        return Picked(body=int(bodies[picker.GetCellId()]), at=triple(picker.GetPickPosition()))

    def points_of(self, bodies: int | Iterable[int]) -> NDArray[np.float64]:
        """(n, 3) mm, hull axes: the points of a body, or of several, where they stand now."""
        if isinstance(bodies, int | np.integer):
            return np.asarray(self.bodies[bodies].points + self._off[bodies])
        wanted = np.zeros(len(self.bodies), dtype=bool)
        wanted[np.fromiter(bodies, dtype=np.int64)] = True
        mask = wanted[self._fine.of_point]
        return np.asarray(self._fine.points[mask] + self._off[self._fine.of_point[mask]])

    def _fill(self) -> None:
        shown, glass, faded, _ = (self._state == n for n in range(len(_STATES)))
        chosen = np.isin(np.arange(len(self.bodies)), list(self._chosen))
        filling = Filling(
            shown=shown, glass=glass, faded=faded, chosen=chosen, clear=self._clear, seconds=self._seconds
        )
        for level in self._levels:
            level.fill(filling)


def light_up(plotter: Any) -> None:
    """Three lights that go with the eye: from over the left shoulder, a weaker one from the right, one from below."""
    plotter.remove_all_lights()
    for position, intensity in LIGHTS:
        plotter.add_light(pv.Light(position=position, intensity=intensity, light_type="camera light"))

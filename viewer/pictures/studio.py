"""The studio: the scene in a plotter without a screen, before a camera."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from types import TracebackType
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from ..scene.body import Body, State
from ..scene.datum import Datum
from ..scene.looks import AMBIENT, COLOURS, DIFFUSE, INK, PAPER
from ..scene.scene import Scene
from ..scene.sides import ALL_ROUND, Room, Side, View, view_from
from .canvas import Canvas

Points = NDArray[np.float64]

FINE = 2
SAMPLES = 4
"""Times as many points each way are rendered as the picture has, and looks at each: that is what smooths it."""

DATUM_PAST = 60.0
"""mm by which the datum plane reaches past the boat."""

_SHEET = 160.0  # mm; the same in the window, where there is more room
_EDGE = 1.0  # points; width of drawn edges
_GLASS = 0.6  # opacity of what is looked into
_MOST = 40_000_000
"""points rendered at most; a larger picture is rendered less fine."""


class Studio:
    """Owns a plotter and the scene in it, for pictures of one size in points. To be used as a context.

    How it is seen stands until `stand` is called anew, so that many pictures can be taken of one boat. `sheet`
    (4, 3) are the corners of the datum plane as it is drawn, hull axes, mm.
    """

    def __init__(self, bodies: Sequence[Body], size: tuple[int, int], stations: Sequence[float] = ()) -> None:
        self.size = size
        self.fine = FINE if size[0] * size[1] * FINE**2 <= _MOST else 1
        fine = size[0] * self.fine, size[1] * self.fine
        self._plotter = pv.Plotter(off_screen=True, window_size=fine, lighting="none")
        self._plotter.enable_anti_aliasing("msaa", multi_samples=SAMPLES)
        self.scene = Scene(self._plotter, bodies)
        self._plotter.set_background(PAPER)
        x0, x1, y0, y1, z0, z1 = self.scene.bounds()
        past = DATUM_PAST
        self.sheet = np.array([(x, y, 0.0) for x in (x0 - past, x1 + past) for y in (y0 - past, y1 + past)])
        less = _SHEET - past
        self.datum = Datum(self._plotter, (x0 + less, x1 - less, y0 + less, y1 - less, z0, z1), stations)
        for actor in self._plotter.actors.values():
            actor.prop.line_width = actor.prop.line_width * self.fine * _EDGE
        chosen = self._plotter.actors["chosen"].prop
        chosen.color, chosen.line_width = INK, self.fine * 1.6 * _EDGE
        self._props: list[Any] = []

    def __enter__(self) -> Studio:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._plotter.close()

    @property
    def aspect(self) -> float:
        """Width by height."""
        return self.size[0] / self.size[1]

    @property
    def bodies(self) -> tuple[Body, ...]:
        """Everything that there is to see."""
        return self.scene.bodies

    def stand(
        self,
        states: Sequence[State],
        offsets: Points | None = None,
        *,
        edged: Iterable[int] = (),
        glass: Iterable[int] = (),
        datum: bool = True,
    ) -> None:
        """How the bodies are seen, and where; `edged` are those whose edges are drawn whatever their state.

        One looks into those of `glass`, which must be hidden or faded.
        """
        glass = tuple(glass)
        self.scene.show_as(states)
        self.scene.move(np.zeros((len(states), 3)) if offsets is None else offsets)
        self.scene.choose({*edged, *glass})
        self.datum.show(datum)
        for prop in self._props:
            self._plotter.remove_actor(prop, render=False, reset_camera=False)
        self._props = []
        for n in glass:
            self.add(self.scene.points_of(n), self.bodies[n].triangles, COLOURS[self.bodies[n].kind], opacity=_GLASS)

    def add(self, points: Points, triangles: NDArray[np.int64], colour: str, *, opacity: float = 1.0) -> None:
        """Puts something else into the scene, until the next `stand`; hull axes, mm."""
        mesh = pv.PolyData.from_regular_faces(points, triangles)
        self._props.append(
            self._plotter.add_mesh(
                mesh, color=colour, opacity=opacity, ambient=AMBIENT, diffuse=DIFFUSE, specular=0.0, culling="back",
                show_edges=False, pickable=False, render=False, reset_camera=False, name=f"prop {len(self._props)}",
            )
        )  # fmt: skip

    def draw(self, lines: Sequence[tuple[ArrayLike, ArrayLike]], colour: str, width: float = 1.0) -> None:
        """Puts straight lines into the scene, until the next `stand`; hull axes, mm."""
        ends = np.array(lines, dtype=np.float64).reshape(-1, 3)
        rows = np.column_stack([np.full(len(lines), 2), np.arange(len(ends)).reshape(-1, 2)])
        mesh = pv.PolyData(ends, lines=rows)
        self._props.append(
            self._plotter.add_mesh(
                mesh, color=colour, line_width=width * self.fine, lighting=False, pickable=False, render=False,
                reset_camera=False, name=f"prop {len(self._props)}",
            )
        )  # fmt: skip

    def points(self, bodies: Iterable[int]) -> Points:
        """(n, 3) mm, hull axes: all the points of these bodies where they stand now."""
        return np.concatenate([self.scene.points_of(n) for n in bodies])

    def seen(self) -> list[int]:
        """The bodies that are shown, neither faded nor hidden."""
        return [n for n in range(len(self.bodies)) if self.scene.state(n) == "shown"]

    def view(self, side: Side, room: Room = ALL_ROUND) -> View:
        """The whole boat from a side, and the datum plane."""
        bodies = [n for n, body in enumerate(self.bodies) if body.kind != "dowel"]
        return view_from(side, np.concatenate([self.points(bodies), self.sheet]), self.aspect, room)

    def taken(self, view: View) -> Canvas:
        """What the camera sees, ready to be drawn upon."""
        view.apply(self._plotter)
        self._plotter.render()
        rendered = Image.fromarray(np.asarray(self._plotter.screenshot(return_img=True)))
        return Canvas(rendered, self.size)

    def places(self, view: View, points: Sequence[Sequence[float]] | Points) -> list[tuple[float, float]]:
        """Where in the picture these points (hull axes, mm) are."""
        shares = view.seen(points, self.aspect) * self.size
        return [(float(x), float(y)) for x, y in shares]

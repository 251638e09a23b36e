"""The studio: the scene in a plotter without a screen, before a camera."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PIL import Image

from ..marks.colours import INK, PAPER
from ..scene.board_drawn import BoardDrawn
from ..scene.body import Body, State
from ..scene.datum import Datum
from ..scene.facing import unfollow
from ..scene.looks import GLASS
from ..scene.scene import Scene
from ..scene.sides import ALL_ROUND, Margins, Side, View, view_from
from ..scene.signpost import Signpost
from ..scene.signs import NO_SIGNS
from .canvas import Canvas

Points = NDArray[np.float64]

FINE = 2
SAMPLES = 4
"""Times as many points each way are rendered as the picture has, and looks at each: that is what smooths it."""

DATUM_PAST = 60.0
"""mm by which the datum plane reaches past the boat."""

_SHEET = 160.0  # mm; the same in the window, where there is more room
_CHOSEN = 1.6  # points; width of the edges of what stands out
_MOST = 40_000_000
"""points rendered at most; a larger picture is rendered less fine."""


class Studio:
    """Owns a plotter, in which the scene stands, for pictures of one size in points. To be used as a context.

    How it is seen stands until `stand` is called anew, so that many pictures can be taken of one boat. `sheet`
    (4, 3) are the corners of the datum plane as it is drawn, hull axes, mm.
    """

    def __init__(self, bodies: Sequence[Body], size: tuple[int, int], stations: Sequence[float] = ()) -> None:
        self.size = size
        self.fine = FINE if size[0] * size[1] * FINE**2 <= _MOST else 1
        fine = size[0] * self.fine, size[1] * self.fine
        self._plotter = pv.Plotter(off_screen=True, window_size=fine, lighting="none")
        self._plotter.ren_win.SetDPI(72 * self.fine)
        self._plotter.enable_anti_aliasing("msaa", multi_samples=SAMPLES)
        self.scene = Scene(self._plotter, bodies)
        self._plotter.set_background(PAPER)
        x0, x1, y0, y1, z0, z1 = self.scene.bounds()
        past = DATUM_PAST
        self.sheet = np.array([(x, y, 0.0) for x in (x0 - past, x1 + past) for y in (y0 - past, y1 + past)])
        less = _SHEET - past
        self.datum = Datum(self._plotter, (x0 + less, x1 - less, y0 + less, y1 - less, z0, z1), stations)
        chosen = self._plotter.actors["chosen"].prop
        chosen.color, chosen.line_width = INK, self.fine * _CHOSEN
        self.signpost = Signpost(self._plotter)
        self.board = BoardDrawn(self._plotter)

    def __enter__(self) -> Studio:
        return self

    def __exit__(self, *_: object) -> None:
        unfollow(self._plotter)
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
        clear: float = GLASS,
        seconds: Iterable[int] = (),
        datum: bool = True,
    ) -> None:
        """How the bodies are seen, and where; the edges of those that are `edged`, or looked into, are drawn heavy.

        `clear` is how much one sees of what is looked into; `seconds` have the second tone of their kind.
        No board and no signs stand there until they are shown.
        """
        self.board.show(None)
        self.signpost.show(NO_SIGNS)
        self.scene.show_as(states, clear=clear, seconds=seconds)
        self.scene.move(np.zeros((len(states), 3)) if offsets is None else offsets)
        self.scene.choose({*edged, *(n for n, state in enumerate(states) if state == "glass")})
        self.datum.show(datum)

    def points(self, bodies: Iterable[int]) -> Points:
        """(n, 3) mm, hull axes: all the points of these bodies where they stand now."""
        return np.concatenate([self.scene.points_of(n) for n in bodies])

    def seen(self) -> list[int]:
        """The bodies that are shown, neither faded nor hidden."""
        return [n for n in range(len(self.bodies)) if self.scene.state(n) == "shown"]

    def view(self, side: Side, room: Margins = ALL_ROUND) -> View:
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

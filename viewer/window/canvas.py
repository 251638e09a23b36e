"""The picture in the window: owns the plotter, the camera and what stands in it."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image
from PySide6.QtCore import QElapsedTimer, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget
from pyvistaqt import QtInteractor

from ..marks.colours import PAPER
from ..scene.facing import pixels
from ..scene.looks import PAPER_BELOW
from ..scene.picking import Picked, snapped
from ..scene.triple import Triple
from .boat import LoadedBoat
from .camera import Camera
from .mouse import Mouse
from .selection import Selection
from .stage import Stage

SMOOTH = 4
"""times that a point of the picture is looked at, when it rests."""

_STILL = 160
"""milliseconds without a move after which the picture rests."""

_MOVING = 40
"""milliseconds; moving pictures that take longer, one after the other, are painted coarsely from then on."""

_SLOW = 450
"""milliseconds; pictures at rest that take longer, one after the other, are not smoothed from then on."""

_WARMING = 2
"""pictures of a boat that tell nothing of the machine: they are painted while shaders and memory are made ready."""

_OFTEN = 2
"""how often in a row a picture must be late; one that another program held up tells nothing."""

_REACH = 11.0
"""points of the picture within which a corner or an edge is meant."""


class PictureWidget(QWidget):
    """The picture. `body_clicked` hands over a Picked, or None beside everything; `mark_clicked` a finding."""

    body_clicked = Signal(object)
    mark_clicked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = QtInteractor(self, auto_update=False, lighting="none", multi_samples=SMOOTH)
        self.view.set_background(PAPER_BELOW, top=PAPER)
        self.view.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.view.setAccessibleName("Picture of the boat")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)  # so that no button has the keys unless it is gone to
        self.setAccessibleName("Picture")
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self.view)
        self.camera = Camera(self.view, self)
        self.camera.moved.connect(self._move)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_STILL)
        self._rest.timeout.connect(self._come_to_rest)
        self.mouse = Mouse(self.view, self.camera)
        self.mouse.clicked.connect(self._click)
        self.mouse.wheeled.connect(self._wheel)
        self.mouse.dragging.connect(self._drag)
        self.mouse.hovered.connect(self._hover)
        self._drags = False
        self._smooth = SMOOTH
        self._clock = QElapsedTimer()
        self._late = {"moving": 0, "resting": 0}
        self._painted = 0
        self._wheeled: tuple[QPointF, Triple | None] | None = None
        self.slow = False
        window = self.view.ren_win
        self._watches = [
            (window, window.AddObserver("StartEvent", lambda *_: self._clock.start())),
            (window, window.AddObserver("EndEvent", lambda *_: self._time())),
        ]
        self.middle = QLabel("+", self.view)  # where keys take a point
        self.middle.setObjectName("middle")
        self.middle.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.middle.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.middle.hide()
        self.stage: Stage | None = None
        self._now, self._made_for = Selection(), 1.0
        self.measuring = False

    def show_boat(self, boat: LoadedBoat, now: Selection) -> None:
        """Shows another boat; the camera stays, but for the first one."""
        first = self.stage is None
        here = self.camera.goal
        self._painted = 0
        self.slow, self._smooth = False, SMOOTH  # another boat may be lighter
        if self.stage is not None:
            self.stage.forget()
        self.stage = Stage(self.view, boat)
        self._made_for = pixels(self.view)
        self.arrange(now)
        if not first:
            self.camera.jump(here)

    def arrange(self, now: Selection) -> None:
        """Shows what is in hand."""
        if self.stage is not None:
            self._now = now
            self.measuring = now.measuring
            if not now.measuring:
                self.stage.point_at(None)
            self._show_middle(now.measuring)
            self.view.setCursor(Qt.CursorShape.CrossCursor if now.measuring else Qt.CursorShape.ArrowCursor)
            self.stage.arrange(now, self.camera.aspect)
            if now.step and now.share < 1.0:
                self.hurry()
            self.refresh()

    def hurry(self) -> None:
        """The picture moves: until it rests it is painted coarsely, if that is needed, and without smoothing."""
        if self.stage is not None and self.slow:
            self.stage.hurry(True)
        self.view.ren_win.SetMultiSamples(0)
        self._rest.start()

    @property
    def hurries(self) -> bool:
        """Whether the picture moves."""
        return self._rest.isActive() or self._drags

    def _time(self) -> None:
        """Learns from each picture how much this machine can paint in the time there is."""
        took, self._painted = self._clock.elapsed(), self._painted + 1
        if self._painted <= _WARMING:
            return
        if self.hurries:
            self.slow = self.slow or self._is_late("moving", took > _MOVING)
        elif self._is_late("resting", took > _SLOW):  # smoothing is not worth that wait
            self._smooth = 0
            self.view.ren_win.SetMultiSamples(0)

    def _is_late(self, what: str, late: bool) -> bool:
        self._late[what] = self._late[what] + 1 if late else 0
        return self._late[what] >= _OFTEN

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The middle is elsewhere, and there may be less room across."""
        super().resizeEvent(event)
        if self.stage is not None:
            self.camera.keep_in_sight()
            if pixels(self.view) != self._made_for:  # on another screen lines have another width in pixels
                self.show_boat(self.stage.boat, self._now)
        self._show_middle(self.measuring)

    def _move(self) -> None:
        self.hurry()
        self.refresh()

    def _drag(self, on: bool) -> None:
        self._drags = on
        self._wheeled = None
        if not on:
            self._rest.start()

    def _come_to_rest(self) -> None:
        if self._drags or self.stage is None:
            return
        self.stage.hurry(False)
        self.view.ren_win.SetMultiSamples(self._smooth)
        self.refresh()

    def _show_middle(self, shown: bool) -> None:
        self.middle.setGeometry(self.view.width() // 2 - 12, self.view.height() // 2 - 12, 24, 24)
        self.middle.setVisible(shown)

    def refresh(self) -> None:
        """Paints anew, when there is time: many changes make one picture."""
        self.view.renderer.ResetCameraClippingRange()
        self.view.update()

    def pick(self, place: QPointF) -> Picked | None:
        """What lies under a place of the widget; the corner or edge near it while measuring."""
        if self.stage is None:
            return None
        picked = self.stage.scene.pick(*self._pixels(place))
        if picked is None or not self.measuring:
            return picked
        scene = self.stage.scene
        eye = np.array(self.camera.view.position)
        tall = 2 * np.tan(self.camera.angle / 2) * np.linalg.norm(eye - picked.at)
        reach = _REACH * float(tall) / max(1, self.view.height())
        return snapped(picked, scene.points_of(picked.body), scene.bodies[picked.body].edges, reach)

    def pick_middle(self) -> Picked | None:
        """What lies in the middle of the picture."""
        return self.pick(QPointF(self.view.width() / 2, self.view.height() / 2))

    def encoded(self, form: str) -> bytes:
        """The picture as it is seen, as a file of one of Pillow's formats."""
        out = BytesIO()
        Image.fromarray(self.view.screenshot(return_img=True)).save(out, form)
        return out.getvalue()

    def close_view(self) -> None:
        """Ends everything that could still paint, then the plotter."""
        self.camera.stop()
        self._rest.stop()
        if self.stage is not None:
            self.stage.forget()
            self.stage = None
        for watched, tag in self._watches:
            watched.RemoveObserver(tag)
        self.view.close()

    def _pixels(self, place: QPointF) -> tuple[float, float]:
        ratio = self.view.devicePixelRatioF()
        return place.x() * ratio, (self.view.height() - 1 - place.y()) * ratio

    def _click(self, place: QPointF) -> None:
        self.setFocus()
        if self.stage is None:
            return
        mark = None if self.measuring else self.stage.marks.near(*self._pixels(place))
        if mark is not None:
            self.mark_clicked.emit(self.stage.marked[mark])
        else:
            self.body_clicked.emit(self.pick(place))

    def _hover(self, place: QPointF) -> None:
        """While measuring, shows which corner, edge or face a click would take."""
        if self.measuring and self.stage is not None and not self.hurries:
            self.stage.point_at(self.pick(place))
            self.refresh()

    def _wheel(self, place: QPointF, factor: float) -> None:
        """Nearer to what lies under the mouse: in one turn of the wheel it is looked for once, since it stays there."""
        if not (self.hurries and self._wheeled is not None and self._wheeled[0] == place):
            picked = self.stage.scene.pick(*self._pixels(place)) if self.stage is not None else None
            self._wheeled = place, picked.at if picked is not None else None
        self.camera.near(factor, self._wheeled[1])

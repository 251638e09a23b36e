"""The shelf over the picture: what is switched on and off, and the sliders that go with it."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QSizePolicy, QSlider, QToolButton, QVBoxLayout, QWidget

from scrieve.shared.wording import trimmed

from .actions import ACTIONS
from .keeping_keys import PRESSING, SLIDING, keep_keys
from .selection import Selection

SWITCHES = {
    "fade_others": ("Fade others", "Fade"),
    "only_frame": ("Frame only", "Only"),
    "spread": ("Spread", "Spread"),
    "cut": ("Cut open", "Cut"),
    "measure": ("Measure", "Measure"),
    "label": ("Labels", "Labels"),
    "save_picture": ("Picture…", "Picture"),
}
"""Actions on the shelf, in words for a window with room and for a small one."""

_LOOK = "Look from ▾", "From ▾"

_MARGIN, _GAP = 8, 2  # points left free at the ends, and between buttons

_ROOMY = 520
"""points of width from which there is room for the sliders' whole names."""

MOST_ALONG = 800
MOST_OFF = 200


class Shelf(QWidget):
    """Tells `spread_moved` (along, off; mm) and `cut_moved` (x; mm) when a slider is moved by hand."""

    spread_moved = Signal(float, float)
    cut_moved = Signal(float)

    def __init__(self, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self.setObjectName("shelf")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(_MARGIN, 5, _MARGIN, 5)
        rows.setSpacing(2)
        switches = QHBoxLayout()
        switches.setSpacing(_GAP)
        rows.addLayout(switches)
        self._buttons = [self._sides(actions), *(_Button(*words, actions[name]) for name, words in SWITCHES.items())]
        for button in self._buttons:
            switches.addWidget(button)
        switches.insertStretch(len(self._buttons) - 1, 1)  # the picture is saved at the far end
        self.along = _Slide("along the boat", "along", 0, MOST_ALONG)
        self.off = _Slide("off the faces", "off", 0, MOST_OFF)
        self.place = _Slide("cut at", "at", 0, 1, most=600)
        self.sliders = QWidget()
        row = QHBoxLayout(self.sliders)
        row.setContentsMargins(6, 2, 6, 2)
        row.setSpacing(18)
        for slide in (self.along, self.off):
            row.addWidget(slide)
        row.addWidget(self.place, 3)
        row.addStretch(1)
        rows.addWidget(self.sliders)
        self.along.moved.connect(self._tell_spread)
        self.off.moved.connect(self._tell_spread)
        self.place.moved.connect(lambda: self.cut_moved.emit(float(self.place.value)))
        self.show_hand(Selection(), (0.0, 1.0))

    def _sides(self, actions: Mapping[str, QAction]) -> _Button:
        button = _Button(*_LOOK)
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(button)
        for action in ACTIONS:
            if action.name.startswith("look_") or action.name == "whole_boat":
                menu.addAction(actions[action.name])
        button.setMenu(menu)
        return button

    def show_hand(self, now: Selection, reach: tuple[float, float]) -> None:
        """Shows the sliders of what is on; the cut may go over `reach` (x from, to; mm)."""
        spread = now.spread_on
        self.along.setVisible(spread)
        self.off.setVisible(spread)
        self.place.setVisible(now.cut is not None)
        self.sliders.setVisible(spread or now.cut is not None)
        self.along.set(now.along)
        self.off.set(now.off)
        if now.cut is not None:
            self.place.span(*reach)
            self.place.set(now.cut)

    def minimumSizeHint(self) -> QSize:
        """Room for the short words: for longer ones no other pane has to give way."""
        return QSize(self._wide(short=True), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fewer words where there is little room."""
        super().resizeEvent(event)
        self._choose_words()

    def changeEvent(self, event: QEvent) -> None:
        """Words of another font take more room, or less."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            QTimer.singleShot(0, self._choose_words)  # when the buttons have it too

    def _choose_words(self) -> None:
        room = self.width()
        for button in self._buttons:
            button.shorten(self._wide(short=False) > room)
        for slide in (self.along, self.off, self.place):
            slide.shorten(room < _ROOMY)

    def _wide(self, *, short: bool) -> int:
        """points that all buttons take with their whole words, or with short ones."""
        words = sum(button.wide(short) for button in self._buttons)
        return words + _GAP * len(self._buttons) + 2 * _MARGIN

    def _tell_spread(self) -> None:
        self.spread_moved.emit(float(self.along.value), float(self.off.value))


class _Slide(QWidget):
    """A slider with its name before and its value behind; `moved` is told when a hand moves it."""

    moved = Signal()

    def __init__(self, name: str, short: str, low: int, high: int, most: int = 200) -> None:
        super().__init__()
        self._names = name, short
        self._name = QLabel(name)
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(8)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName(name)
        self.slider.setRange(low, high)
        self.slider.setPageStep(max(1, (high - low) // 10))
        self.slider.setMinimumWidth(70)
        self.slider.setMaximumWidth(most)
        keep_keys(self.slider, SLIDING)
        self._value = QLabel()
        self._value.setMinimumWidth(self._value.fontMetrics().horizontalAdvance("−8888.88 mm"))
        box.addWidget(self._name)
        box.addWidget(self.slider)
        box.addWidget(self._value)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.slider.valueChanged.connect(self._tell)

    def shorten(self, short: bool) -> None:
        """Says its name shortly, or whole."""
        self._name.setText(self._names[short])

    @property
    def value(self) -> int:
        """mm."""
        return self.slider.value()

    def span(self, low: float, high: float) -> None:
        """From where to where it goes, mm."""
        with QSignalBlocker(self.slider):
            self.slider.setRange(round(low), round(high))
            self.slider.setPageStep(max(1, round((high - low) / 20)))

    def set(self, value: float) -> None:
        """Shows this value without telling."""
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(value))
        self._value.setText(f"{trimmed(value)} mm")

    def _tell(self) -> None:
        self._value.setText(f"{self.value} mm")
        self.moved.emit()


class _Button(QToolButton):
    """Says what it does in `words`, or in `short` ones; does an action, if it is given one."""

    def __init__(self, words: str, short: str, action: QAction | None = None) -> None:
        super().__init__()
        self._words = words, short
        self._short = False
        self._wide: tuple[int, ...] = ()
        if action is not None:
            self.setDefaultAction(action)
            action.changed.connect(self._say)  # or the action's own words would come back
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        keep_keys(self, PRESSING)
        self._say()

    def shorten(self, short: bool) -> None:
        """Says what it does shortly, its rim close about the words; or whole."""
        if short != self._short:
            self._short = short
            self._say()

    def wide(self, short: bool) -> int:
        """points that it takes with the short words, or with the whole ones."""
        if not self._wide:  # measured once: whoever asks lays out, and must not be told that the words have changed
            now = self._short
            for which in (False, True):
                self.shorten(which)
                self._wide += (self.sizeHint().width(),)
            self.shorten(now)
        return self._wide[short]

    def changeEvent(self, event: QEvent) -> None:
        """Words of another font take more room, or less."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._wide = ()

    def _say(self) -> None:
        self.setText(self._words[self._short])
        self.setProperty("close", self._short)
        self.style().polish(self)
        self.updateGeometry()  # the rim takes another room though the words may be the same

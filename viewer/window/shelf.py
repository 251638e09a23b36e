"""The shelf over the picture: what is switched on and off, and the sliders that go with it."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QSizePolicy, QSlider, QToolButton, QVBoxLayout, QWidget

from scrieve.model.wording import trimmed

from .deeds import DEEDS
from .in_hand import InHand
from .keeping_keys import PRESSING, SLIDING, keep_keys

SWITCHES = {
    "fade_others": ("Fade others", "Fade"),
    "only_frame": ("Frame only", "Only"),
    "spread": ("Spread", "Spread"),
    "cut": ("Cut open", "Cut"),
    "measure": ("Measure", "Measure"),
    "label": ("Labels", "Labels"),
    "save_picture": ("Picture…", "Picture"),
}
"""Deeds on the shelf, in words for a window with room and for a small one."""

_LOOK = "Look from ▾", "From ▾"

_MARGIN = 8

_RIM = 20
"""points that a button takes beside its words, and to the next."""

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
        switches.setSpacing(2)
        rows.addLayout(switches)
        self._from = self._sides(actions)
        switches.addWidget(self._from)
        self._buttons = {name: _Button(actions[name], *words) for name, words in SWITCHES.items()}
        for name, button in self._buttons.items():
            if name == "save_picture":
                switches.addStretch(1)
            switches.addWidget(button)
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
        self.show_hand(InHand(), (0.0, 1.0))

    def _sides(self, actions: Mapping[str, QAction]) -> QToolButton:
        button = QToolButton()
        button.setText(_LOOK[0])
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        menu = QMenu(button)
        for deed in DEEDS:
            if deed.name.startswith("look_") or deed.name == "whole_boat":
                menu.addAction(actions[deed.name])
        button.setMenu(menu)
        keep_keys(button, PRESSING)
        return button

    def show_hand(self, now: InHand, reach: tuple[float, float]) -> None:
        """Shows the sliders of what is on; the cut may go over `reach` (x from, to; mm)."""
        spread = now.spread_on
        self.along.setVisible(spread)
        self.off.setVisible(spread)
        self.place.setVisible(now.cut is not None)
        self.sliders.setVisible(spread or now.cut is not None)
        self.along.set(now.showing.along)
        self.off.set(now.showing.off)
        if now.cut is not None:
            self.place.span(*reach)
            self.place.set(now.cut)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fewer words where there is little room."""
        super().resizeEvent(event)
        room = event.size().width() - 2 * _MARGIN
        metrics = self.fontMetrics()
        wanted = [_LOOK[0], *(words for words, _ in SWITCHES.values())]
        tight = sum(metrics.horizontalAdvance(words) + _RIM for words in wanted) > room
        for button in self._buttons.values():
            button.shorten(tight)
        self._from.setText(_LOOK[tight])
        _set_close(self._from, tight)
        for slide in (self.along, self.off, self.place):
            slide.shorten(room < _ROOMY)

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
        self.slider.blockSignals(True)
        self.slider.setRange(round(low), round(high))
        self.slider.setPageStep(max(1, round((high - low) / 20)))
        self.slider.blockSignals(False)

    def set(self, value: float) -> None:
        """Shows this value without telling."""
        self.slider.blockSignals(True)
        self.slider.setValue(round(value))
        self.slider.blockSignals(False)
        self._value.setText(f"{trimmed(value)} mm")

    def _tell(self) -> None:
        self._value.setText(f"{self.value} mm")
        self.moved.emit()


class _Button(QToolButton):
    """Does a deed; says it in `words`, or in `short` ones."""

    def __init__(self, action: QAction, words: str, short: str) -> None:
        super().__init__()
        self._all, self._short, self._now = words, short, words
        self.setDefaultAction(action)
        self.setText(words)
        action.changed.connect(lambda: self.setText(self._now))  # or the action's own words would come back
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        keep_keys(self, PRESSING)

    def shorten(self, short: bool) -> None:
        """Says its deed shortly, or whole."""
        self._now = self._short if short else self._all
        self.setText(self._now)
        _set_close(self, short)


def _set_close(button: QToolButton, close: bool) -> None:
    """Draws the rim of a button close about its words, or with room."""
    if button.property("close") != close:
        button.setProperty("close", close)
        button.style().polish(button)

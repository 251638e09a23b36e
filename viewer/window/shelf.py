"""The shelf over the picture: what is switched on and off, and the sliders that go with it."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QSizePolicy, QSlider, QToolButton, QVBoxLayout, QWidget

from .deeds import DEEDS
from .in_hand import InHand
from .keeping_keys import PRESSING, SLIDING, keep_keys

SWITCHES = {
    "fade_others": "Fade others",
    "only_frame": "Frame only",
    "spread": "Spread",
    "cut": "Cut open",
    "measure": "Measure",
    "label": "Labels",
}
"""Deeds on the shelf, in words short enough for a small window."""

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
        rows.setContentsMargins(8, 5, 8, 5)
        rows.setSpacing(2)
        switches = QHBoxLayout()
        switches.setSpacing(2)
        rows.addLayout(switches)
        switches.addWidget(self._sides(actions))
        for name, words in SWITCHES.items():
            switches.addWidget(_button(actions[name], words))
        switches.addStretch(1)
        switches.addWidget(_button(actions["save_picture"], "Picture…"))
        self.along = _Slide("along the boat", 0, MOST_ALONG)
        self.off = _Slide("off the faces", 0, MOST_OFF)
        self.place = _Slide("cut at", 0, 1)
        self.sliders = QWidget()
        row = QHBoxLayout(self.sliders)
        row.setContentsMargins(6, 2, 6, 2)
        row.setSpacing(18)
        for slide in (self.along, self.off, self.place):
            row.addWidget(slide)
        row.addStretch(1)
        rows.addWidget(self.sliders)
        self.along.moved.connect(self._tell_spread)
        self.off.moved.connect(self._tell_spread)
        self.place.moved.connect(lambda: self.cut_moved.emit(float(self.place.value)))
        self.show_hand(InHand(), (0.0, 1.0))

    def _sides(self, actions: Mapping[str, QAction]) -> QToolButton:
        button = QToolButton()
        button.setText("Look from ▾")
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
        spread = bool(now.showing.along or now.showing.off)
        self.along.setVisible(spread)
        self.off.setVisible(spread)
        self.place.setVisible(now.cut is not None)
        self.sliders.setVisible(spread or now.cut is not None)
        self.along.set(now.showing.along)
        self.off.set(now.showing.off)
        if now.cut is not None:
            self.place.span(*reach)
            self.place.set(now.cut)

    def _tell_spread(self) -> None:
        self.spread_moved.emit(float(self.along.value), float(self.off.value))


class _Slide(QWidget):
    """A slider with its name before and its value behind; `moved` is told when a hand moves it."""

    moved = Signal()

    def __init__(self, name: str, low: int, high: int) -> None:
        super().__init__()
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(8)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName(name)
        self.slider.setRange(low, high)
        self.slider.setPageStep(max(1, (high - low) // 10))
        self.slider.setMinimumWidth(70)
        self.slider.setMaximumWidth(200)
        keep_keys(self.slider, SLIDING)
        self._value = QLabel()
        self._value.setMinimumWidth(self._value.fontMetrics().horizontalAdvance("−8888 mm"))
        box.addWidget(QLabel(name))
        box.addWidget(self.slider)
        box.addWidget(self._value)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self.slider.valueChanged.connect(self._tell)

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
        self._value.setText(f"{value:.0f} mm")

    def _tell(self) -> None:
        self._value.setText(f"{self.value} mm")
        self.moved.emit()


def _button(action: QAction, words: str) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    button.setText(words)
    action.changed.connect(lambda: button.setText(words))  # or the action's own words would come back
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    keep_keys(button, PRESSING)
    return button

"""The shelf over the picture: its words have room in any window, its sliders stay while they are wanted."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QToolButton
from window_making import clean_window, faulty_window, press, wait  # noqa: F401  fixtures

from scrieve.viewer.window.window import PANES, SIZE


@pytest.mark.parametrize("wide", range(1390, 750, -70))
def test_no_word_is_cut_short(clean, wide):
    clean.resize(wide, 700)
    wait(50)
    buttons = clean.shelf.findChildren(QToolButton)
    assert [button.text() for button in buttons if button.width() < button.sizeHint().width()] == []
    if wide > 1200:
        assert "Fade others" in [button.text() for button in buttons]
    assert clean.pages.width() >= min(PANES, clean.width() - clean.shelf.minimumSizeHint().width() - 10)
    clean.resize(SIZE)


def test_spread_is_switched_on_and_off(clean):
    press(clean, "S")
    assert clean.hand.now.spread_on and clean.shelf.along.isVisible()
    assert clean.actions_of["spread"].isChecked()
    press(clean, "S")
    assert not clean.hand.now.spread_on and not clean.shelf.along.isVisible()
    assert (clean.hand.now.along, clean.hand.now.off) == (0.0, 0.0)
    assert not clean.actions_of["spread"].isChecked()


def test_sliders_stay_under_the_hand_at_nothing(clean):
    press(clean, "S")
    clean.shelf.along.slider.setValue(0)
    clean.shelf.off.slider.setValue(0)
    assert (clean.hand.now.along, clean.hand.now.off) == (0.0, 0.0)
    assert clean.shelf.along.isVisible() and clean.shelf.off.isVisible()
    clean.shelf.off.slider.setValue(40)
    assert clean.hand.now.off == 40.0
    press(clean, "S")


def test_a_cut_puts_a_spread_boat_together_and_the_other_way_about(clean):
    press(clean, "S")
    press(clean, "C")
    now = clean.hand.now
    assert now.cut is not None and not now.spread_on and now.along == 0.0
    press(clean, "S")
    now = clean.hand.now
    assert now.cut is None and now.spread_on and (now.along or now.off)


def test_a_step_is_let_go_of_when_the_boat_is_spread(clean):
    clean.building.take(3)
    press(clean, "S")
    assert clean.hand.now.step == 0 and not clean.canvas.stage.board.shown

"""The shelf over the picture: its words have room in any window, its sliders stay while they are wanted."""

from __future__ import annotations

import pytest
from window_making import clean_window, faulty_window, press, wait  # noqa: F401  fixtures


def words_have_room(window) -> bool:
    """Whether every button on the shelf is as wide as its words."""
    buttons = [window.shelf._from, *window.shelf._buttons.values()]
    return all(button.width() >= button.fontMetrics().horizontalAdvance(button.text()) for button in buttons)


@pytest.mark.parametrize("wide", [760, 900, 1240, 1390])
def test_no_word_is_cut_short(clean, wide):
    clean.resize(wide, 700)
    wait(100)
    assert words_have_room(clean)
    if wide > 1200:
        assert clean.shelf._buttons["fade_others"].text() == "Fade others"
    clean.resize(1360, 860)


def test_spread_is_switched_on_and_off(clean):
    press(clean, "S")
    assert clean.hand.now.spread_on and clean.shelf.along.isVisible()
    assert clean.actions_of["spread"].isChecked()
    press(clean, "S")
    assert not clean.hand.now.spread_on and not clean.shelf.along.isVisible()
    assert (clean.hand.now.showing.along, clean.hand.now.showing.off) == (0.0, 0.0)
    assert not clean.actions_of["spread"].isChecked()


def test_sliders_stay_under_the_hand_at_nothing(clean):
    press(clean, "S")
    clean.shelf.along.slider.setValue(0)
    clean.shelf.off.slider.setValue(0)
    assert (clean.hand.now.showing.along, clean.hand.now.showing.off) == (0.0, 0.0)
    assert clean.shelf.along.isVisible() and clean.shelf.off.isVisible()
    clean.shelf.off.slider.setValue(40)
    assert clean.hand.now.showing.off == 40.0
    press(clean, "S")


def test_a_cut_puts_a_spread_boat_together_and_the_other_way_about(clean):
    press(clean, "S")
    press(clean, "C")
    now = clean.hand.now
    assert now.cut is not None and not now.spread_on and now.showing.along == 0.0
    press(clean, "S")
    now = clean.hand.now
    assert now.cut is None and now.spread_on and (now.showing.along or now.showing.off)


def test_a_step_is_let_go_of_when_the_boat_is_spread(clean):
    clean.building.take(3)
    press(clean, "S")
    assert clean.hand.now.showing.step == 0 and not clean.canvas.stage.board.shown

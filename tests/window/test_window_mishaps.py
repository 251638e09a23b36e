"""Mistakes of our own while the window is open, and whatever still comes when it is closed."""

from __future__ import annotations

import sys

from PySide6.QtCore import QTimer
from window_making import begun, copied, opened, shut, until, wait

from scrieve.viewer.window.mishaps import mishaps_told


def fail():
    raise ZeroDivisionError("planted")


def test_what_goes_wrong_in_a_slot_is_noticed_by_these_tests(mishaps):
    QTimer.singleShot(0, fail)
    until(lambda: mishaps)
    assert [type(error) for error in mishaps] == [ZeroDivisionError]
    mishaps.clear()


def test_what_goes_wrong_is_told_in_the_banner_and_the_window_stays(tmp_path, capfd, mishaps):
    window = opened(copied("pram", tmp_path), tmp_path / "window.ini")
    before = sys.excepthook
    with mishaps_told(window.say):
        QTimer.singleShot(0, fail)
        until(window.banner.isVisible)
    assert sys.excepthook is before
    assert "mistake in Scrieve" in window.banner.head.text()
    assert window.banner.lines.text() == "ZeroDivisionError: planted"
    assert window.isVisible()
    assert "Traceback" not in capfd.readouterr().err
    assert mishaps == []
    shut(window)


def test_before_there_is_a_boat_it_is_told_on_the_page(tmp_path):
    window = begun(copied("pram", tmp_path), tmp_path / "window.ini")
    with mishaps_told(window.say):
        QTimer.singleShot(0, fail)
        until(lambda: "mistake in Scrieve" in window.reading.page.head.text())
    assert "planted" in window.reading.page.word.text()
    shut(window)


def test_what_is_still_told_after_it_was_closed_does_no_harm(tmp_path):
    window = opened(copied("pram", tmp_path), tmp_path / "window.ini")
    boat = window.hand.boat
    window.close()
    window.hand.change(body="F1 transom", frame="1")
    window.finding_walk.take(0)
    window.frames.next_frame()
    window.building.take(2)
    window.arranging.label(True)
    window.actions_of["cut"].trigger()
    window.actions_of["measure"].trigger()
    window.hand.take_boat(boat)
    window.building.stop()
    wait(100)
    window.deleteLater()
    wait(10)

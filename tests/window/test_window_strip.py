"""The station strip: what stands where, and what it says."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip
from window_making import clean_window, faulty_window, until  # noqa: F401  fixtures

from scrieve.viewer.window.pins import pins_of
from scrieve.viewer.window.profile import profile_of


def long_boat(frames: int) -> SimpleNamespace:
    """As much of a boat of many frames as the strip looks at."""
    placement = lambda n: SimpleNamespace(station=100.0 * n, point=lambda v, w, n=n: (100.0 * n, 0.0, w))  # noqa: E731
    part = SimpleNamespace(shape=SimpleNamespace(bounds=(-500.0, 100.0, 500.0, 600.0)))
    return SimpleNamespace(
        battens=(),
        frames=tuple(
            SimpleNamespace(number=str(n), name=f"F{n}", kind="ring", placement=placement(n), core=(part,))
            for n in range(frames)
        ),
    )


def test_ticks_stand_at_their_stations_from_aft_forward(clean):
    frames = clean.hand.boat.assembly.frames
    stations = [frame.placement.station for frame in frames]
    ticks = [clean.strip.tick(frame.number).x() for frame in frames]
    straight = np.polynomial.Polynomial.fit(stations, ticks, 1)
    assert ticks == sorted(ticks)
    assert np.allclose(straight(np.array(stations)), ticks, atol=1e-6)


def test_the_profile_is_that_of_the_solids(clean):
    assembly = clean.hand.boat.assembly
    profile = profile_of(assembly)
    for frame, tick in zip(assembly.frames, profile.ticks, strict=True):
        core = np.concatenate(
            [b.points for b in clean.hand.boat.bodies if b.frame == frame.number and b.kind == "core"]
        )
        assert abs(tick.line[0, 1] - core[:, 2].min()) < 5.0
        assert abs(tick.line[1, 1] - core[:, 2].max()) < 5.0
    assert len(profile.battens) == sum(batten.side != "starboard" for batten in assembly.battens)


def test_a_pin_stands_over_the_station_of_its_finding(clean):
    findings, strip = clean.hand.boat.findings, clean.strip
    for pin in strip.pins():
        assert 0 <= pin.x <= strip.width()
        frame = findings[pin.finding].frame
        if frame and not pin.more:
            others = [abs(strip.tick(f.number).x() - pin.x) for f in clean.hand.boat.assembly.frames]
            assert abs(strip.tick(frame).x() - pin.x) <= sorted(others)[1]  # nearest, or next to the nearest


def test_says_what_a_pin_or_a_tick_stands_for(clean):
    strip = clean.strip
    pin = next(pin for pin in strip.pins() if not pin.more)
    foot = strip.tick("4").toPoint() + QPoint(0, 25)
    wanted = {QPoint(round(pin.x), round(pin.y)): clean.hand.boat.findings[pin.finding].check, foot: "F4: station"}
    for where, words in wanted.items():
        QToolTip.hideText()
        asked = QHelpEvent(QEvent.Type.ToolTip, where, strip.mapToGlobal(where))
        QApplication.sendEvent(strip, asked)
        until(lambda words=words: words in QToolTip.text(), words)
    QToolTip.hideText()


def test_the_cut_is_dragged_along_the_boat(clean):
    clean.arranging.cut(True)
    strip = clean.strip
    start = strip.tick("3").toPoint() - QPoint(0, 20)
    clean.arranging.cut_at(1450.0)
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(strip, left, pos=start)
    QTest.mouseMove(strip, strip.tick("5").toPoint() - QPoint(0, 20))
    QTest.mouseRelease(strip, left, pos=strip.tick("5").toPoint() - QPoint(0, 20))
    assert clean.hand.now.cut == pytest.approx(2700.0, abs=15.0)
    assert clean.hand.now.frame == ""  # no frame was meant
    QTest.mouseClick(strip, left, pos=strip.tick("2").toPoint() - QPoint(0, 20))
    assert clean.hand.now.frame == "2"
    QTest.mousePress(strip, left, pos=strip.tick("5").toPoint() - QPoint(0, 20))
    QTest.mouseMove(strip, QPoint(strip.width() + 300, 60))
    QTest.mouseRelease(strip, left, pos=QPoint(strip.width() + 300, 60))
    assert clean.hand.now.cut <= max(frame.placement.station for frame in clean.hand.boat.assembly.frames) + 100


def test_a_click_on_a_number_takes_the_first_finding_without_a_pin(clean):
    strip, taken = type(clean.strip)(), []
    strip.resize(700, strip.sizeHint().height())
    strip.show_boat(clean.hand.boat.assembly, clean.hand.boat.findings * 8)
    strip.finding_chosen.connect(taken.append)
    number = next(pin for pin in strip.pins() if pin.more)
    assert number.finding not in {pin.finding for pin in strip.pins() if not pin.more}
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPoint(round(number.x), round(number.y)))
    assert taken == [number.finding]
    strip.choose("", number.finding)
    assert any(pin.finding == number.finding and not pin.more for pin in strip.pins())
    strip.deleteLater()


@pytest.mark.parametrize("frames", [7, 71, 400])
def test_names_of_frames_never_stand_on_one_another(clean, frames):
    strip = type(clean.strip)()
    strip.resize(900, strip.sizeHint().height())
    strip.show_boat(long_boat(frames), ())
    strip.choose("3", -1)
    named = sorted(strip.tick(number).x() for number in strip.named())
    assert "3" in strip.named()
    assert all(b - a >= 42 for a, b in pairwise(named))
    assert min(frames, 12) <= len(named) <= frames
    strip.deleteLater()


def test_painting_asks_the_boat_nothing(clean, monkeypatch):
    """Many frames and findings must not be looked through at every painting."""
    strip = type(clean.strip)()
    strip.resize(900, strip.sizeHint().height())
    boat = clean.hand.boat
    strip.show_boat(boat.assembly, boat.findings)
    before = strip.grab().toImage()

    def asked(*_args, **_more):
        raise AssertionError("the boat is looked through again")

    monkeypatch.setattr("scrieve.viewer.window.strip.profile_of", asked)
    monkeypatch.setattr(type(boat.assembly.battens[0]), "centre", asked)
    strip.choose("3", 2, 500.0)
    assert strip.grab().toImage() != before
    strip.choose("", -1)
    assert strip.grab().toImage() == before
    strip.deleteLater()


def test_pins_of_one_place_stand_side_by_side():
    pins = pins_of([(n, 200.0) for n in range(6)], 400.0, selected=-1)
    assert [pin.finding for pin in pins] == list(range(6))
    xs = [pin.x for pin in pins]
    assert np.allclose(np.diff(xs), np.diff(xs)[0]) and np.isclose(np.mean(xs), 200.0)

"""The window with boats of all sorts, from one time to the next, and opened and closed many times."""

from __future__ import annotations

import gc
import os
import weakref
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QSettings, QSize
from vtkmodules.vtkRenderingCore import vtkRenderer
from window_making import copied, opened, press, shut, wait

from scrieve.shared.findings import Finding, Level
from scrieve.viewer.window.in_hand import Hand
from scrieve.viewer.window.window import LEAST, SIZE


@pytest.fixture(name="window")
def own_window(tmp_path):
    window = opened(copied("skiff", tmp_path), tmp_path / "window.ini")
    yield window
    shut(window)


def test_a_boat_without_a_finding(window):
    window.hand.take_boat(replace(window.hand.boat, findings=()))
    assert window.findings.list.count() == 0
    assert window.findings.head.text() == "Nothing found wrong."
    assert window.canvas.stage.marked == ()
    assert window.strip.pins() == ()
    press(window, "N")
    press(window, "P")
    assert window.hand.now.finding == -1


def many_findings(boat, count=500):
    random = np.random.default_rng(4)
    frames = boat.assembly.frames
    found = []
    for n in range(count):
        frame = frames[n % len(frames)]
        at = (frame.placement.station, float(random.uniform(-600, 600)), float(random.uniform(200, 700)))
        level = Level.ERROR if n < 300 else Level.WARNING if n < 450 else Level.NOTE
        found.append(
            Finding(
                check="foul",
                level=level,
                message=f"finding {n} of many, with <signs> & such",
                frame=frame.number,
                at=at,
            )
        )
    return replace(boat, findings=tuple(found))


def test_a_boat_with_five_hundred_findings(window):
    window.hand.take_boat(many_findings(window.hand.boat))
    assert window.findings.list.count() == 500
    assert len(window.canvas.stage.marked) == 450
    pins = window.strip.pins()
    assert sum(pin.more or 1 for pin in pins) == 450
    assert all(0 <= pin.x <= window.strip.width() for pin in pins)
    places = [(round(pin.x, 3), pin.y) for pin in pins]
    assert len(places) == len(set(places))
    window.finding_walk.take(299)
    assert any(pin.finding == 299 and not pin.more for pin in window.strip.pins())
    assert "<signs>" in window.findings.list.item(3).text()
    for _ in range(5):
        press(window, "N")
    assert window.hand.now.finding == 304
    wait(50)


def test_a_waived_finding_is_shown_as_such_and_not_marked(window):
    boat = many_findings(window.hand.boat, 2)
    first, second = boat.findings
    window.hand.take_boat(replace(boat, findings=(replace(first, waived="pulled after the glue sets"), second)))
    assert "1 waived" in window.findings.head.text()
    assert window.canvas.stage.marked == (1,)


def test_a_boat_without_steps(window):
    window.hand.take_boat(replace(window.hand.boat, steps=()))
    for key in (".", ",", "Space", "B"):
        press(window, key)
    assert window.hand.now.showing.step == 0
    assert not window.building.playing


def test_what_is_in_hand_is_found_again_in_another_list(window):
    hand = Hand()
    boat = many_findings(window.hand.boat, 6)
    hand.take_boat(boat)
    hand.take(finding=4, body="F1 transom")
    hand.take_boat(replace(boat, findings=boat.findings[2:]))
    assert hand.now.finding == 2
    assert hand.now.body == "F1 transom"
    hand.take_boat(replace(boat, findings=()))
    assert hand.now.finding == -1


def test_remembers_its_size_its_layout_and_the_page(tmp_path):
    plan, settings = copied("pram", tmp_path), tmp_path / "window.ini"
    window = opened(plan, settings)
    assert window.size() == QSize(*SIZE)
    window.resize(1111, 777)
    window.split.setSizes([700, 411])
    window.pages.setCurrentIndex(1)
    wait(100)
    sizes = window.split.sizes()
    shut(window)
    again = opened(plan, settings)
    assert again.size() == QSize(1111, 777)
    assert again.split.sizes() == sizes
    assert again.pages.currentIndex() == 1
    shut(again)


def test_settings_of_another_time_do_no_harm(tmp_path):
    settings = tmp_path / "window.ini"
    wrong = QSettings(str(settings), QSettings.Format.IniFormat)
    for key in ("geometry", "split", "steps"):
        wrong.setValue(key, "nonsense")
    wrong.setValue("page", "many")
    wrong.sync()
    window = opened(copied("pram", tmp_path), settings)
    assert window.hand.boat is not None
    assert window.isVisible()
    shut(window)


def test_everything_has_room_in_a_small_window(window):
    window.resize(*LEAST)
    wait(100)
    assert window.canvas.view.height() > 150
    assert window.canvas.view.width() > 300
    window.arranging.take_body("F1 transom")
    wait(50)
    card = window.card.geometry()
    assert window.canvas.view.rect().contains(card)


def renderers() -> int:
    """How many there are in this process."""
    return sum(isinstance(thing, vtkRenderer) for thing in gc.get_objects())


def test_twenty_windows_opened_and_closed_leave_nothing_behind(tmp_path):
    plan = copied("pram", tmp_path)
    first = opened(plan, tmp_path / "window.ini")
    shut(first)
    del first
    gc.collect()
    before = renderers()
    gone, files = [], []
    for _ in range(20):
        window = opened(plan, tmp_path / "window.ini")
        window.finding_walk.take(0)
        window.building.take(1)
        press(window, "C")
        gone += [weakref.ref(window), weakref.ref(window.canvas.view), weakref.ref(window.canvas.stage.scene)]
        shut(window)
        del window
        gc.collect()
        files.append(len(os.listdir("/proc/self/fd")) if os.path.isdir("/proc/self/fd") else 0)
    wait(50)
    gc.collect()
    assert [ref for ref in gone if ref() is not None] == []
    assert renderers() <= before
    assert max(files[10:]) <= max(files[:10])

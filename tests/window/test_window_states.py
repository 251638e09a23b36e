"""The window with boats of all sorts, from one time to the next, and opened and closed many times."""

from __future__ import annotations

import gc
import os
import weakref
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QObject, QProcess, QSettings, QSize, QTimer
from PySide6.QtWidgets import QLabel
from shiboken6 import isValid
from vtkmodules.vtkRenderingCore import vtkRenderer
from window_making import copied, opened, press, shut, states, until, wait

from scrieve.shared.findings import Finding, Level
from scrieve.viewer.window.selection import Hand
from scrieve.viewer.window.window import LEAST, SIZE, MainWindow


@pytest.fixture(name="window")
def own_window(tmp_path):
    window = opened(copied("skiff", tmp_path), tmp_path / "window.ini")
    yield window
    shut(window)


def test_a_boat_without_a_finding(window):
    window.hand.take_boat(replace(window.hand.boat, findings=()))
    assert window.findings.list.count() == 0
    assert window.findings.head.text() == "Nothing found wrong."
    window.findings.show_findings([Finding(check="fair", level=Level.NOTE, message="too few frames")])
    assert window.findings.head.text() == "Nothing found wrong; 1 note"
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
    assert window.hand.now.step == 0
    assert not window.building.playing


def test_nothing_at_all_can_be_shown(window):
    """A frame without a part, and a step before anything stands: nobody asks how large nothing is."""
    boat = window.hand.boat
    window.hand.take_boat(replace(boat, bodies=tuple(body for body in boat.bodies if body.frame != "3")))
    window.frames.take("3")
    press(window, "O")
    assert states(window, "shown") == states(window, "faded") == set()
    assert window.actions_of["only_frame"].isChecked()
    press(window, "C")
    window.arranging.let_go()
    strongback = next(step.number for step in boat.steps if step.kind == "strongback")
    window.hand.take_boat(replace(boat, bodies=tuple(body for body in boat.bodies if body.kind != "rail")))
    window.building.take(strongback)
    assert states(window, "shown") == set()
    assert f"Step {strongback} of" in window.word.text()
    wait(50)


def test_a_deed_is_told_once(window):
    told = []
    window.hand.changed.connect(told.append)
    for action in (
        lambda: window.finding_walk.take(0),
        lambda: window.frames.take("2"),
        lambda: window.frames.fade_others(True),
        lambda: window.arranging.spread(True),
        lambda: window.building.take(3),
    ):
        told.clear()
        action()
        assert len(told) == 1
    window.building.stop()
    told.clear()
    window.hand.change(labels=window.hand.now.labels)  # as it was
    assert told == []
    window.hand.changed.disconnect(told.append)


def test_a_spread_of_nothing_is_still_a_spread(window):
    press(window, "S")
    window.arranging.spread_by(0.0, 0.0)
    assert window.hand.now.spread_on
    assert window.actions_of["spread"].isChecked()
    assert window.shelf.along.isVisible() and window.shelf.off.isVisible()
    window.shelf.along.slider.setValue(300)
    assert window.hand.now.along == 300
    press(window, "S")
    assert not window.hand.now.spread_on
    assert not window.shelf.along.isVisible()


@pytest.mark.parametrize("action", ["whole_boat", "next_finding", "next_frame", "measure", "cut", "next_step"])
def test_that_it_is_not_about_strength_is_always_to_be_seen(window, action):
    window.hand.take_boat(many_findings(window.hand.boat, 3))
    for size in (SIZE, LEAST):
        window.resize(size)
        window.actions_of[action].trigger()
        wait(50)
        foot = window.statusBar()
        said = [label for label in foot.findChildren(QLabel) if label.text() == "Scrieve checks fit, not strength"]
        assert len(said) == 1
        assert said[0].isVisible()
        assert said[0].width() >= said[0].fontMetrics().horizontalAdvance(said[0].text())
        at = said[0].mapTo(window, said[0].rect().topRight())
        assert 0 < at.x() < window.width() == size.width()


def test_what_is_in_hand_is_found_again_in_another_list(window):
    hand = Hand()
    boat = many_findings(window.hand.boat, 6)
    hand.take_boat(boat)
    hand.change(finding=4, body="F1 transom")
    hand.take_boat(replace(boat, findings=boat.findings[2:]))
    assert hand.now.finding == 2
    assert hand.now.body == "F1 transom"
    hand.take_boat(replace(boat, findings=()))
    assert hand.now.finding == -1


def test_remembers_its_size_its_layout_and_the_page(tmp_path):
    plan, settings = copied("pram", tmp_path), tmp_path / "window.ini"
    window = opened(plan, settings)
    assert window.size() == SIZE
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
    window.resize(LEAST)
    wait(100)
    assert window.canvas.view.height() > 150
    assert window.canvas.view.width() > 300
    window.arranging.take_body("F1 transom")
    wait(50)
    card = window.card.geometry()
    assert window.canvas.view.rect().contains(card)


def alive(kind: type) -> int:
    """How many of a kind there are in this process; of timers those of somebody, not those that waiting leaves."""
    found = [thing for thing in gc.get_objects() if isinstance(thing, kind)]
    if issubclass(kind, QObject):
        return sum(isValid(thing) and thing.parent() is not None for thing in found)
    return len(found)


def children() -> set[str]:
    """The processes that this one has started and that have not ended."""
    found = set()
    for task in Path("/proc/self/task").glob("*/children"):
        found |= set(task.read_text(encoding="ascii").split())
    return found


def observers(window: MainWindow) -> int:
    """How many watch what the picture is painted with, or one of the kinds of event that anything asks for."""
    view = window.canvas.view
    watched = (view.ren_win, view.renderer, view.camera, view.iren.interactor, view.iren.style)
    events = ("StartEvent", "EndEvent", "ModifiedEvent", "RenderEvent", "AnyEvent")
    return sum(thing.HasObserver(event) for thing in watched if thing is not None for event in events)


def test_eight_windows_opened_and_closed_leave_nothing_behind(tmp_path):
    plan = copied("pram", tmp_path)
    first = opened(plan, tmp_path / "window.ini")
    shut(first)
    del first
    gc.collect()
    before = {kind: alive(kind) for kind in (vtkRenderer, QTimer, QProcess)}
    started = children()
    gone, files = [], []
    for turn in range(8):
        window = opened(plan, tmp_path / "window.ini")
        if turn == 0:
            watching = observers(window)
        else:
            assert observers(window) == watching
        window.finding_walk.take(0)
        window.building.take(1)
        press(window, "C")
        gone += map(weakref.ref, (window, window.hand, window.reading, window.reading.watching, window.building))
        gone += map(weakref.ref, (window.canvas, window.canvas.view, window.canvas.camera, window.canvas.stage.scene))
        shut(window)
        del window
        gc.collect()
        files.append(len(os.listdir("/proc/self/fd")) if os.path.isdir("/proc/self/fd") else 0)
    wait(50)
    gc.collect()
    assert [ref for ref in gone if ref() is not None] == []
    assert {kind: alive(kind) for kind in before if alive(kind) > before[kind]} == {}
    until(lambda: children() <= started, "the processes that read have ended")
    assert max(files[4:]) <= max(files[:4])

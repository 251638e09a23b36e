"""The build order in the window: steps listed, taken, played; each part comes along its computed way."""

from __future__ import annotations

import re
from html import unescape

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_making import clean_window, faulty_window, press, states, until, wait  # noqa: F401  two are fixtures

from scrieve.viewer.window.steps_pane import STEP, step_words


def listed(window):
    pane = window.steps.list
    items = [pane.item(row) for row in range(pane.count())]
    return {item.data(STEP): item for item in items if item.data(STEP)}


def test_lists_every_step_under_its_frame(clean):
    steps = clean.hand.boat.steps
    items = listed(clean)
    assert list(items) == [step.number for step in steps]
    for step in steps:
        assert step.title in items[step.number].text()
    headings = [clean.steps.list.item(row).text() for row in range(clean.steps.list.count())]
    assert "F3 on the bench" in headings
    assert "Setting up" in headings


def test_a_click_takes_a_step_with_what_belongs_to_it(clean):
    step = next(step for step in clean.hand.boat.steps if step.screws and step.cautions and step.watch)
    clean.pages.setCurrentWidget(clean.steps)
    item = listed(clean)[step.number]
    clean.steps.list.scrollToItem(item)
    wait(30)
    at = clean.steps.list.visualItemRect(item).center()
    QTest.mouseClick(clean.steps.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert clean.hand.now.step == step.number
    words = clean.steps.words.toPlainText()
    assert step.title in words
    for driving in step.screws:
        assert f"{driving.stop:.1f} mm below the face" in words
        assert driving.size in words
    for watch in step.watch:
        assert watch in words
    assert "Take care" in words


def test_names_in_a_steps_words_lead_to_the_bodies(clean):
    names = {body.name for body in clean.hand.boat.bodies}
    core = next(s for s in clean.hand.boat.steps if s.kind == "core" and s.names and s.names[0] in names)
    clean.building.take(core.number)
    follow_link(clean, f"body:{core.names[0]}")
    assert clean.hand.now.body == core.names[0]
    assert clean.hand.now.step == core.number
    assert clean.card.head.text() == core.names[0]
    driven = next(s for s in clean.hand.boat.steps if s.screws)
    clean.building.take(driven.number)
    follow_link(clean, f"body:{driven.screws[0].screws[-1]}")
    assert clean.hand.now.body == driven.screws[0].screws[-1]
    for step in clean.hand.boat.steps:  # and no link leads nowhere
        led = re.findall(r'href="body:([^"]*)"', step_words(step, names))
        assert set(map(unescape, led)) <= names


def follow_link(window, to):
    """Goes with the keys from link to link of the step's words, and presses Return on this one."""
    text = window.steps.words
    text.setFocus()
    for _ in range(60):
        QTest.keyClick(text, Qt.Key.Key_Tab)
        if text.textCursor().charFormat().anchorHref() == to:
            QTest.keyClick(text, Qt.Key.Key_Return)
            return
    raise AssertionError(f"no link leads to {to}")


def test_what_a_step_adds_comes_along_its_way_and_nothing_else_moves(clean):
    step = next(s for s in clean.hand.boat.steps if s.stage == "setting up" and s.kind == "frame" and s.frame == "4")
    clean.building.take(step.number)
    clean.building.move_to(0.0)
    scene = clean.canvas.stage.scene
    coming = [n for n, body in enumerate(scene.bodies) if body.frame == "4" and body.kind != "dowel"]
    toward = np.array(step.adds[0].toward)
    far = np.array([scene.offset(n) for n in coming])
    assert np.allclose(far, far[0])
    assert np.dot(far[0], toward) == pytest.approx(-np.linalg.norm(far[0]))
    assert np.linalg.norm(far[0]) > 100
    clean.building.move_to(0.5)
    assert scene.offset(coming[0]) == pytest.approx(far[0] / 2)
    clean.building.move_to(1.0)
    assert scene.offset(coming[0]) == pytest.approx((0, 0, 0))
    assert all(scene.offset(n) == (0, 0, 0) for n in range(len(scene.bodies)) if n not in coming)
    assert states(clean, "shown") >= {scene.bodies[n].name for n in coming}
    later = {"5", "6", "7"}
    assert not any(body.frame in later for body in scene.bodies if body.name in states(clean, "shown"))


def test_on_the_bench_only_what_lies_there_is_seen(clean):
    step = next(s for s in clean.hand.boat.steps if s.frame == "2" and s.kind == "core")
    clean.building.take(step.number)
    clean.building.move_to(1.0)
    shown = states(clean, "shown")
    assert set(step.names) <= shown
    assert {body.frame for body in clean.hand.boat.bodies if body.name in shown} == {"2"}
    assert not clean.canvas.stage.datum.shown


def test_the_bench_is_seen_from_the_face_that_is_up(clean):
    for face, side in (("forward", 1), ("aft", -1)):
        step = next(
            s
            for s in clean.hand.boat.steps
            if s.frame == "3" and s.kind == "plates" and s.names[0].endswith(face) and s.adds[0].toward
        )
        clean.building.take(step.number)
        clean.building.move_to(0.0)
        view, scene = clean.canvas.camera.view, clean.canvas.stage.scene
        assert (view.position[0] - view.target[0]) * side > 0
        assert view.up[0] * side > 0  # and lies flat
        assert clean.canvas.stage.board.shown
        clean.canvas.camera.turn(0.5, 0.1)
        right, _, _ = clean.canvas.camera.view.axes()
        assert right[0] == pytest.approx(0.0, abs=1e-9)  # the bench stays level
        assert scene.offset(scene.number[step.names[0]])[0] * side > 0  # it comes from there


def test_leaving_the_bench_sets_the_boat_upright_again(clean):
    clean.building.take(1)
    for leave in (lambda: press(clean, "B"), lambda: press(clean, "Right"), lambda: press(clean, "N")):
        leave()
        right, _, _ = clean.canvas.camera.view.axes()
        assert right[2] == pytest.approx(0.0, abs=1e-9)
        assert clean.canvas.camera.upright == (0, 0, 1)
        assert not clean.canvas.stage.board.shown
        clean.building.take(1)
    clean.building.finished_boat()


def test_forward_and_back_with_keys(clean):
    press(clean, ".")
    assert clean.hand.now.step == 1
    press(clean, ".")
    press(clean, ".")
    assert clean.hand.now.step == 3
    press(clean, ",")
    assert clean.hand.now.step == 2
    assert clean.pages.currentWidget() is clean.steps
    press(clean, "B")
    assert clean.hand.now.step == 0
    press(clean, ",")
    assert clean.hand.now.step == len(clean.hand.boat.steps)
    press(clean, "B")


def test_plays_from_step_to_step_until_it_is_paused(clean):
    press(clean, "Space")
    assert clean.building.playing
    assert clean.actions_of["play"].isChecked()
    until(lambda: clean.hand.now.step >= 3, "it plays on")
    press(clean, "Space")
    assert not clean.building.playing
    there = clean.hand.now.step
    wait(400)
    assert clean.hand.now.step == there


def test_playing_ends_with_the_last_step(clean):
    last = len(clean.hand.boat.steps)
    clean.building.take(last - 1)
    clean.building.play(True)
    until(lambda: not clean.building.playing, "it comes to the end")
    assert clean.hand.now.step == last
    assert clean.hand.now.share == 1.0


def test_taking_a_finding_while_it_plays_ends_the_playing(clean):
    clean.building.play(True)
    until(lambda: clean.hand.now.step >= 2)
    clean.finding_walk.take(0)
    until(lambda: not clean.building.playing)
    assert clean.hand.now.step == 0
    assert clean.hand.now.finding == 0


def test_the_slider_moves_what_the_step_adds(clean):
    step = next(s for s in clean.hand.boat.steps if s.kind == "core" and s.adds and s.adds[0].toward)
    clean.building.take(step.number)
    clean.steps.way.setValue(250)
    assert clean.hand.now.share == 0.25
    assert not clean.building.moving
    scene = clean.canvas.stage.scene
    assert np.linalg.norm(scene.offset(scene.number[step.names[0]])) > 1.0


def test_the_steps_that_come_next_are_seen_in_the_list(clean):
    view = clean.steps.list
    for number in (1, 20, 21, 22, 23, 60, len(clean.hand.boat.steps)):
        clean.building.take(number)
        clean.building.move_to(1.0)
        row = view.currentRow()
        for seen in range(row, min(row + 3, view.count())):
            assert view.viewport().rect().contains(view.visualItemRect(view.item(seen)).center()), (number, seen)

"""The mouse in the picture and on the station strip: real events, and what becomes of them on the scene."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import shapely.ops
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from window_making import (  # noqa: F401  two are fixtures
    clean_window,
    faulty_window,
    place_of,
    press,
    until,
    wait,
)

from scrieve.viewer.scene.picking import Picked
from scrieve.viewer.window.canvas import SMOOTH
from scrieve.viewer.window.words import distance

LEFT, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton


def drag(widget, start, end, button=LEFT):
    QTest.mousePress(widget, button, pos=start)
    for share in (0.25, 0.5, 0.75, 1.0):
        QTest.mouseMove(widget, start + (end - start) * share)
    QTest.mouseRelease(widget, button, pos=end)
    wait(20)


def alone(window, frame):
    """One frame, seen square from forward."""
    window.frames.take(frame)
    window.frames.only_frame(True)
    window.looking.look_forward()
    wait(30)


def spot_on(window, part):
    """A place in the picture where only this part can be, well inside it."""
    frame = next(frame for frame in window.hand.boat.assembly.frames if frame.number == part.frame)
    y, v = part.shape.representative_point().coords[0]
    return place_of(window, frame.placement.point(y, v, part.high))


def test_a_drag_goes_round_the_boat_and_keeps_it_level(clean):
    before = clean.canvas.camera.view
    drag(clean.canvas.view, QPoint(400, 300), QPoint(500, 300))
    after = clean.canvas.camera.view
    assert after.target == pytest.approx(before.target)
    assert after.position[2] == pytest.approx(before.position[2])
    assert np.linalg.norm(np.subtract(after.position, before.position)) > 200
    right, _, _ = after.axes()
    assert right[2] == pytest.approx(0.0, abs=1e-9)
    assert clean.hand.now.body == ""  # a drag is not a click


def test_a_drag_with_the_right_button_slides_what_is_under_it_along(clean):
    point = clean.canvas.camera.view.target
    before = place_of(clean, point)
    drag(clean.canvas.view, QPoint(400, 300), QPoint(460, 340), RIGHT)
    moved = place_of(clean, point) - before
    assert abs(moved.x() - 60) <= 1
    assert abs(moved.y() - 40) <= 1


def test_the_wheel_nears_what_is_under_the_mouse(clean):
    alone(clean, "3")
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F3 floor")
    at = spot_on(clean, floor)
    picked = clean.canvas.pick(QPointF(at))
    before = np.linalg.norm(np.subtract(clean.canvas.camera.view.position, picked.at))
    view = clean.canvas.view
    QApplication.sendEvent(
        view,
        QWheelEvent(
            QPointF(at), QPointF(view.mapToGlobal(at)), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
        ),
    )  # fmt: skip
    after = np.linalg.norm(np.subtract(clean.canvas.camera.view.position, picked.at))
    assert after == pytest.approx(before * 0.85**2, rel=1e-6)
    assert (place_of(clean, picked.at) - at).manhattanLength() <= 2


def test_a_click_on_a_part_shows_its_card(clean):
    alone(clean, "3")
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F3 floor")
    QTest.mouseClick(clean.canvas.view, LEFT, pos=spot_on(clean, floor))
    assert clean.hand.now.body == "F3 floor"
    assert clean.canvas.stage.scene.chosen == {clean.canvas.stage.scene.number["F3 floor"]}
    words = clean.card.text.toPlainText()
    for wanted in (floor.label, floor.stock, f"{floor.thickness:g} mm thick", f"{floor.mass:.2f} kg", "screw"):
        assert wanted in words, wanted
    QTest.mouseClick(clean.canvas.view, LEFT, pos=QPoint(5, 5))
    assert clean.hand.now.body == ""
    assert not clean.card.isVisible()


def test_the_card_of_a_screw_tells_what_it_passes_and_leads_there(clean):
    screw = next(s for f in clean.hand.boat.assembly.frames for s in f.screws if len(s.plies) == 2)
    clean.arranging.take_body(screw.name)
    words = clean.card.text.toPlainText()
    for wanted in (screw.size.name, f"{screw.size.length:.2f} mm", *(ply.part.name for ply in screw.plies)):
        assert wanted in words
    clean.card.followed.emit(f"body:{screw.plies[0].part.name}")
    assert clean.hand.now.body == screw.plies[0].part.name


def test_the_card_of_a_batten_tells_its_section(clean):
    clean.arranging.take_body("port chine")
    batten = next(b for b in clean.hand.boat.assembly.battens if b.name == "port chine")
    assert f"{batten.long:g} × {batten.short:g} mm" in clean.card.text.toPlainText()
    clean.arranging.take_body("port rail")
    rails = clean.hand.boat.assembly.strongback
    assert f"{rails.width:g} × {rails.depth:g} mm" in clean.card.text.toPlainText()


def test_the_card_lists_the_findings_of_a_part_and_leads_to_them(clean):
    n, finding = next((n, f) for n, f in enumerate(clean.hand.boat.findings) if f.check == "joint-gap")
    clean.arranging.take_body(finding.parts[0])
    assert finding.message in clean.card.text.toPlainText()
    clean.follow(f"finding:{n}")
    assert clean.hand.now.finding == n


def test_a_click_on_a_mark_takes_the_finding(clean):
    stage = clean.canvas.stage
    apart = {}  # a mark with no other near
    for n, place in zip(stage.marked, stage.marks.places, strict=True):
        apart[n] = place_of(clean, place)
    lonely = [
        (n, at) for n, at in apart.items()
        if all((at - other).manhattanLength() > 40 for m, other in apart.items() if m != n)
    ]  # fmt: skip
    n, at = lonely[0]
    QTest.mouseClick(clean.canvas.view, LEFT, pos=at)
    assert clean.hand.now.finding == n


def test_a_click_on_the_strip_takes_a_frame_and_on_a_pin_a_finding(clean):
    tick = clean.strip.tick("4")
    QTest.mouseClick(clean.strip, LEFT, pos=QPoint(round(tick.x()), clean.strip.height() - 12))
    assert clean.hand.now.frame == "4"
    pin = next(pin for pin in clean.strip.pins() if not pin.more)
    QTest.mouseClick(clean.strip, LEFT, pos=QPoint(round(pin.x), round(pin.y)))
    assert clean.hand.now.finding == pin.finding
    assert clean.pages.currentWidget() is clean.findings


def test_two_clicks_measure_from_corner_to_corner(clean):
    alone(clean, "3")
    press(clean, "M")
    assert clean.actions_of["measure"].isChecked()
    part = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F3 floor")
    frame = next(f for f in clean.hand.boat.assembly.frames if f.number == "3")
    inside = shapely.buffer(part.shape, -3.0)
    found = []
    for corner in part.drawn.flattened():
        beside = shapely.get_coordinates(shapely.ops.nearest_points(inside, shapely.Point(corner))[0])[0]
        at = place_of(clean, frame.placement.point(*beside, part.high))
        picked = clean.canvas.pick(QPointF(at))
        wanted = frame.placement.point(*corner, part.high)
        if picked is not None and picked.kind == "corner" and np.allclose(picked.at, wanted, atol=1e-4):
            found.append((at, wanted))
    far = max(range(len(found)), key=lambda n: np.linalg.norm(np.subtract(found[n][1], found[0][1])))
    ends = found[0][1], found[far][1]
    spots = found[0][0], found[far][0]
    assert np.linalg.norm(np.subtract(*ends)) > 50
    for at in spots:
        QTest.mouseClick(clean.canvas.view, LEFT, pos=at)
    a, b = clean.hand.now.spots
    assert (a.kind, b.kind) == ("corner", "corner")
    length, along = distance(a, b)
    assert length == pytest.approx(float(np.linalg.norm(np.subtract(*ends))), abs=1e-3)
    assert length == pytest.approx(float(np.linalg.norm(along)))
    assert clean.canvas.stage.measure.ends == (pytest.approx(a.at), pytest.approx(b.at))
    words = [label.text for label in clean.canvas.stage.labels.shown]
    assert any(f"{length:.2f} mm" in text and f"y {along[1]:+.2f}" in text for text in words)
    assert f"{length:.2f} mm" in clean.word.text()
    press(clean, "Esc")
    assert clean.hand.now.spots == ()
    assert clean.hand.now.measuring
    press(clean, "Esc")
    assert not clean.hand.now.measuring
    assert clean.canvas.stage.measure.ends is None


def test_measures_with_keys_alone_from_the_middle_of_the_picture(clean):
    alone(clean, "3")
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F3 floor")
    press(clean, "M")
    for share in (0.25, -0.25):
        middle = clean.canvas.camera.view
        at = spot_on(clean, floor)
        view = clean.canvas.view
        clean.canvas.camera.slide(
            (at.x() - view.width() / 2) / view.height(), (view.height() / 2 - at.y()) / view.height()
        )
        clean.canvas.camera.near(1 - share)
        press(clean, "Return")
        assert middle != clean.canvas.camera.view
    assert [spot.body for spot in clean.hand.now.spots] == ["F3 floor", "F3 floor"]


def test_says_under_the_mouse_what_a_click_would_take(clean):
    alone(clean, "3")
    press(clean, "M")
    until(lambda: not clean.canvas.hurries)
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F3 floor")
    QTest.mouseMove(clean.canvas.view, spot_on(clean, floor))
    until(lambda: clean.canvas.stage.pointer.picked is not None, "the pointer shows a place")
    press(clean, "M")
    assert clean.canvas.stage.pointer.picked is None


def test_a_measure_is_true_of_the_boat_as_set_up_though_it_is_spread(clean):
    clean.arranging.measure(True)
    scene = clean.canvas.stage.scene
    numbers = [scene.number["F2 floor"], scene.number["F5 floor"]]
    points = [scene.points_of(n)[0].copy() for n in numbers]
    clean.arranging.spread(True)
    from_scene = [scene.points_of(n)[0] for n in numbers]
    assert np.linalg.norm(from_scene[1] - from_scene[0]) > np.linalg.norm(points[1] - points[0]) + 100
    for n, at in zip(numbers, from_scene, strict=True):
        clean.arranging.take(Picked(body=n, at=tuple(at), kind="corner"))
    a, b = clean.hand.now.spots
    assert distance(a, b)[0] == pytest.approx(float(np.linalg.norm(points[1] - points[0])))
    clean.arranging.spread(False)


def test_smooths_the_picture_only_when_it_rests(clean, monkeypatch):
    monkeypatch.setattr("scrieve.viewer.window.canvas._SLOW", 1_000_000)  # however slow this machine is
    clean.canvas._smooth = SMOOTH
    QTest.mousePress(clean.canvas.view, LEFT, pos=QPoint(300, 300))
    QTest.mouseMove(clean.canvas.view, QPoint(320, 300))
    QTest.mouseMove(clean.canvas.view, QPoint(340, 300))
    assert clean.canvas.hurries
    assert clean.canvas.view.ren_win.GetMultiSamples() == 0
    wait(400)
    assert clean.canvas.hurries  # the button is still down
    QTest.mouseRelease(clean.canvas.view, LEFT, pos=QPoint(340, 300))
    until(lambda: not clean.canvas.hurries)
    until(lambda: clean.canvas.view.ren_win.GetMultiSamples() == SMOOTH == 4)


def test_a_slow_machine_paints_the_coarse_likeness_while_the_picture_moves(clean):
    clean.canvas.slow = True
    clean.canvas.camera.turn(0.1, 0.0)
    scene = clean.canvas.stage.scene
    assert scene.is_coarse
    assert len(scene._coarse.points) < 0.3 * len(scene._fine.points)
    until(lambda: not clean.canvas.hurries and not scene.is_coarse, "the boat is painted as it is")
    clean.canvas.slow = False

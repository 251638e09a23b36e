"""Looking at what is in hand, and back."""

from __future__ import annotations

import numpy as np
import pytest
from window_making import clean_window, faulty_window, press, wait  # noqa: F401  fixtures


def in_the_picture(window, points) -> bool:
    camera = window.canvas.camera
    places = camera.view.seen(points, camera.aspect)
    return bool(np.isfinite(places).all() and (places > 0).all() and (places < 1).all())


@pytest.mark.parametrize("key", ["1", "2", "3", "5", "7", "8"])
def test_z_looks_at_the_part_in_hand_from_where_one_is(clean, key):
    press(clean, key)
    before = clean.canvas.camera.view
    clean.arranging.take_body("F4 floor")
    press(clean, "Z")
    stage, view = clean.canvas.stage, clean.canvas.camera.view
    points = stage.scene.points_of(stage.scene.number["F4 floor"])
    assert in_the_picture(clean, points)
    assert np.ptp(view.seen(points, clean.canvas.camera.aspect), axis=0).max() > 0.5
    arms = [np.subtract(each.position, each.target) for each in (before, view)]
    ways = [arm / np.linalg.norm(arm) for arm in arms]
    assert np.allclose(ways[0], ways[1], atol=1e-6)


def test_z_looks_at_the_frame_and_without_anything_at_the_boat(clean):
    clean.frames.take("3")
    for key in ("+", "+", "+"):
        press(clean, key)
    press(clean, "Z")
    stage = clean.canvas.stage
    own = [n for n, body in enumerate(stage.scene.bodies) if body.frame == "3"]
    assert in_the_picture(clean, stage.scene.points_of(own))
    press(clean, "Esc")
    press(clean, "+")
    press(clean, "Z")
    assert in_the_picture(clean, stage.there())


def test_z_on_the_bench_keeps_the_bench_level(clean):
    step = next(s for s in clean.hand.boat.steps if s.frame == "6" and s.kind == "plates")
    clean.building.take(step.number)
    clean.building.move_to(1.0)
    upright = clean.canvas.camera.upright
    clean.arranging.take_body("F6 floor")
    press(clean, "Z")
    assert clean.canvas.camera.upright == upright
    assert abs(np.dot(clean.canvas.camera.view.up, upright)) > 0.3


def test_escape_flies_back_to_where_one_was_before_the_findings(clean):
    press(clean, "5")
    before = clean.canvas.camera.view
    press(clean, "N")
    press(clean, "N")
    assert clean.canvas.camera.view != before
    press(clean, "Esc")
    assert clean.hand.now.finding == -1
    assert clean.canvas.camera.view == before


def test_what_was_seen_across_is_seen_in_a_narrower_picture_and_back_again(clean):
    clean.resize(1300, 700)
    wait(50)
    clean.looking.whole_boat()
    camera, points = clean.canvas.camera, clean.canvas.stage.there()
    before = camera.view
    for wide in (760, 900):
        clean.resize(wide, 700)
        wait(50)
        seen = camera.view.seen(points, camera.aspect)
        assert seen.min() > 0.0 and seen.max() < 1.0
    clean.resize(1300, 700)
    wait(50)
    assert np.allclose(camera.view.position, before.position)


def test_the_place_for_keys_stays_in_the_middle(clean):
    press(clean, "M")
    clean.resize(1000, 640)
    wait(100)
    middle = clean.canvas.middle.geometry().center()
    assert abs(middle.x() - clean.canvas.view.width() / 2) <= 2
    assert abs(middle.y() - clean.canvas.view.height() / 2) <= 2
    clean.resize(1360, 860)
    press(clean, "M")


def test_one_slow_picture_says_nothing_of_the_machine(clean, monkeypatch):
    canvas = clean.canvas
    canvas.slow, canvas._late = False, {"moving": 0, "resting": 0}
    smooth = canvas._smooth
    canvas._painted = 100
    took = iter([5000, 10, 5000, 10])
    monkeypatch.setattr(canvas, "_clock", type("Clock", (), {"elapsed": lambda self: next(took)})())
    for _ in range(4):
        canvas._time()
    assert not canvas.slow and canvas._smooth == smooth
    monkeypatch.setattr(canvas, "_clock", type("Clock", (), {"elapsed": lambda self: 5000})())
    canvas._painted = 0
    canvas._time()
    canvas._time()
    assert not canvas.slow and canvas._smooth == smooth  # the first pictures are slow on every machine
    canvas.hurry()
    canvas._time()
    canvas._time()
    assert canvas.slow
    monkeypatch.undo()
    canvas.slow = False
    canvas.stage.hurry(False)

"""Every action: it is in a menu, it has a key of its own, the key does it, and the effect is seen on the scene."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from window_making import clean_window, faulty_window, press, states, until  # noqa: F401  two are fixtures

from scrieve.viewer.scene.eye import turned
from scrieve.viewer.window.actions import ACTIONS, key_words, keys_words
from scrieve.viewer.window.window import MainWindow


def shown(window: MainWindow) -> set[str]:
    return states(window, "shown")


def faded(window: MainWindow) -> set[str]:
    return states(window, "faded")


def test_every_action_is_done_by_somebody_and_stands_in_a_menu_with_a_key_of_its_own(clean):
    keys = [QKeySequence(key).toString() for action in ACTIONS for key in action.keys]
    assert len(keys) == len(set(keys))
    for action in ACTIONS:
        assert callable(getattr(clean.handlers[action.group], action.name)), action.name
        assert action.keys
        assert clean.actions_of[action.name].shortcuts(), action.name
    titles = [action.text() for action in clean.menuBar().actions()]
    assert titles == list(dict.fromkeys(action.group for action in ACTIONS))


def test_the_page_of_keys_lists_every_action(clean):
    page = keys_words()
    for action in ACTIONS:
        assert action.words.rstrip("…") in page
        assert key_words(action).replace("<", "&lt;") in page
    press(clean, "F1")
    until(lambda: clean.matters.keys is not None and clean.matters.keys.isVisible())
    clean.matters.keys.close()


@pytest.mark.parametrize(
    ("key", "toward"),
    [
        ("1", (-1, 1, 1)), ("2", (1, 1, 1)), ("3", (0, 1, 0)), ("4", (0, -1, 0)), ("5", (-1, 0, 0)), ("6", (1, 0, 0)),
        ("7", (0, 0, 1)), ("8", (0, 0, -1)), ("Ctrl+1", (-1, -1, 1)), ("Ctrl+2", (1, -1, 1)),
    ],
)  # fmt: skip
def test_looks_from_each_side_at_the_whole_boat(clean, key, toward):
    press(clean, key)
    view = clean.canvas.camera.view
    arm = np.subtract(view.position, view.target)
    for found, wanted in zip(arm / np.abs(arm).max(), toward, strict=True):
        assert np.sign(np.round(found, 6)) == wanted
    assert everything_in_the_picture(clean)


def everything_in_the_picture(window: MainWindow) -> bool:
    camera = window.canvas.camera
    places = camera.view.seen(window.canvas.stage.there(), camera.aspect)
    return bool((places > 0.01).all() and (places < 0.99).all() and np.ptp(places, axis=0).max() > 0.6)


def test_home_shows_the_whole_boat_again(clean):
    for key in ("+", "+", "Ctrl+Right", "Ctrl+Right", "+"):
        press(clean, key)
    assert not everything_in_the_picture(clean)
    press(clean, "Home")
    assert everything_in_the_picture(clean)


@pytest.mark.parametrize(
    ("there", "back"),
    [("+", "-"), ("Shift+Left", "Shift+Right"), ("Shift+Up", "Shift+Down"), ("Ctrl+Left", "Ctrl+Right"),
     ("Ctrl+Up", "Ctrl+Down")],
)  # fmt: skip
def test_what_a_key_moves_the_other_moves_back(clean, there, back):
    press(clean, "2")
    before = clean.canvas.camera.view
    press(clean, there)
    moved = clean.canvas.camera.view
    assert np.linalg.norm(np.subtract(moved.position, before.position)) > 50
    press(clean, back)
    after = clean.canvas.camera.view
    assert after.position == pytest.approx(before.position, abs=1e-3)
    assert after.target == pytest.approx(before.target, abs=1e-3)


def test_the_eye_goes_no_higher_than_straight_above(clean):
    view = clean.canvas.camera.view
    for _ in range(12):
        view = turned(view, about=0.0, over=0.3)
    assert view.up[2] >= -1e-9
    assert view.position[2] > view.target[2]


def test_frames_are_walked_along_and_stop_at_both_ends(clean):
    taken = []
    for _ in range(9):
        press(clean, "Right")
        taken.append(clean.hand.now.frame)
    assert taken == ["1", "2", "3", "4", "5", "6", "7", "7", "7"]
    scene = clean.canvas.stage.scene
    assert {scene.bodies[n].frame for n in scene.chosen} == {"7"}
    press(clean, "Left")
    assert clean.hand.now.frame == "6"
    assert clean.word.text().startswith("F6")


def test_fades_and_leaves_out_what_is_not_of_the_frame(clean):
    for _ in range(3):
        press(clean, "Right")
    own = {body.name for body in clean.hand.boat.bodies if body.frame == "3" and body.kind != "dowel"}
    press(clean, "F")
    assert shown(clean) == own
    assert "port chine" in faded(clean)
    assert clean.actions_of["fade_others"].isChecked()
    press(clean, "O")
    assert shown(clean) == own
    assert faded(clean) == set()
    assert not clean.actions_of["fade_others"].isChecked()
    marked = {clean.hand.boat.findings[n].frame for n in clean.canvas.stage.marked}
    assert marked == {"3"}
    press(clean, "O")
    assert "port chine" in shown(clean)


def test_walks_through_the_parts_of_a_frame_with_their_cards(clean):
    press(clean, "Right")
    press(clean, "PgDown")
    first = clean.hand.now.body
    assert first.startswith("F1 ")
    assert clean.card.isVisible()
    assert clean.card.head.text() == first
    press(clean, "PgDown")
    assert clean.hand.now.body != first
    press(clean, "PgUp")
    assert clean.hand.now.body == first
    press(clean, "Esc")
    assert not clean.card.isVisible()


def test_spreads_frames_along_the_boat_and_plates_off_their_faces(clean):
    press(clean, "S")
    scene, bodies = clean.canvas.stage.scene, clean.hand.boat.bodies
    stations = {body.frame: scene.offset(n)[0] for n, body in enumerate(bodies) if body.kind == "core"}
    along = clean.hand.now.along
    steps = [stations[str(n + 1)] - stations[str(n)] for n in range(1, 7)]
    assert steps == pytest.approx([along] * 6, abs=1e-6)
    gusset = next(n for n, b in enumerate(bodies) if b.frame == "3" and b.kind == "gusset" and b.name.endswith("aft"))
    assert scene.offset(gusset)[0] - stations["3"] == pytest.approx(-clean.hand.now.off)
    assert clean.shelf.along.isVisible()
    clean.shelf.along.slider.setFocus()
    before = clean.hand.now.along
    QTest.keyClick(clean.shelf.along.slider, Qt.Key.Key_Right)
    assert clean.hand.now.along == before + 1
    clean.shelf.along.slider.setValue(500)
    assert clean.hand.now.along == 500
    clean.setFocus()
    press(clean, "S")
    assert not clean.shelf.along.isVisible()
    assert scene.offset(gusset) == (0, 0, 0)
    press(clean, "S")
    assert clean.hand.now.along == 500  # as it was left
    press(clean, "S")


def test_labels_name_the_frames_and_the_parts_of_the_one_in_hand(clean):
    press(clean, "L")
    words = {label.text for label in clean.canvas.stage.labels.shown}
    assert {f"F{n}" for n in range(1, 8)} <= words
    assert "datum plane" in words
    assert "port chine" in words
    for _ in range(3):
        press(clean, "Right")
    press(clean, "F")
    words = {label.text for label in clean.canvas.stage.labels.shown}
    assert {"floor", "port side", "starboard side", "F3"} <= words
    assert "F2" not in words
    press(clean, "L")
    assert clean.canvas.stage.labels.shown == ()


def test_escape_lets_go_of_one_thing_after_the_other(clean):
    clean.finding_walk.take(0)
    clean.arranging.take_body("F1 transom" if "F1 transom" in shown(clean) else clean.hand.boat.bodies[0].name)
    assert clean.hand.now.body
    press(clean, "Esc")
    assert (clean.hand.now.body, clean.hand.now.finding) == ("", 0)
    press(clean, "Esc")
    assert clean.hand.now.finding == -1
    press(clean, "Esc")
    assert clean.hand.now.frame == ""


def test_saves_the_picture_as_it_is_seen(clean, tmp_path):
    clean.matters.save_picture_to(tmp_path / "boat.png")
    picture = Image.open(tmp_path / "boat.png")
    assert picture.size == (clean.canvas.view.width(), clean.canvas.view.height())
    darkness = 255 - np.asarray(picture.convert("L"), dtype=float)
    assert 0.05 < (darkness > 40).mean() < 0.6  # a boat on paper
    assert "boat.png" in clean.word.text()


def test_saves_it_as_every_writer_does(clean, tmp_path):
    """Capitals or not, its permissions kept, no link in its way followed to a file of the plan."""
    old = tmp_path / "BOAT.PNG"
    old.write_bytes(b"old")
    old.chmod(0o600)
    clean.matters.save_picture_to(old)
    with Image.open(old) as picture:
        assert picture.format == "PNG"
    assert old.stat().st_mode & 0o777 == 0o600
    own = clean.path / "frames" / "2.dxf"
    drawn = own.read_bytes()
    (tmp_path / "link.png").symlink_to(own)
    clean.matters.save_picture_to(tmp_path / "link.png")
    assert clean.banner.isVisible() and "cannot be written: it " in clean.banner.lines.text()
    assert own.read_bytes() == drawn
    assert {path.name for path in tmp_path.iterdir()} >= {"BOAT.PNG", "link.png"}
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".scrieve-")]
    clean.banner.say("")


def test_says_why_a_picture_cannot_be_saved(clean, tmp_path):
    clean.matters.save_picture_to(tmp_path / "nowhere" / "boat.png")
    assert clean.banner.isVisible()
    assert "nowhere" in clean.banner.lines.text()
    clean.banner.say("")

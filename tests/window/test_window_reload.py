"""Reading the boat: progress and its stop, plans that are broken just now, files that change on disk."""

from __future__ import annotations

import os
import re
from dataclasses import astuple, replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_making import begun, copied, opened, shut, until, wait

from scrieve.viewer.window.loading import Loading
from scrieve.viewer.window.messages import Expect, Inbox, Tell, send, states_of
from scrieve.viewer.window.reader import wanted_files
from scrieve.viewer.window.reading import BoatReading
from scrieve.viewer.window.selection import MeasuredPoint


@pytest.fixture(name="window")
def own_window(tmp_path):
    window = opened(copied("skiff", tmp_path), tmp_path / "window.ini")
    yield window
    shut(window)


def moved(plan, number="4", by=25.0):
    """The plan's text with a frame's station moved."""
    text = (plan / "plan.toml").read_text(encoding="utf-8")
    found = re.search(rf'(number\s*=\s*"{number}"\s+kind\s*=\s*"\w+"\s+station\s*=\s*)([\d.]+)', text)
    return text[: found.start(2)] + f"{float(found[2]) + by}" + text[found.end(2) :], float(found[2]) + by


def station(window):
    return station_of(window.hand.boat)


def station_of(boat, number="4"):
    return next(f.placement.station for f in boat.assembly.frames if f.number == number)


def test_reads_again_when_the_plan_is_written_and_keeps_camera_and_what_is_in_hand(window):
    window.frames.take("4")
    window.arranging.take_body("F4 floor")
    window.arranging.cut(True)
    window.canvas.camera.turn(0.4, 0.2)
    before, now = window.canvas.camera.view, window.hand.now
    text, wanted = moved(window.path)
    (window.path / "plan.toml").write_text(text, encoding="utf-8")
    until(lambda: station(window) == wanted, "the boat is read again")
    assert window.canvas.camera.view.position == pytest.approx(before.position)
    assert window.canvas.camera.view.target == pytest.approx(before.target)
    assert window.hand.now == now
    assert window.card.isVisible()
    assert window.canvas.stage.cutting.x == now.cut


def test_reads_again_when_an_editor_puts_another_file_in_the_place_of_the_old(window):
    for by in (10.0, 20.0):  # twice: the watch must follow the new file
        text, wanted = moved(window.path, by=by)
        beside = window.path / ".plan.toml.swap"
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, window.path / "plan.toml")
        until(lambda wanted=wanted: station(window) == wanted, "the boat is read again")


def test_reads_again_when_a_drawing_changes(window):
    boat = window.hand.boat
    drawing = window.path / "frames" / "3.dxf"
    drawing.write_text(drawing.read_text(encoding="utf-8"), encoding="utf-8")
    os.utime(drawing, ns=(1, 1))
    until(lambda: window.hand.boat is not boat, "the boat is read again")


def test_a_plan_broken_just_now_is_told_and_the_last_good_boat_stays(window):
    boat, view = window.hand.boat, window.canvas.camera.view
    plan = window.path / "plan.toml"
    good = plan.read_text(encoding="utf-8")
    plan.write_text(good + "\n[strongback\n", encoding="utf-8")
    until(window.banner.isVisible, "it is told")
    assert window.hand.boat is boat
    assert "plan.toml:" in window.banner.lines.text()
    assert "stays on the screen" in window.banner.head.text()
    assert astuple(window.canvas.camera.view) == tuple(pytest.approx(each) for each in astuple(view))
    window.frames.take("2")  # it can still be worked with
    assert window.hand.now.frame == "2"
    plan.write_text(good + "\n", encoding="utf-8")
    until(lambda: not window.banner.isVisible(), "all is well again")
    assert window.hand.boat is not boat


def test_a_half_written_file_is_waited_for(window):
    """Written in goes, each well within the time of rest: no reading in between, so no message either."""
    boat = window.hand.boat
    text, wanted = moved(window.path)
    said = []
    window.reading.said.connect(lambda head, lines: said.append(head))
    pieces = [text[start : start + len(text) // 8 + 1] for start in range(0, len(text), len(text) // 8 + 1)]
    with (window.path / "plan.toml").open("w", encoding="utf-8") as file:
        for piece in pieces:
            file.write(piece)
            file.flush()
            wait(60)
            assert window.hand.boat is boat
    until(lambda: station(window) == wanted, "the boat is read again")
    assert [head for head in said if head] == []


def test_a_file_that_stays_half_written_is_told_and_then_read_when_it_is_whole(window):
    text, wanted = moved(window.path)
    plan = window.path / "plan.toml"
    plan.write_text(text[: text.index("[[frames]]") + 20], encoding="utf-8")
    until(window.banner.isVisible, "it is told")
    plan.write_text(text, encoding="utf-8")
    until(lambda: station(window) == wanted, "the boat is read again")
    until(lambda: not window.banner.isVisible())


def test_a_drawing_that_is_away_for_a_moment(window):
    drawing = window.path / "frames" / "3.dxf"
    content = drawing.read_bytes()
    drawing.unlink()
    until(window.banner.isVisible, "it is told")
    assert "3.dxf" in window.banner.lines.text()
    boat = window.hand.boat
    drawing.write_bytes(content)
    until(lambda: window.hand.boat is not boat and not window.banner.isVisible(), "all is well again")


def test_a_drawing_that_was_missing_from_the_first_is_read_when_it_comes(tmp_path):
    plan = copied("skiff", tmp_path)
    frames = plan / "frames"
    frames.rename(plan / "away")
    window = opened(plan, tmp_path / "window.ini")
    assert "frames/3.dxf" in window.reading.page.word.text()
    (plan / "away").rename(frames)
    until(lambda: window.hand.boat is not None, "it is read when the drawings are there")
    shut(window)


def test_a_file_that_is_changed_while_it_is_read_is_read_again(tmp_path):
    plan = copied("skiff", tmp_path)
    text, wanted = moved(plan)
    before = os.stat(plan / "plan.toml")
    loading = Loading(plan)  # begins before there is a window
    until(lambda: plan / "plan.toml" in loading.files, "the plan is being read")
    beside = plan / "beside.toml"
    beside.write_text(text, encoding="utf-8")
    os.utime(beside, ns=(before.st_atime_ns, before.st_mtime_ns))  # and no clock tells
    os.replace(beside, plan / "plan.toml")
    reading = BoatReading(plan)
    boats = []
    reading.read.connect(boats.append)
    reading.begin(loading)
    until(lambda: boats and station_of(boats[-1]) == wanted, "the boat is read again")
    reading.close()
    for shown in (reading.page, reading.line):
        shown.deleteLater()


def test_of_a_plan_that_cannot_be_taken_the_drawings_are_known_all_the_same(tmp_path):
    plan = tmp_path / "plan.toml"
    plan.write_text(
        """
        sense = "none"
        [[frames]]
        drawing = "frames/1.dxf"
        [[frames]]
        drawing = "../outside.dxf"
        [[frames]]
        drawing = 3
        [[cut_sheets]]
        drawing = "sheet.dxf"
        """,
        encoding="utf-8",
    )
    wanted = (plan, tmp_path / "frames" / "1.dxf", tmp_path / "sheet.dxf")
    assert wanted_files(tmp_path) == wanted_files(plan) == wanted
    assert states_of(wanted)[tmp_path / "sheet.dxf"] is None
    plan.write_text("[[frames\n", encoding="utf-8")
    assert wanted_files(tmp_path) == (plan,)
    plan.unlink()
    assert wanted_files(tmp_path) == (plan,)
    for text in ("frames = 3", 'frames = ["a"]', 'frames = [{drawing = "a\\u0000b"}]'):
        plan.write_text(text, encoding="utf-8")
        assert plan in states_of(wanted_files(tmp_path))


def test_the_step_in_hand_is_found_again_by_what_it_does(window):
    steps = window.hand.boat.steps
    step = next(s for s in steps if s.stage == "bench" and s.frame == "4" and s.kind == "core")
    window.building.take(step.number)
    window.building.move_to(0.5)
    fewer = replace(window.hand.boat, steps=renumbered(s for s in steps if s.frame != "1"))
    window.hand.take_boat(fewer)
    now = window.hand.now
    assert now.step != step.number
    assert fewer.steps[now.step - 1].names == step.names
    assert now.share == 0.5
    driven = [s.number for s in fewer.steps if (s.frame, s.kind) == ("4", "screws")]
    if len(driven) > 1:
        window.building.take(driven[1])
        window.hand.take_boat(fewer)
        assert window.hand.now.step == driven[1]
    window.building.take(now.step)
    window.hand.take_boat(replace(fewer, steps=renumbered(s for s in steps if s.frame != "4")))
    assert (window.hand.now.step, window.hand.now.share) == (0, 1.0)
    right, _, _ = window.canvas.camera.view.axes()
    assert right[2] == pytest.approx(0.0, abs=1e-9)  # the boat stands upright again
    assert window.canvas.camera.upright == (0, 0, 1)


def test_what_was_on_its_way_when_the_boat_was_read_again_comes_to_its_place(window):
    step = next(s for s in window.hand.boat.steps if s.kind == "core" and s.adds)
    window.building.take(step.number)
    assert window.building.moving
    window.hand.take_boat(replace(window.hand.boat))
    assert not window.building.moving
    assert window.hand.now.share == 1.0
    window.building.play(True)
    window.hand.take_boat(replace(window.hand.boat))
    assert window.building.playing
    there = window.hand.now.step
    until(lambda: window.hand.now.step > there, "it plays on")


def test_points_on_a_body_that_was_changed_are_let_go_of(window):
    boat = window.hand.boat
    a, b = (next(body for body in boat.bodies if body.name == name) for name in ("F3 floor", "F4 floor"))
    spots = tuple(MeasuredPoint(at=tuple(map(float, body.points[0])), body=body.name, kind="corner") for body in (a, b))
    window.hand.change(measuring=True, spots=spots)
    window.hand.take_boat(replace(boat))
    assert window.hand.now.spots == spots
    other = replace(b, points=np.add(b.points, (5.0, 0.0, 0.0)))
    window.hand.take_boat(replace(boat, bodies=tuple(other if body is b else body for body in boat.bodies)))
    assert window.hand.now.spots == spots[:1]
    assert "second point" in window.word.text()


def renumbered(steps):
    """These steps with numbers from 1 on."""
    return tuple(replace(step, number=n) for n, step in enumerate(steps, 1))


def test_a_frame_in_hand_that_is_gone_is_let_go_of(window):
    window.frames.take("7")
    window.frames.fade_others(True)
    text = (window.path / "plan.toml").read_text(encoding="utf-8")
    tables = text.split("[[frames]]")
    last = next(n for n, table in enumerate(tables) if 'number = "7"' in table or re.search(r'number\s*=\s*"7"', table))
    rest = tables[last][tables[last].index("\n\n") :] if "\n\n" in tables[last] else "\n"
    kept = "[[frames]]".join(tables[:last]) + rest + "".join("[[frames]]" + table for table in tables[last + 1 :])
    (window.path / "plan.toml").write_text(kept, encoding="utf-8")
    until(lambda: len(window.hand.boat.assembly.frames) == 6 or window.banner.isVisible(), "the boat is read again")
    assert len(window.hand.boat.assembly.frames) == 6, window.banner.lines.text()
    assert window.hand.now.frame == ""
    assert window.hand.now.others == "shown"


def test_f5_reads_again_and_it_can_be_stopped(window):
    boat = window.hand.boat
    window.actions_of["read_again"].trigger()
    assert window.reading.line.isVisible()
    QTest.mouseClick(window.reading.line.stop, Qt.MouseButton.LeftButton)
    assert not window.reading.line.isVisible()
    assert "stopped" in window.banner.head.text()
    wait(1500)
    assert window.hand.boat is boat
    window.actions_of["read_again"].trigger()
    until(lambda: window.hand.boat is not boat, "the boat is read again")
    assert not window.banner.isVisible()


def test_the_first_reading_shows_progress_and_can_be_stopped(tmp_path):
    window = begun(copied("skiff", tmp_path), tmp_path / "window.ini")
    assert window.stack.currentWidget() is window.reading.page
    told = []
    window.reading.loading.told.connect(lambda what, done, of: told.append((what, done, of)))
    until(lambda: len(told) >= 3, "it goes on")
    assert window.hand.boat is None
    assert [done for _, done, _ in told] == sorted(done for _, done, _ in told)
    assert all(0 <= done < of for _, done, of in told)
    QTest.mouseClick(window.reading.page.stop, Qt.MouseButton.LeftButton)
    assert "stopped" in window.reading.page.head.text()
    wait(1000)
    assert window.hand.boat is None
    QTest.mouseClick(window.reading.page.again, Qt.MouseButton.LeftButton)
    until(lambda: window.hand.boat is not None, "it is read after all")
    shut(window)


def test_a_plan_broken_from_the_first_waits_to_be_mended(tmp_path):
    plan = copied("skiff", tmp_path)
    good = (plan / "plan.toml").read_text(encoding="utf-8")
    (plan / "plan.toml").write_text(good.replace("station", "staton", 1), encoding="utf-8")
    window = opened(plan, tmp_path / "window.ini")
    assert window.hand.boat is None
    assert "cannot be read" in window.reading.page.head.text()
    assert "plan.toml:" in window.reading.page.word.text()
    before = window.hand.now
    for action in window.actions_of.values():  # nothing to do it with, and nothing breaks
        if action.text() not in ("Close", "Save a picture…", "Keys and mouse"):
            action.trigger()
    wait(200)
    assert window.hand.now == before
    assert not window.building.playing
    (plan / "plan.toml").write_text(good, encoding="utf-8")
    until(lambda: window.hand.boat is not None, "it is read when it is mended")
    assert window.stack.currentWidget() is window.split
    shut(window)


def test_a_reader_that_breaks_is_told_as_ours(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    (tmp_path / "manifold3d.py").write_text("raise RuntimeError('broken on purpose')\n", encoding="utf-8")
    loading = Loading(copied("skiff", tmp_path))
    why = []
    loading.refused.connect(why.append)
    until(lambda: why)
    assert "not in your plan" in why[0].why[0]
    assert "broken on purpose" in why[0].why[0]


def test_messages_come_through_a_pipe_however_it_cuts_them(tmp_path):
    sent = [Expect(steps=3), Tell(what="reading F1"), Tell(what="x" * 5000)]
    file = tmp_path / "pipe"
    with file.open("wb") as stream:
        for message in sent:
            send(stream, message)
    content = file.read_bytes()
    for size in (1, 7, 8, 9, 1000, len(content)):
        inbox, got = Inbox(), []
        for start in range(0, len(content), size):
            got += inbox.take(content[start : start + size])
        assert got == sent

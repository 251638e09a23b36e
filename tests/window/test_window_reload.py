"""Reading the boat: progress and its stop, plans that are broken just now, files that change on disk."""

from __future__ import annotations

import os
import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_making import begun, copied, opened, shut, until, wait

from scrieve.viewer.window.loading import Loading
from scrieve.viewer.window.messages import Expect, Inbox, Tell, send


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


def station(window, number="4"):
    return next(f.placement.station for f in window.hand.boat.assembly.frames if f.number == number)


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
    assert window.canvas.camera.view == view
    window.frames.take("2")  # it can still be worked with
    assert window.hand.now.showing.frame == "2"
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
    assert window.hand.now.showing.frame == ""
    assert window.hand.now.showing.others == "shown"


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
    until(lambda: len(told) >= 3 or window.hand.boat is not None, "it goes on")
    assert [done for _, done, _ in told] == sorted(done for _, done, _ in told)
    assert all(0 <= done < of for _, done, of in told)
    if window.hand.boat is None:
        QTest.mouseClick(window.reading.page.stop, Qt.MouseButton.LeftButton)
        assert "stopped" in window.reading.page.head.text()
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
    for action in window.actions_of.values():  # nothing to do it with, and nothing breaks
        if action.text() not in ("Close", "Save a picture…", "Keys and mouse"):
            action.trigger()
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

"""Keys that something in the window has for itself, and those that work everywhere in it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QMessageBox
from window_making import (  # noqa: F401  two are fixtures
    begun,
    clean_window,
    copied,
    faulty_window,
    in_front,
    opened,
    press,
    shut,
    until,
    wait,
)

from scrieve.viewer.window.actions import ACTIONS


@pytest.fixture(name="window")
def own_window(tmp_path):
    window = opened(copied("pram", tmp_path), tmp_path / "window.ini")
    yield window
    shut(window)


@pytest.mark.parametrize("key", [Qt.Key.Key_Space, Qt.Key.Key_Return])
def test_a_key_on_stop_stops_the_reading_and_nothing_else(window, key):
    boat = window.hand.boat
    press(window, "F5")
    stop = window.reading.line.stop
    assert stop.isVisible()
    stop.setFocus()
    QTest.keyClick(stop, key)
    assert not stop.isVisible()
    assert "stopped" in window.banner.head.text()
    assert not window.building.playing
    assert window.hand.boat is boat


@pytest.mark.parametrize("key", ["F5", "Ctrl+R"])
def test_reads_again(window, key):
    boat = window.hand.boat
    press(window, key)
    assert window.reading.line.isVisible()
    until(lambda: window.hand.boat is not boat, "the boat is read again")


def test_ctrl_q_closes_the_window(window):
    press(window, "Ctrl+Q")
    assert not window.isVisible()
    assert window.canvas.stage is None


def test_return_follows_the_link_that_has_the_focus_in_the_card(clean):
    n, finding = next((n, f) for n, f in enumerate(clean.hand.boat.findings) if f.check == "joint-gap")
    clean.arranging.take_body(finding.parts[0])
    text = clean.card.text
    text.setFocus()
    for _ in range(60):  # from link to link, the step's and the findings' being the last
        QTest.keyClick(text, Qt.Key.Key_Tab)
        if text.textCursor().charFormat().anchorHref() == f"finding:{n}":
            break
    assert text.textCursor().charFormat().anchorHref() == f"finding:{n}"
    QTest.keyClick(text, Qt.Key.Key_Return)
    assert clean.hand.now.finding == n


def test_the_list_of_findings_has_the_keys_of_a_list(clean):
    press(clean, "F2")
    findings = clean.findings.list
    assert findings.hasFocus()
    QTest.keyClick(findings, Qt.Key.Key_Down)
    assert clean.hand.now.finding == 0
    QTest.keyClick(findings, Qt.Key.Key_End)
    assert clean.hand.now.finding == len(clean.hand.boat.findings) - 1
    QTest.keyClick(findings, Qt.Key.Key_Home)
    assert clean.hand.now.finding == 0
    QTest.keyClick(findings, Qt.Key.Key_PageDown)
    assert clean.hand.now.finding > 0
    assert clean.hand.now.body == ""  # and not the next part


def test_the_list_of_steps_has_the_keys_of_a_list(clean):
    press(clean, "F3")
    steps = clean.steps.list
    assert steps.hasFocus()
    QTest.keyClick(steps, Qt.Key.Key_Down)
    assert clean.hand.now.step == 1
    QTest.keyClick(steps, Qt.Key.Key_End)
    assert clean.hand.now.step == len(clean.hand.boat.steps)
    QTest.keyClick(steps, Qt.Key.Key_PageUp)
    assert 0 < clean.hand.now.step < len(clean.hand.boat.steps)
    assert clean.hand.now.body == ""


def test_keys_go_from_pane_to_pane_and_take_nothing_in_hand(clean):
    before = clean.hand.now
    for key, page, focused in (
        ("F3", clean.steps, clean.steps.list),
        ("F2", clean.findings, clean.findings.list),
        ("F4", clean.findings, clean.canvas),
    ):
        press(clean, key)
        assert clean.pages.currentWidget() is page
        assert clean.focusWidget() is focused
    assert clean.hand.now == before


def test_escape_puts_the_message_away_before_anything_is_let_go_of(clean):
    clean.finding_walk.take(0)
    clean.banner.say("The plan cannot be read", ("plan.toml:3: a line",))
    press(clean, "Esc")
    assert not clean.banner.isVisible()
    assert clean.hand.now.finding == 0
    press(clean, "Esc")
    assert clean.hand.now.finding == -1


def test_parts_that_are_not_seen_are_passed_over(clean):
    kinds = {body.name: body.kind for body in clean.hand.boat.bodies}
    clean.frames.take("3")
    hidden = {body.name for body in clean.hand.boat.bodies if body.frame == "3" and body.kind == "dowel"}
    assert hidden
    taken = []
    for _ in range(sum(body.frame == "3" and body.kind != "screw" for body in clean.hand.boat.bodies)):
        press(clean, "PgDown")
        taken.append(clean.hand.now.body)
    assert "dowel" not in {kinds[name] for name in taken}
    assert taken[0] in taken[1:]  # it comes round
    press(clean, "PgUp")
    assert kinds[clean.hand.now.body] != "dowel"


def test_the_page_of_keys_is_as_large_as_its_words_with_a_rule_round_it(clean):
    press(clean, "F1")
    page = clean.matters.keys
    until(page.isVisible)
    words = page.text.document().size().height()
    assert not page.text.verticalScrollBar().isVisible()
    assert words <= page.text.viewport().height() <= words + 30
    picture = page.grab().toImage()
    middle = picture.pixelColor(page.width() // 2, 3)
    right, low = picture.width() - 1, picture.height() - 1
    for at in (QPoint(200, 0), QPoint(200, low), QPoint(0, 200), QPoint(right, 200)):
        assert picture.pixelColor(at).lightness() < middle.lightness() - 15
    in_front(page)  # else a key of the window below may come first
    QTest.keyClick(page, Qt.Key.Key_Escape)
    until(lambda: not page.isVisible(), "the page of keys is closed")
    assert any(action.name == "go_to_steps" for action in ACTIONS)
    assert "F3" in page.text.toPlainText()


# ---- the dialog for saving


def answered(window, name, folder, answer):
    """Presses Ctrl+S, types a name into the dialog, and gives this answer where it asks whether to write over."""
    asked = []

    def type_name():
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QFileDialog)
        line = dialog.findChild(QLineEdit)
        line.setText(str(folder / name))
        QTimer.singleShot(100, answer_question)
        QTest.keyClick(line, Qt.Key.Key_Return)
        if dialog.isVisible():
            dialog.reject()

    def answer_question():
        question = QApplication.activeModalWidget()
        if isinstance(question, QMessageBox):
            asked.append(question.text())
            question.button(answer).click()

    in_front(window)
    QTimer.singleShot(200, type_name)
    press(window, "Ctrl+S")
    wait(150)
    return asked


def test_ctrl_s_asks_where_and_saves_there(window, tmp_path):
    assert answered(window, "mine", tmp_path, QMessageBox.StandardButton.No) == []
    assert (tmp_path / "mine.png").read_bytes().startswith(b"\x89PNG")
    assert "mine.png" in window.word.text()


def test_asks_before_it_writes_over_a_picture_named_without_its_ending(window, tmp_path):
    (tmp_path / "mine.png").write_bytes(b"kept")
    asked = answered(window, "mine", tmp_path, QMessageBox.StandardButton.No)
    assert len(asked) == 1 and "mine.png" in asked[0]
    assert (tmp_path / "mine.png").read_bytes() == b"kept"
    assert len(answered(window, "mine", tmp_path, QMessageBox.StandardButton.Yes)) == 1
    assert (tmp_path / "mine.png").read_bytes().startswith(b"\x89PNG")


def test_an_ending_that_is_no_picture_is_refused(window, tmp_path):
    (tmp_path / "mine.gif.png").write_bytes(b"kept")
    window.matters.save_picture_to(tmp_path / "mine.gif")
    assert "got .gif" in window.banner.lines.text()
    assert (tmp_path / "mine.gif.png").read_bytes() == b"kept"
    assert not (tmp_path / "mine.gif").exists()


# ---- before there is a boat


def test_stop_has_its_keys_on_the_first_page_too(tmp_path):
    window = begun(copied("skiff", tmp_path), tmp_path / "window.ini")
    page = window.reading.page
    assert window.hand.boat is None
    page.stop.setFocus()
    QTest.keyClick(page.stop, Qt.Key.Key_Space)
    assert "stopped" in page.head.text()
    page.again.setFocus()
    QTest.keyClick(page.again, Qt.Key.Key_Return)
    until(lambda: window.hand.boat is not None, "it is read after all")
    shut(window)

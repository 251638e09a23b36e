"""Findings in the window: the list, the flight to one, the close-up with what two bodies share or the gap."""

from __future__ import annotations

from html import escape

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_making import clean_window, faulty_window, press, states, wait  # noqa: F401  two are fixtures

from scrieve.shared.findings import Level
from scrieve.viewer.marks.colours import STRONG
from scrieve.viewer.marks.forms import FORMS
from scrieve.viewer.window.words import sign


def first(window, check):
    return next((n, f) for n, f in enumerate(window.hand.boat.findings) if f.check == check)


def seen_through_or_not(window):
    """The bodies that stand out, those of glass with the others."""
    return states(window, "shown") | states(window, "glass")


def test_lists_every_finding_worst_first(clean):
    findings = clean.hand.boat.findings
    assert clean.findings.list.count() == len(findings)
    shown = [clean.findings.list.item(n).text() for n in range(len(findings))]
    assert shown == [finding.message for finding in findings]
    errors = sum(f.level is Level.ERROR and not f.waived for f in findings)
    assert f"{errors} errors" in clean.findings.head.text()


def test_n_and_p_walk_through_the_findings_and_round_again(clean):
    count = len(clean.hand.boat.findings)
    press(clean, "N")
    assert clean.hand.now.finding == 0
    assert clean.findings.list.currentRow() == 0
    press(clean, "P")
    assert clean.hand.now.finding == count - 1
    press(clean, "N")
    press(clean, "N")
    assert clean.hand.now.finding == 1


def test_a_click_in_the_list_flies_to_the_place(clean):
    n, finding = first(clean, "foul")
    item = clean.findings.list.item(n)
    clean.findings.list.scrollToItem(item)
    wait(30)
    at = clean.findings.list.visualItemRect(item).center()
    QTest.mouseClick(clean.findings.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert clean.hand.now.finding == n
    camera = clean.canvas.camera
    ((x, y),) = camera.view.seen([finding.at], camera.aspect)
    assert (x, y) == (pytest.approx(0.5, abs=0.2), pytest.approx(0.5, abs=0.2))
    assert np.linalg.norm(np.subtract(camera.view.position, finding.at)) < 1500


def test_a_click_takes_a_finding_once_and_another_on_the_same_flies_there_again(clean):
    told = []
    clean.findings.chosen.connect(told.append)
    clean.findings.list.scrollToTop()
    for row, count in ((1, 1), (1, 2), (0, 1)):
        told.clear() if count == 1 else None
        at = clean.findings.list.visualItemRect(clean.findings.list.item(row)).center()
        before = clean.canvas.camera.view
        QTest.mouseClick(clean.findings.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
        assert told == [row] * count
        assert clean.canvas.camera.view != before
        clean.canvas.camera.turn(0.3, 0.0)
    clean.findings.chosen.disconnect(told.append)


def test_a_finding_says_its_cure_where_the_mouse_rests(clean):
    for n, finding in enumerate(clean.hand.boat.findings):
        wanted = f"<p>{escape(finding.cure, quote=False)}</p>" if finding.cure else ""
        assert clean.findings.list.item(n).toolTip() == wanted


def test_shows_the_two_bodies_and_what_both_fill(clean):
    n, finding = first(clean, "foul")
    clean.finding_walk.take(n)
    assert seen_through_or_not(clean) == set(finding.parts)
    assert "port chine" in states(clean, "faded")
    stage = clean.canvas.stage
    points, _ = stage.close_up(n, clean.canvas.camera.aspect).signs.shared
    low, high = points.min(axis=0), points.max(axis=0)
    assert np.all(low - 1e-6 <= finding.at) and np.all(finding.at <= high + 1e-6)
    assert stage.shared is not None and stage.shared.visibility
    assert stage.shared.prop.color.hex_rgb == STRONG
    assert any(f"{finding.measured:.2f} mm" in label.text for label in stage.labels.shown)


def test_shows_the_gap_with_its_measure(clean):
    n, finding = first(clean, "joint-gap")
    clean.finding_walk.take(n)
    stage = clean.canvas.stage
    assert seen_through_or_not(clean) == set(finding.parts)
    a, b = stage.gap.ends
    assert np.linalg.norm(np.subtract(a, b)) == pytest.approx(finding.measured, abs=0.01)
    (label,) = [each for each in stage.labels.shown if each.manner == "strong"]
    assert label.text.startswith(f"{finding.measured:.2f} mm")
    assert stage.shared is None


def test_rings_the_finding_in_hand_alone(clean):
    all_of_them = len(clean.canvas.stage.marked)
    assert all_of_them == sum(
        f.at is not None and not f.waived and f.level is not Level.NOTE for f in clean.hand.boat.findings
    )
    n, finding = first(clean, "leg-bottom")
    clean.finding_walk.take(n)
    assert clean.canvas.stage.marked == (n,)
    assert clean.canvas.stage.marks.places == (pytest.approx(finding.at),)
    press(clean, "Esc")
    assert len(clean.canvas.stage.marked) == all_of_them


def test_each_level_has_its_own_form_in_picture_list_and_card_alike(clean):
    seen = {}
    for n, finding in enumerate(clean.hand.boat.findings):
        if finding.at is not None and not finding.waived and finding.level not in seen:
            clean.finding_walk.take(n)
            (drawn,) = [form for (form, _), each in clean.canvas.stage.marks.forms.items() if len(each.places)]
            assert drawn == FORMS[finding.level] and drawn.sign in sign(finding)
            seen[finding.level] = drawn.shape
    assert len(set(seen.values())) == len(Level)


def test_no_part_is_named_twice_with_labels_on(clean):
    clean.arranging.label(True)
    for n, finding in enumerate(clean.hand.boat.findings):
        if finding.at is not None and finding.parts and n % 5 == 0:
            clean.finding_walk.take(n)
            words = [label.text.removeprefix(f"F{finding.frame} ") for label in clean.canvas.stage.labels.shown]
            assert len(words) == len(set(words)), finding


def test_a_finding_without_bodies_shows_its_frame(clean):
    n, finding = next(
        (n, f)
        for n, f in enumerate(clean.hand.boat.findings)
        if f.frame and not set(f.parts) & {body.name for body in clean.hand.boat.bodies}
    )
    clean.finding_walk.take(n)
    own = {b.name for b in clean.hand.boat.bodies if b.frame == finding.frame and b.kind != "dowel"}
    assert states(clean, "shown") == own


def test_every_finding_can_be_taken_in_hand(clean):
    for n, finding in enumerate(clean.hand.boat.findings):
        clean.finding_walk.take(n)
        assert clean.hand.now.finding == n
        assert clean.findings.list.currentRow() == n
        if finding.at is not None:
            camera = clean.canvas.camera
            ((x, y),) = camera.view.seen([finding.at], camera.aspect)
            assert 0 < x < 1 and 0 < y < 1, finding


def test_the_strip_has_a_pin_for_each_finding_that_is_no_note(clean):
    pins = clean.strip.pins()
    counted = sum(pin.more or 1 for pin in pins)
    assert counted == sum(f.at is not None and f.level is not Level.NOTE for f in clean.hand.boat.findings)


def test_says_at_the_foot_which_finding_is_in_hand(clean):
    findings = clean.hand.boat.findings
    n, finding = first(clean, "driver")
    clean.finding_walk.take(n)
    assert clean.word.text() == f"Finding {n + 1} of {len(findings)}: driver, F{finding.frame}"
    n = next(n for n, each in enumerate(findings) if each.at is None and not each.frame)
    clean.finding_walk.take(n)
    assert clean.word.text().endswith("the whole boat; it has no place on the boat")

"""The lists: each line is as high as its words want and none lies over another, whatever happens to the window."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QListWidget, QStyleOptionViewItem
from window_making import clean_window, copied, faulty_window, opened, shut  # noqa: F401  fixtures

SIZES = [(900, 700), (1200, 480)]


def crowded(list_: QListWidget) -> list[str]:
    """The lines that are lower than their words, or begin before the line above them ends."""
    found, end = [], 0
    option = QStyleOptionViewItem()
    list_.initViewItemOption(option)
    top = list_.visualItemRect(list_.item(0)).top()
    for row in range(list_.count()):
        item = list_.item(row)
        box = list_.visualItemRect(item).translated(0, -top)
        wanted = list_.itemDelegate().sizeHint(option, list_.indexFromItem(item)).height()
        if box.top() < end or box.height() < wanted:
            found.append(item.text())
        end = box.bottom() + 1
    return found


def test_after_resizing_dragging_and_changing_tabs(clean):
    pages = (clean.findings, clean.steps)
    for size in SIZES:
        clean.resize(*size)
        for panes in (500, 260):
            clean.split.setSizes([size[0] - panes, panes])
            for page in pages:
                clean.pages.setCurrentWidget(page)
                assert page.list.viewport().width() <= clean.pages.width()
                assert crowded(page.list) == []


def test_after_a_restart_with_another_width(tmp_path):
    plan, settings = copied("skiff-with-faults", tmp_path), tmp_path / "window.ini"
    for size, page in zip([(760, 600), *SIZES], (0, 1, 0), strict=True):
        window = opened(plan, settings)
        for turned in (0, 1):
            window.pages.setCurrentIndex(window.pages.currentIndex() ^ turned)
            assert crowded(window.pages.currentWidget().list) == []
        window.resize(*size)
        window.split.setSizes([size[0] - 260 - 40 * page, 260 + 40 * page])
        window.pages.setCurrentIndex(page)
        shut(window)


def test_with_words_of_any_length(clean):
    boat = clean.hand.boat
    long = ["word " * 200, "W" * 400, "a<b & c", ""]
    findings = tuple(replace(boat.findings[0], message=words, cure=words) for words in long)
    steps = tuple(replace(boat.steps[n], title=words) for n, words in enumerate(long))
    clean.hand.take_boat(replace(boat, findings=findings, steps=steps))
    for page in (clean.findings, clean.steps):
        clean.pages.setCurrentWidget(page)
        clean.resize(760, 480)
        assert crowded(page.list) == []
        heights = [page.list.visualItemRect(page.list.item(row)).height() for row in range(page.list.count())]
        assert max(heights) > 5 * min(heights)
    clean.hand.take_boat(boat)


def test_the_line_in_hand_stays_in_sight(clean):
    for chosen, page in ((30, clean.findings), (60, clean.steps)):
        clean.resize(1360, 860)
        clean.pages.setCurrentWidget(page)
        page.list.setCurrentRow(chosen)
        for size in SIZES:
            clean.resize(*size)
            assert page.list.viewport().rect().intersects(page.list.visualItemRect(page.list.item(chosen)))

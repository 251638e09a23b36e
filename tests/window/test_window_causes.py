"""What follows from a finding is listed below it while one of them is in hand, and not else."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QApplication

from scrieve.shared.findings import Finding, Level
from scrieve.viewer.window.findings_pane import FindingsPane


@pytest.fixture(name="pane")
def pane_of_four():
    kept = QApplication.instance() or QApplication([])
    cause, held, other = (
        Finding(check="foul", level=Level.ERROR, message=words, cure="mend it") for words in ("cause", "held", "other")
    )
    pane = FindingsPane()
    pane.resize(420, 500)
    held = replace(held, because=cause)
    pane.show_findings([cause, held, replace(held, message="held too"), other])
    yield pane
    pane.deleteLater()
    assert kept is not None


def shown(pane):
    return [not pane.list.item(row).isHidden() for row in range(pane.list.count())]


def test_what_is_held_is_folded_at_first_and_counted(pane):
    assert shown(pane) == [True, False, False, True]
    assert "2 follow" in pane.head.text()


@pytest.mark.parametrize(("row", "unfolded"), [(0, True), (1, True), (2, True), (3, False), (-1, False)])
def test_it_unfolds_while_one_of_them_is_in_hand(pane, row, unfolded):
    pane.choose(0)
    pane.choose(row)
    assert shown(pane) == [True, unfolded, unfolded, True]

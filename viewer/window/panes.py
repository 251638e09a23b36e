"""Going from one part of the window to another with keys: the actions of the group "Go to"."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QListWidget, QTabWidget, QWidget

from .findings_pane import FindingsPane
from .steps_pane import StepsPane


class Panes:
    """Brings a pane to the front and gives it the keys; nothing is taken in hand by that."""

    def __init__(self, pages: QTabWidget, findings: FindingsPane, steps: StepsPane, picture: QWidget) -> None:
        self.pages, self.findings, self.steps, self.picture = pages, findings, steps, picture

    def go_to_findings(self) -> None:
        """The list of findings."""
        self._go(self.findings, self.findings.list)

    def go_to_steps(self) -> None:
        """The list of steps."""
        self._go(self.steps, self.steps.list)

    def go_to_picture(self) -> None:
        """The picture."""
        self.picture.setFocus()

    def _go(self, page: QWidget, lines: QListWidget) -> None:
        row = lines.currentRow()
        with QSignalBlocker(lines):  # a list that gets the keys chooses its first line where none is chosen
            self.pages.setCurrentWidget(page)
            lines.setFocus()
            lines.setCurrentRow(row)

"""How far a reading has come, as it is seen: on a page of its own, or in the line at the foot of the window."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QVBoxLayout, QWidget

from .keeping_keys import PRESSING, keep_keys
from .paper import sized


class Headway(QWidget):
    """A bar, a word of what is done, and a button to stop it."""

    def __init__(self, *, large: bool) -> None:
        super().__init__()
        self.setObjectName("paper" if large else "")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.head, self.word, self.bar = QLabel(), QLabel(), QProgressBar()
        for label in (self.head, self.word):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("Progress")
        self.stop, self.again = QPushButton("Stop"), QPushButton("Read again")
        self.stop.setAccessibleName("Stop reading")
        for button in (self.stop, self.again):
            keep_keys(button, PRESSING)
        if large:
            self._lay_out_large()
        else:
            self._lay_out_line()

    def _lay_out_large(self) -> None:
        self.head.setFont(sized(self.head.font(), by=1.5, bold=True))
        self.head.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.word.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.word.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.bar.setFixedWidth(360)
        box = QVBoxLayout(self)
        box.setContentsMargins(40, 40, 40, 40)
        box.setSpacing(14)
        box.addStretch(2)
        box.addWidget(self.head)
        box.addWidget(self.bar, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.word, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.stop, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(self.again, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addStretch(3)

    def _lay_out_line(self) -> None:
        self.bar.setFixedWidth(120)
        self.word.setMinimumWidth(self.word.fontMetrics().horizontalAdvance("working out the build order") + 24)
        self.word.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.word, self.bar, self.stop):
            box.addWidget(widget)
        self.head.hide()
        self.again.hide()

    def begin(self, head: str) -> None:
        """It begins: how much there is to do is not known yet."""
        self.head.setText(head)
        self.word.setText("")
        if self.word.alignment() & Qt.AlignmentFlag.AlignLeft:
            self.word.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.bar.setRange(0, 0)
        self.bar.show()
        self.stop.show()
        self.again.hide()

    def tell(self, what: str, done: int, of: int) -> None:
        """So many of so many steps are done, and this begins."""
        self.word.setText(what)
        self.bar.setRange(0, max(of, 1))
        self.bar.setValue(done)

    def refuse(self, head: str, why: tuple[str, ...]) -> None:
        """It ended without a boat."""
        self.head.setText(head)
        self.word.setText("\n".join(why) + ("\n\nIt is read again as soon as its files change." if why else ""))
        self.word.setAlignment(Qt.AlignmentFlag.AlignLeft if why else Qt.AlignmentFlag.AlignHCenter)
        self.bar.hide()
        self.stop.hide()
        self.again.show()

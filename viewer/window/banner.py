"""The banner over the picture: what went wrong, in a line for each cause."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QToolButton, QVBoxLayout

_MOST = 4


class Banner(QFrame):
    """Hidden while there is nothing to say."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("banner")
        self.setAccessibleName("Message")
        self.head = QLabel()
        self.head.setTextFormat(Qt.TextFormat.PlainText)
        font = self.head.font()
        font.setBold(True)
        self.head.setFont(font)
        self.lines = QLabel()
        self.lines.setTextFormat(Qt.TextFormat.PlainText)
        self.lines.setWordWrap(True)
        self.lines.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        away = QToolButton()
        away.setText("✕")
        away.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        away.setToolTip("Put the message away (Esc)")
        away.clicked.connect(self.hide)
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self.head)
        words.addWidget(self.lines)
        box = QHBoxLayout(self)
        box.setContentsMargins(12, 8, 8, 8)
        box.addLayout(words, 1)
        box.addWidget(away, 0, Qt.AlignmentFlag.AlignTop)
        self.hide()

    def say(self, head: str, lines: Sequence[str] = ()) -> None:
        """Shows this, the lines up to a few and then how many more; an empty head hides it."""
        self.setVisible(bool(head))
        self.head.setText(head)
        shown = list(lines[:_MOST])
        if len(lines) > _MOST:
            shown.append(f"and {len(lines) - _MOST} more: scrieve check lists all")
        self.lines.setText("\n".join(shown))
        self.lines.setVisible(bool(shown))
